"""What each measure of the invented season would read, were every instrument and hand perfect."""

import numpy as np

from app.chemistry.density import sucrose_solution_density
from app.plant.measures import DAY, MEASURES, SHIFT, WEEK, Measure
from app.plant.streams import Equipment, streams_in_use
from app.plant.vessels import VESSELS

from .factory import SHIFTS, SHIFTS_A_DAY, STAYS, Balance, Draw, Values, percentage

MILLS = 5
LEAST_TO_SAMPLE = 5.0  # t of solids in a shift, under which there is nothing to sample

# stream: its brix, and how far that wanders from shift to shift
BRIXES = {
    "syrup": (64.2, 0.6),
    "a_massecuite": (92.8, 0.15),
    "b_massecuite": (94.8, 0.15),
    "c_massecuite": (96.5, 0.2),
    "a_molasses": (76, 1),
    "b_molasses": (78, 1),
    "final_molasses": (84.2, 0.4),
    "b_magma": (91, 0.5),
    "c_magma": (90.5, 0.5),
    "remelt": (64, 1),
}

# vessel: temperature of its contents, and the stream whose brix they have
CONTENTS = {
    "juice_tanks": (96, "clear_juice"),
    "syrup_tanks": (60, "syrup"),
    "a_pans": (64, "a_massecuite"),
    "b_pans": (62, "b_massecuite"),
    "c_pans": (54, "c_massecuite"),
    "a_molasses_tanks": (58, "a_molasses"),
    "b_molasses_tanks": (58, "b_molasses"),
    "magma_mixers": (52, "b_magma"),
    "remelt_tank": (70, "remelt"),
}

# What stands outside the balance: its level, and how far that wanders.
BESIDE = {
    "prepared_cane_open_cells": (88, 0.8),
    "imbibition_temperature": (72, 2),
    "mixed_juice_ph": (5.35, 0.06),
    "limed_juice_ph": (7.8, 0.08),
    "limed_juice_temperature": (101.5, 0.7),
    "clear_juice_ph": (7.05, 0.05),
    "filter_cake_moisture": (74, 0.8),
    "syrup_ph": (6.4, 0.07),
    "sugar_colour": (1700, 180),
    "sugar_moisture": (0.25, 0.025),
    "sugar_temperature": (33.5, 1),
    "final_molasses_reducing_sugars": (13.2, 0.5),
    "final_molasses_ash": (12.6, 0.4),
    "feed_water_ph": (9.4, 0.15),
    "feed_water_sugar_trace": (2, 1.6),
    "mill_1_bagasse_pol": (7.9, 0.3),
    "mill_1_bagasse_moisture": (57.5, 0.8),
    "mill_2_bagasse_pol": (5.6, 0.25),
    "mill_2_bagasse_moisture": (55, 0.8),
    "mill_3_bagasse_pol": (3.9, 0.2),
    "mill_3_bagasse_moisture": (53.2, 0.7),
    "mill_4_bagasse_pol": (2.6, 0.15),
    "mill_4_bagasse_moisture": (51.6, 0.6),
}


def due_measures() -> list[Measure]:
    """Return every measure that is due in this mill, in the order of the sheet."""
    here = {*streams_in_use(Equipment("tandem", MILLS)), *VESSELS}
    return [m for m in MEASURES.values() if m.due and m.stream in here]


def taken(measure: Measure) -> np.ndarray:
    """Tell of each shift whether `measure` is taken on it; the season began on a Monday."""
    every = 1 if measure.grain == SHIFT else SHIFTS_A_DAY * (1 if measure.grain == DAY else 7)
    return np.arange(SHIFTS) % every == every - 1


def true_measures(balance: Balance, draw: Draw) -> dict[str, Values]:
    """Return the true value of each due measure on every shift, NaN where nothing is to sample.

    Of a measure taken once a day or week, the shifts on which it is not taken mean nothing.
    """
    found = {name: draw.wander(*level) for name, level in BESIDE.items()}
    found["feed_water_sugar_trace"] = np.maximum(found["feed_water_sugar_trace"], 0)
    brixes = {name: draw.wander(*level) for name, level in BRIXES.items()}
    found |= _weights(balance, draw) | _juices(balance, draw) | _floor(balance, brixes)
    found |= _products(balance, brixes, found["sugar_moisture"])
    brixes["clear_juice"] = np.nan_to_num(found["clear_juice_brix"], nan=14.0)
    for vessel in STAYS:
        found |= _contents(balance, vessel, brixes)
    return {m.name: _where_it_flows(m, found[m.name], balance) for m in due_measures()}


