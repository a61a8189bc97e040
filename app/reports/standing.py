"""What counts on the sheets of a season beside what was typed: of other books, of empty vessels."""

from collections.abc import Collection, Mapping, Sequence
from datetime import date
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from app.plant.measures import Measure
from app.plant.plan import Plan
from app.plant.readings import READINGS
from app.plant.utilities import CAUSES

Values = NDArray[np.float64]
Place = tuple[int, str]  # a row and a measure

CRUSHING = "crushing_hours"
_HOURS = tuple(f"{cause}_hours" for cause in CAUSES)


class Given(Protocol):
    """The measures of a table of shifts, and what the other books give of them."""

    @property
    def measures(self) -> Mapping[str, Values]: ...  # noqa: D102
    @property
    def booked(self) -> Collection[Place]: ...  # noqa: D102
    @property
    def shares(self) -> Mapping[Place, float]: ...  # noqa: D102


def well_analysed(table: Given, needed: Values) -> tuple[Mapping[str, Values], Collection[Place]]:
    """Return the measures and what books give, without that of which too little was analysed.

    `needed` is what percentage must be, on each row.
    """
    out = {place for place, share in table.shares.items() if share * 100 < needed[place[0]]}
    measures = dict(table.measures)
    for row, name in out & set(table.booked):
        measures[name] = measures[name].copy()
        measures[name][row] = np.nan
    return measures, frozenset(table.booked) - out


def shares_by_row(shares: Mapping[Place, float], size: int) -> dict[str, Values]:
    """Return what part of a measure was really analysed on each row, not a number where all was."""
    found: dict[str, Values] = {}
    for (row, name), share in shares.items():
        found.setdefault(name, np.full(size, np.nan))[row] = share
    return found


def empty_vessels(
    plan: Plan, days: Sequence[date], measures: Mapping[str, Values]
) -> dict[str, Values]:
    """Return the volumes of vessels that are switched off at some time, then nothing."""
    off = [
        (vessel, np.array([plan.is_off(vessel, day) for day in days]))
        for vessel in plan.vessels_ever_off
    ]
    volumes = ((f"{vessel}_volume", rows) for vessel, rows in off)
    return {
        name: np.where(rows & np.isnan(measures[name]), 0.0, measures[name])
        for name, rows in volumes
        if name in measures
    }


def while_stops_last(
    measures: Mapping[str, Values], shares: Mapping[Place, float], blank: NDArray[Any]
) -> tuple[dict[str, Values], NDArray[Any]]:
    """Return hours of stops, and what a blank counts as, where the hours of a cause are not known.

    On those rows a blank is missing, for a stop that lasts is not none; other causes have none
    there as everywhere, if `blank` lets them.
    """
    lacking = {(row, name) for (row, name), share in shares.items() if name in _HOURS and not share}
    rows = sorted({row for row, _name in lacking})
    found = {}
    for name in _HOURS if rows else ():
        found[name] = measures[name].copy()
        for row in rows:
            may = blank[row] == "counts as none" and (row, name) not in lacking
            if may and np.isnan(found[name][row]):
                found[name][row] = 0 * measures[CRUSHING][row]
    now = blank.copy()
    now[rows] = "is missing"
    return found, now


def hard_limits(
    taken: Sequence[Mapping[str, Measure]],
) -> dict[str, tuple[NDArray[np.float64], NDArray[np.float64]]]:
    """Return the hard limits of each result that readings may give, one a row."""
    plans = {id(plan): plan for plan in taken}  # one for many rows
    place = {key: number for number, key in enumerate(plans)}
    rows = np.array([place[id(plan)] for plan in taken], dtype=np.int64)
    found = {}
    for name in READINGS:
        hard = np.array([plan[name].hard for plan in plans.values()], dtype=float).reshape(-1, 2)
        found[name] = hard[rows, 0], hard[rows, 1]
    return found
