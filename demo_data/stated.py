"""What the invented mill says of itself: targets, conventions, uncertainties, pairs and lime."""

from datetime import date, datetime, timedelta
from typing import Any

import numpy as np

from app.plant.calendar import Clock
from app.plant.measures import MEASURES

from .evaporator import SURFACES
from .factory import SEED, SHIFTS_A_DAY, Values
from .samples import MILLS
from .typed import FIRST_DAY

TARGETS = {
    "pol_extraction": 96.5,
    "reduced_extraction": 96.8,
    "imbibition_on_fibre": 225.0,
    "crushing_rate": 232.0,
    "time_efficiency": 90.0,
    "boiling_house_recovery": 88.5,
    "boiling_house_efficiency": 95.5,
    "overall_recovery": 85.4,
    "bagasse_loss": 3.5,
    "filter_cake_loss": 0.5,
    "final_molasses_loss": 9.3,
    "undetermined_loss": 1.3,
    "mixed_juice_purity": 84.5,
    "sugar_purity": 99.1,
    "final_molasses_purity": 35.5,
    "cane_per_sugar": 8.7,
}

CONVENTIONS = {
    "suspended_solids": "counted as fibre",
    "bagasse_weight": "by difference",
    "sugar_accounted": "made and estimated",
    "standing_sugar_purity": "99.15",
    "standing_sugar_pol": "98.9",
    "standing_molasses_purity": "36",
    "tandem_mills": str(MILLS),
    "evaporator_effects": str(len(SURFACES)),
    **{f"effect_{n}_surface": str(surface) for n, surface in enumerate(SURFACES, 1)},
    "clarifier_hold": "1",
    "effect_hold": "3",
    "stops_left_blank": "counts as none",
    "other_boiler_losses": "6",
    "cane_paid_by": "commercial cane sugar",
    "sugar_price": "480",
    "sugar_price_currency": "USD",
}
# the crop of the season as fields were walked, from its days on
ESTIMATES = (("860000", FIRST_DAY, "cane office, survey of May"),
             ("820000", date(2026, 9, 7), "cane office, fields walked in September"))  # fmt: skip
MANUAL = "mill's laboratory manual, invented for the demonstration"

BY = "ines"  # who typed pairs and doses; uncertainties are the administrator's

# measure: random and systematic part, whether in %, since when, and who says so
UNCERTAINTIES = (
    ("bagasse_pol", 0.04, 0.04, False, FIRST_DAY, "pairs of the season before, and a check sample"),
    ("mixed_juice", 0.2, 0.25, True, date(2026, 7, 6), "proving of the juice scale, 4 July"),
)

# measure: how many pairs, and the standard deviation of one result
PAIRS = {
    "bagasse_pol": (12, 0.05),
    "bagasse_moisture": (10, 0.3),
    "mixed_juice_pol": (8, 0.03),
    "sugar_pol": (6, 0.06),
    "final_molasses_brix": (4, 0.2),
}

# kg of CaO per t of juice, from one pH to another
LIME_DOSES = (
    ("5.2", "7.4", "0.66"), ("5.2", "7.8", "0.77"), ("5.2", "8.2", "0.92"),
    ("5.4", "7.4", "0.60"), ("5.4", "7.8", "0.71"), ("5.4", "8.2", "0.86"),
)  # fmt: skip


def uncertainties(clock: Clock) -> tuple[dict[str, Any], ...]:
    """Return what the administrator stated of measures, by the names of a statement."""
    names = ("measure", "random", "systematic", "relative", "since", "source")
    return tuple(
        {**dict(zip(names, row, strict=True)), "at": _at_ten(clock, row[4])}
        for row in UNCERTAINTIES
    )


def duplicates(clock: Clock, true: dict[str, Values]) -> tuple[dict[str, Any], ...]:
    """Return pairs of results of one sample, from a day's last shift on which there was one."""
    random = np.random.Generator(np.random.PCG64(SEED + 6))
    found = []
    for measure, (count, spread) in PAIRS.items():
        of_day = true[measure][SHIFTS_A_DAY - 1 :: SHIFTS_A_DAY][:140]
        days = np.flatnonzero(~np.isnan(of_day))
        for n in np.linspace(5, len(days) - 1, count).astype(int):
            day = FIRST_DAY + timedelta(days=int(days[n]))
            both = of_day[days[n]] + random.normal(0, spread, 2)
            first, second = (f"{value:.{MEASURES[measure].decimals}f}" for value in both)
            row = {"measure": measure, "day": day, "first": first, "second": second, "by": BY}
            found.append({**row, "at": _at_ten(clock, day + timedelta(days=1))})
    return tuple(sorted(found, key=lambda pair: pair["at"]))


def lime_doses(clock: Clock) -> tuple[dict[str, Any], ...]:
    """Return the steps of pH of the mill's own table, as typed in its first week."""
    names = ("from_ph", "to_ph", "dose")
    at = _at_ten(clock, FIRST_DAY + timedelta(days=4))
    return tuple({**dict(zip(names, row, strict=True)), "at": at, "by": BY} for row in LIME_DOSES)


def _at_ten(clock: Clock, day: date) -> datetime:
    begins, _ = clock.shift_bounds(day, 1)
    return begins + timedelta(hours=4)
