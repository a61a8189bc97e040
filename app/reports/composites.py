"""What a composite sample of a day or week stands for, where a mill takes it so."""

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from app.plant.grains import DAY, SHIFT, WEEK
from app.plant.measures import MEASURES, Measure

Values = NDArray[np.float64]


def composites(
    entered: Mapping[str, Values],
    taken: Sequence[Mapping[str, Measure]],
    day: NDArray[np.int64],
    week: NDArray[np.int64],
) -> Mapping[str, Values]:
    """Return what was entered, each composite standing for every sheet that it was sampled over.

    `taken` has the measures as the mill takes them on each row, `day` and `week` number the days
    and weeks of the rows. An analysis that figures ask for on every sheet, and that is made once of
    the composite of a day or week, stands on each sheet of it; a weight does not.
    """
    plans = {id(measures): measures for measures in taken}
    seldom = {
        name
        for name, usual in MEASURES.items()
        if usual.carrier and any(_coarser(plan[name].grain, usual.grain) for plan in plans.values())
    }
    found = {
        name: _spread(entered[name], [plan[name].grain for plan in taken], name, day, week)
        for name in seldom
        if name in entered
    }
    return {**entered, **found}


def _coarser(grain: str, usual: str) -> bool:
    return (grain == DAY and usual == SHIFT) or (grain == WEEK and usual in (SHIFT, DAY))


def _spread(
    column: Values,
    grains: list[str],
    name: str,
    day: NDArray[np.int64],
    week: NDArray[np.int64],
) -> Values:
    whole = column.copy()
    usual = MEASURES[name].grain
    last_of_day = np.append(day[1:] != day[:-1], True)
    asked = np.ones(len(column), dtype=bool) if usual == SHIFT else last_of_day
    for grain, spans in ((DAY, day), (WEEK, week)):
        taken_so = np.array([each == grain for each in grains]) & _coarser(grain, usual)
        for row in np.flatnonzero(taken_so & np.isfinite(column)):
            over = (spans == spans[row]) & taken_so & asked & np.isnan(column)
            whole[over] = column[row]
    return whole