def _where_it_flows(measure: Measure, values: Values, balance: Balance) -> Values:
    """Leave out what would be analysed of a shift or day on which the mill stood."""
    if not measure.carrier or measure.grain == WEEK:
        return values
    hours = balance.hours
    if measure.grain == DAY:
        hours = np.repeat(hours.reshape(-1, SHIFTS_A_DAY).sum(1), SHIFTS_A_DAY)
    return np.where(hours > 0, values, np.nan)


def _weights(balance: Balance, draw: Draw) -> dict[str, Values]:
    cane = balance.mass["cane"]
    named = ("cane", "imbibition", "mixed_juice", "filter_cake")
    return {
        **{name: balance.mass[name] for name in named},
        "crushing_hours": balance.hours,
        "lime": cane * draw.wander(0.075, 0.004) / 100,
        "steam": cane * draw.wander(49.5, 1) / 100,
        "power": cane * draw.wander(29, 0.8) / 1000,
    }


def _juice(name: str, brix: Values, purity: Values) -> dict[str, Values]:
    return {f"{name}_brix": brix, f"{name}_pol": brix * purity / 100}


def _juices(balance: Balance, draw: Draw) -> dict[str, Values]:
    """Juices from the first mill to syrup, bagasse and filter cake."""
    percent, pol, solids = balance.percent, balance.pol, balance.solids
    net = balance.mass["mixed_juice"] - balance.mass["suspended_solids"]
    mixed = percentage(solids["mixed_juice"], net)
    purity = {name: percentage(pol[name], solids[name]) for name in ("mixed_juice", "clear_juice")}
    first, last = percent["absolute_juice_brix"] * draw.wander(1.03, 0.004), draw.wander(4, 0.3)
    syrup = draw.wander(64, 0.6)
    syrup_purity = percentage(pol["syrup"], solids["syrup"])
    return {
        **_juice("first_expressed_juice", first, percent["cane_purity"] + draw.wander(1.6, 0.2)),
        **_juice("last_expressed_juice", last, percent["last_expressed_juice_purity"]),
        **_juice("mixed_juice", mixed, purity["mixed_juice"]),
        **_juice("clear_juice", mixed - draw.wander(0.35, 0.08), purity["clear_juice"]),
        **_juice("filtrate", draw.wander(10.8, 0.6), purity["mixed_juice"] - draw.wander(1.8, 0.3)),
        **_juice("syrup", syrup, syrup_purity),
        **_juice("clarified_syrup", syrup - draw.wander(1.2, 0.2), syrup_purity + 0.15),
        "bagasse_pol": percentage(pol["bagasse"], balance.mass["bagasse"]),
        "bagasse_moisture": percent["bagasse_moisture"],
        "mixed_juice_suspended_solids": percent["mixed_juice_suspended_solids"],
        "filter_cake_pol": percent["filter_cake_pol"],
    }


def _floor(balance: Balance, brixes: dict[str, Values]) -> dict[str, Values]:
    """Massecuites, their molasses, magmas and remelt: brix, and the purity of what was spun."""
    found = {}
    for name, brix in brixes.items():
        solids = balance.solids[name]
        enough = solids >= LEAST_TO_SAMPLE
        found[f"{name}_brix"] = np.where(enough, brix, np.nan)
        found[f"{name}_purity"] = np.where(enough, percentage(balance.pol[name], solids), np.nan)
    del found["syrup_brix"]  # measured with the juices
    return found


def _products(balance: Balance, brixes: dict[str, Values], moisture: Values) -> dict[str, Values]:
    """Sugar of each shift, and final molasses of each day, with its pol in the day's mixture."""
    sugar = balance.solids["sugar"] / (1 - moisture / 100)
    days = (-1, SHIFTS_A_DAY)
    solids, pol = (t["final_molasses"].reshape(days).sum(1) for t in (balance.solids, balance.pol))
    brix = brixes["final_molasses"].reshape(days)[:, -1]
    of_day = {
        "final_molasses": 100 * solids / brix,
        "final_molasses_brix": np.where(solids > 0, brix, np.nan),
        "final_molasses_pol": brix * percentage(pol, solids) / 100,
    }
    return {
        "sugar": sugar,
        "sugar_pol": percentage(balance.pol["sugar"], sugar),
        **{name: np.repeat(values, SHIFTS_A_DAY) for name, values in of_day.items()},
    }


def _contents(balance: Balance, vessel: str, brixes: dict[str, Values]) -> dict[str, Values]:
    """Volume that holds just the solids of the vessel, and what is analysed of its contents."""
    solids, pol = balance.held[vessel]
    temperature, stream = CONTENTS[vessel]
    density = sucrose_solution_density(brixes[stream], temperature) / 1000
    return {
        f"{vessel}_volume": 100 * solids / brixes[stream] / density,
        f"{vessel}_temperature": np.full(SHIFTS, float(temperature)),
        f"{vessel}_brix": brixes[stream],
        f"{vessel}_purity": percentage(pol, solids),
    }
