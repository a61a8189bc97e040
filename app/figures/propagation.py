"""The standard uncertainty of every figure, from that of what was weighed and analysed.

A measure's random part is another on each sheet and shrinks over a season; its systematic part is
one and the same on all of them and does not. A figure of one sheet follows from that sheet alone.
Sums over the rows of a period have a covariance from both parts, and what follows from the sums
takes its own from that.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from app.figures.declare import ENTERED, FIGURES, OPENING, Figure
from app.figures.evaluate import LEVELS, Values, Ways
from app.figures.gradients import Gradient, chain

BEFORE = "before "

# what a measure does to a figure: at random on each sheet of the season, and alike on all
Moves = tuple[Values, float]


@dataclass(frozen=True)
class Errors:
    """Standard uncertainties of one measure, in its unit, a value a row."""

    random: Values
    systematic: Values

    @property
    def together(self) -> Values:
        """Both parts of a single result."""
        return np.hypot(self.random, self.systematic)

    @cached_property
    def stated(self) -> bool:
        """Whether every row has its uncertainties stated."""
        return bool(np.isfinite(self.random).all() and np.isfinite(self.systematic).all())

    def moved(self, slope: Values) -> tuple[Values, Values]:
        """Return what both parts move with a slope; nothing, where nothing moves with it."""
        random, systematic = slope * self.random, slope * self.systematic
        if self.stated:
            return random, systematic
        still = slope == 0
        return np.where(still, 0.0, random), np.where(still, 0.0, systematic)

    def of_rows(self, rows: slice | NDArray[np.int64]) -> "Errors":
        """Return those of some rows."""
        return Errors(self.random[rows], self.systematic[rows])


@dataclass(frozen=True)
class Moved:
    """How what is summed moves with what was entered on each sheet, and the errors of that."""

    errors: Mapping[str, Errors]
    gradients: Mapping[str, Gradient]


class RowErrors:
    """How the figures of single sheets move with what was entered on them.

    `values` and `ways` are of the sheets, `errors` by source: `entered_<measure>`, and with
    "before " in front for what an opening level stands on, in the sheet before.
    """

    def __init__(
        self,
        figures: Sequence[Figure],
        values: Mapping[str, Values],
        ways: Mapping[str, Ways],
        errors: Mapping[str, Errors],
        openings: Mapping[str, Gradient] | None = None,
    ) -> None:
        self.errors = errors
        size = len(next(iter(ways.values())))
        one = np.ones(size)
        self._nothing = np.zeros(size)
        sources = {
            name: {name: one}
            for name in errors
            if not name.startswith(BEFORE) and np.isfinite(values.get(name, np.nan)).any()
        }
        sources |= dict(openings or {})
        self.gradients, self._spreads = chain(figures, values, ways, sources, self._spread)

    def standard(self, name: str) -> Values:
        """Return the standard uncertainty of a figure on each sheet, 0 for what is exact."""
        return self._spreads.get(name, self._nothing)

    def budget(self, name: str, index: int) -> dict[str, float]:
        """Return what each measure alone would leave uncertain of a figure on one sheet."""
        found: dict[str, Gradient] = {}
        for source, slope in self.gradients.get(name, {}).items():
            found.setdefault(_measure(source), {})[source] = slope
        return {measure: float(self._spread(part)[index]) for measure, part in found.items()}

    def moves(self, name: str, index: int, row: int, size: int) -> dict[str, Moves]:
        """Return what each measure does to a figure on one sheet, the `row` of `size` sheets."""
        found: dict[str, Moves] = {}
        for source, slope in self.gradients.get(name, {}).items():
            random, systematic = self.errors[source].moved(slope)
            sheets, alike = found.get(_measure(source), (np.zeros(size), 0.0))
            sheets[row - source.startswith(BEFORE)] += random[index]
            found[_measure(source)] = sheets, alike + float(systematic[index])
        return found

    def _spread(self, gradient: Gradient) -> Values:
        variance = self._nothing
        systematic: dict[str, Values] = {}
        for source, slope in gradient.items():
            error = self.errors[source]
            random, part = error.moved(slope)
            variance = variance + np.square(random)
            shared = source.removeprefix(BEFORE)
            systematic[shared] = systematic[shared] + part if shared in systematic else part
        for part in systematic.values():
            variance = variance + np.square(part)
        return np.asarray(np.sqrt(variance))


def _measure(source: str) -> str:
    return source.removeprefix(BEFORE).removeprefix(ENTERED)


class PeriodErrors:
    """Standard uncertainties of figures of one period: the rows of `span`, its end left out."""

    def __init__(
        self,
        rows: Moved,
        span: tuple[int, int],
        names: Sequence[str],
        values: Mapping[str, Values],
        ways: Mapping[str, Ways],
    ) -> None:
        self._rows = rows
        self._first, self._last = span
        self._sums = [
            name
            for name in values
            if name.removeprefix(OPENING) in rows.gradients and self._is_sum(name)
        ]
        self._place = {name: place for place, name in enumerate(self._sums)}
        self._covariance = self._of_sums()
        one = np.ones(1)
        sources = {name: {name: one} for name in self._sums}
        figures = [FIGURES[name] for name in names if FIGURES[name].kind == "follows"]
        self._gradients, self._spreads = chain(figures, values, ways, sources, self._spread)

    def standard(self, name: str) -> float:
        """Return the standard uncertainty of a figure, 0 for what is exact."""
        return float(self._spreads[name][0]) if name in self._spreads else 0.0

    def budget(self, name: str) -> dict[str, float]:
        """Return what each measure alone would leave uncertain of a figure."""
        return {
            measure: float(np.hypot(np.linalg.norm(random), systematic))
            for measure, (random, systematic) in self.moves(name).items()
        }

    def moves(self, name: str) -> dict[str, Moves]:
        """Return what each measure does to a figure."""
        slopes = {sum_: float(slope[0]) for sum_, slope in self._gradients.get(name, {}).items()}
        found = {}
        for source, names in self._moved_by.items():
            moved = [n for n in names if n in slopes]
            if moved:
                random, systematic = self._errors(source, moved)
                by = np.array([slopes[n] for n in moved])
                sheets = np.zeros(len(self._rows.errors[source].random))
                sheets[max(self._first - 1, 0) : self._last] = by @ random
                found[_measure(source)] = sheets, float(by @ systematic)
        return found

    def _spread(self, gradient: Gradient) -> Values:
        places = [self._place[name] for name in gradient]
        slopes = np.array([slope[0] for slope in gradient.values()])
        moving = np.flatnonzero(slopes)  # what does not move it may be unknown
        at = np.array(places, dtype=int)[moving]
        variance = slopes[moving] @ self._covariance[np.ix_(at, at)] @ slopes[moving]
        return np.sqrt(np.maximum(variance, 0.0))[np.newaxis]

    @cached_property
    def _moved_by(self) -> dict[str, list[str]]:
        """The sums that each source moves."""
        found: dict[str, list[str]] = {}
        for name in self._sums:
            for source in self._rows.gradients[name.removeprefix(OPENING)]:
                found.setdefault(source, []).append(name)
        return found

    def _of_sums(self) -> Values:
        matrix = np.zeros((len(self._sums), len(self._sums)))
        for source, names in self._moved_by.items():
            places = [self._place[name] for name in names]
            random, systematic = self._errors(source, names)
            shared = random @ random.T + np.outer(systematic, systematic)
            matrix[np.ix_(places, places)] += shared
        if self._first == 0:  # an opening that was given has no stated uncertainty
            given = [self._place[name] for name in self._sums if name in self._rows.errors]
            unknown = [p for p in given if self._sums[p].startswith(OPENING)]
            matrix[unknown, unknown] = np.nan
        return matrix

    def _errors(self, source: str, names: Sequence[str]) -> tuple[Values, Values]:
        """Return what a source does to sums: at random in each row, and in all rows alike."""
        before = max(self._first - 1, 0)
        rows = slice(before, self._last)
        slopes = np.array(
            [self._rows.gradients[name.removeprefix(OPENING)][source][rows] for name in names]
        )
        counts = np.array([self._counts(name, self._last - before) for name in names])
        error = self._rows.errors[source].of_rows(rows)
        moved = np.where(counts, slopes, 0.0)
        random, systematic = error.moved(moved)
        return random, systematic.sum(axis=1)

    def _counts(self, name: str, size: int) -> Values:
        """Which rows a sum or a level takes: all of the period, its last, or the one before it."""
        counted = np.zeros(size)
        if name.startswith(OPENING):
            counted[0] = self._first > 0
        elif name in LEVELS:
            counted[-1] = 1
        else:
            counted[1 if self._first else 0 :] = 1
        return counted

    def _is_sum(self, name: str) -> bool:
        """Tell whether it is a source of this period: summed, a level, or given as tonnes."""
        given = name in self._rows.errors
        return given or name.startswith(OPENING) or FIGURES[name].kind != "follows"
