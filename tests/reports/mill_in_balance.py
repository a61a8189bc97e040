"""A week of a mill whose results fit each other, so that one broken result is found alone."""

from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal

import numpy as np

from app.ledger.entries import Entry
from app.plant.calendar import Clock
from app.plant.measures import MEASURES
from app.plant.plan import Plan
from app.plant.samples import place_of, result
from app.plant.typed import NUMBER
from app.reports.checks import raised_on
from app.reports.season_books import SeasonBooks
from app.reports.sheet import Filling, measures_of_shift, sheet_of

MONDAY = date(2026, 6, 1)
SUNDAY = MONDAY + timedelta(days=6)
CLOCK = Clock("UTC", time(6), 3)
ON_ITS_DAY = {"final_molasses", "final_molasses_brix", "final_molasses_pol"}

# a mill in balance, on each shift; molasses once a day
MILL = {
    "cane": 1800, "crushing_hours": 8, "imbibition": 560, "mixed_juice": 1850,
    "mixed_juice_brix": 15.4, "mixed_juice_pol": 13.1, "mixed_juice_suspended_solids": 0.4,
    "mixed_juice_ph": 5.4, "first_expressed_juice_brix": 19.2, "first_expressed_juice_pol": 16.5,
    "last_expressed_juice_brix": 4.2, "last_expressed_juice_pol": 3.05, "bagasse_pol": 1.7,
    "bagasse_moisture": 50, "limed_juice_ph": 7.8, "clear_juice": 1800, "clear_juice_brix": 15.2,
    "clear_juice_pol": 13.0, "clear_juice_ph": 7.05, "filter_cake": 63, "filter_cake_pol": 1.6,
    "filter_cake_moisture": 74, "filter_cake_suspended_solids": 23.5, "filtrate_brix": 11.5,
    "filtrate_pol": 9.4, "evaporator_steam": 450, "syrup_brix": 64, "syrup_pol": 54.7,
    "syrup_ph": 6.5, "a_massecuite_brix": 92.8, "a_massecuite_purity": 85,
    "a_molasses_brix": 76, "a_molasses_purity": 68, "b_massecuite_brix": 94.8,
    "b_massecuite_purity": 73, "b_molasses_brix": 76, "b_molasses_purity": 50,
    "c_massecuite_brix": 96, "c_massecuite_purity": 57, "c_massecuite_volume": 80,
    "c_magma_brix": 91, "c_magma_purity": 83, "sugar": 216, "sugar_pol": 98.6,
    "sugar_moisture": 0.3, "sugar_colour": 1700, "final_molasses": 219, "final_molasses_brix": 85,
    "final_molasses_pol": 29.8,
}  # fmt: skip


def season(mill=MILL, shifts=21):
    """A week of that mill, each result wandering a little; the last shift is just as it is."""
    random = np.random.default_rng(7)
    taken = {}
    for name, value in mill.items():
        wandering = value * (1 + random.normal(0, 0.002, shifts))
        taken[name] = np.round(wandering, MEASURES[name].decimals)
        taken[name][-1] = value
        if name in ON_ITS_DAY:
            taken[name][np.arange(shifts) % 3 != 2] = np.nan
    return taken


@dataclass
class Shift:
    day: date
    number: int
    hours: float = 8.0


@dataclass
class Table:
    shifts: list
    measures: dict
    states: dict = field(default_factory=dict)
    corrected: frozenset = frozenset()
    booked: frozenset = frozenset()
    shares: dict = field(default_factory=dict)


def sheet_and_more(taken, plan=None, samples=None):
    """The last sheet of a season, what stands on it, and the books: results by measure."""
    plan, samples = plan or Plan(), samples or {}
    shifts = len(taken["cane"])
    measures = {name: np.full(shifts, np.nan) for name in MEASURES} | taken
    measures["gross_hours"] = np.full(shifts, 8.0)
    keys = [Shift(MONDAY + timedelta(days=n // 3), n % 3 + 1) for n in range(shifts)]
    texts = {n: f"{c[-1]:g}" for n, c in taken.items() if np.isfinite(c[-1]) and n not in samples}
    for name, values in samples.items():
        own = plan.every(keys[-1].day)[name]
        measures[name][-1] = result(own.rule, values)
        texts |= {f"{name}-{n}" if n > 1 else name: f"{v:g}" for n, v in enumerate(values, 1)}
    standing = {
        key: Entry(number, place_of(key).measure, NUMBER, text, Decimal(text), "", None, None,
                   "Ann Field", datetime(2026, 6, 7, 12, tzinfo=UTC), sample=place_of(key).sample)
        for number, (key, text) in enumerate(texts.items(), start=1)
    }  # fmt: skip
    day, number = keys[-1].day, keys[-1].number
    on_it = measures_of_shift(plan.on(day).values(), CLOCK, day, number)
    filling = Filling(CLOCK, CLOCK.shift_bounds(day, number), standing)
    books = SeasonBooks(Table(keys, measures), [], [], plan)
    return sheet_of(on_it, filling), standing, books, (day, number)


def raised(taken, **otherwise):
    """What the last sheet raises, by the name of the check."""
    return {r.check.name: r for r in raised_on(*sheet_and_more(taken, **otherwise), 3)}


def changed(changes, mill=MILL):
    """The season with other results on its last shift, or on every one where a list is given."""
    taken = season(mill)
    for name, value in changes.items():
        column = taken.setdefault(name, np.full(21, np.nan))
        if isinstance(value, list):
            taken[name] = np.where(np.isnan(column) & (name in mill), np.nan, value[0])
        else:
            column[-1] = value
    return taken
