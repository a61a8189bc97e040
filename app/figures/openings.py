"""The stock that a period opened with: what was in process at the end of the sheet before it."""

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from app.figures.conventions import CONVENTIONS
from app.figures.declare import FIGURES
from app.figures.evaluate import Conventions, Values, behind, worked_out_by_way
from app.figures.sheets import Period


def openings(
    names: tuple[str, ...],
    periods: Sequence[Period],
    closing: Mapping[str, Values],
    known: Mapping[str, Values],
    conventions: Conventions,
) -> dict[str, Values]:
    """Return each level of `names` as each period opened with it; none before the first sheet.

    `known` has what was entered or given, under the names that figures ask for, and `closing` the
    levels of every sheet by the conventions of its own day. Where a convention
    that decides them changed within the period, the same contents are counted by the one that
    holds at its end, so that a change of what is counted is no change of stock.
    """
    found = {name: np.full(len(periods), np.nan) for name in names}
    decisive = _decisive(names)
    for place, period in enumerate(periods):
        before, last = period.first - 1, period.last - 1
        if before < 0:
            continue
        same = all(conventions[name][before] == conventions[name][last] for name in decisive)
        values = closing if same else _counted(names, before, last, known, conventions)
        for name in names:
            found[name][place] = values[name][before if same else 0]
    return found


def _decisive(names: tuple[str, ...]) -> frozenset[str]:
    """Return the conventions that decide figures of `names`."""
    ways = [way for name in behind(names) for way in FIGURES[name].ways]
    return frozenset(name for way in ways for name in (*way.when, *way.inputs)) & CONVENTIONS.keys()


def _counted(
    names: tuple[str, ...],
    row: int,
    by: int,
    known: Mapping[str, Values],
    conventions: Conventions,
) -> dict[str, Values]:
    """Work out levels of the sheet of `row` by the conventions of that of `by`."""
    then = {name: column[row : row + 1] for name, column in known.items()}
    chosen: dict[str, NDArray] = {  # type: ignore[type-arg]
        name: column[by : by + 1] for name, column in conventions.items()
    }
    return worked_out_by_way(then, chosen, behind(names))[0]
