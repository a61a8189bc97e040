"""What is sampled once a day or week stands for: every sheet of it, or the last one of its day."""

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from app.plant.grains import DAY, SHIFT, WEEK
from app.plant.measures import MEASURES, Measure
from app.plant.readings import SERVES

Values = NDArray[np.float64]


def composites(
    entered: Mapping[str, Values],
    taken: Sequence[Mapping[str, Measure]],
    day: NDArray[np.int64],
    week: NDArray[np.int64],
) -> dict[str, Values]:
    """Return what was entered, each composite standing for every sheet that it was sampled over.

    `taken` has the measures as the mill takes them on each row, `day` and `week` number the days
    and weeks of the rows. An analysis that figures ask for on every sheet, and that is made once of
    the composite of a day or week, stands on each sheet of it; a weight does not.
    """
    plans = {id(measures): measures for measures in taken}
    seldom = {
        name
        for name in MEASURES
        if _carrier(name)
        and any(_coarser(plan[name].grain, _asked(name, plan)) for plan in plans.values())
    }
    found = {
        name: _spread(entered[name], taken, name, day, week) for name in seldom if name in entered
    }
    return {**entered, **found}


def stand_once_a_day(taken: Sequence[Mapping[str, Measure]]) -> dict[str, NDArray[np.bool_]]:
    """Return on which rows a measure stands on its day's last sheet alone, the others owing none.

    A composite that stands on each sheet of its day is not among them: what lacks beside it, such
    as a weight, is missed on each.
    """
    which = np.array([id(measures) for measures in taken])
    found: dict[str, NDArray[np.bool_]] = {}
    for key, plan in {id(measures): measures for measures in taken}.items():
        rows = which == key
        for name, measure in plan.items():
            if measure.grain == DAY and not _on_each(name, plan):
                found[name] = found[name] | rows if name in found else rows
    return found


def _on_each(name: str, plan: Mapping[str, Measure]) -> bool:
    return bool(_carrier(name)) and _asked(name, plan) == SHIFT


def _carrier(name: str) -> str:
    """Return what carries an analysis, or the result that a reading serves; none for a weight."""
    return MEASURES[SERVES[name][0] if name in SERVES else name].carrier


def _asked(name: str, plan: Mapping[str, Measure]) -> str:
    """Return how often figures ask for an analysis: as often as its weight where that differs."""
    carrier = _carrier(name)
    weighed = plan[carrier].grain
    return MEASURES[name].grain if weighed == MEASURES[carrier].grain else weighed


def _coarser(grain: str, asked: str) -> bool:
    return (grain == DAY and asked == SHIFT) or (grain == WEEK and asked in (SHIFT, DAY))


def _spread(
    column: Values,
    taken: Sequence[Mapping[str, Measure]],
    name: str,
    day: NDArray[np.int64],
    week: NDArray[np.int64],
) -> Values:
    whole = column.copy()
    often = [_asked(name, plan) for plan in taken]
    last_of_day = np.append(day[1:] != day[:-1], True)
    asked = np.array([each == SHIFT for each in often]) | last_of_day
    for grain, spans in ((DAY, day), (WEEK, week)):
        taken_so = np.array(
            [
                plan[name].grain == grain and _coarser(grain, each)
                for plan, each in zip(taken, often, strict=True)
            ]
        )
        for row in np.flatnonzero(taken_so & np.isfinite(column)):
            over = (spans == spans[row]) & taken_so & asked & np.isnan(column)
            whole[over] = column[row]
    return whole
