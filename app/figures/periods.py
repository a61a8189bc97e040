"""Any period from the same functions: tonnes are summed, the rest follows from the sums.

An analysis that lacks in one shift is estimated for totals only, by the weighted mean of its day,
else of its week, and the share really analysed is kept as coverage. A weight is never estimated.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from app.figures.declare import ENTERED, FIGURES, OPENING, Way
from app.figures.estimate import estimated, weighted_means
from app.figures.evaluate import (
    ORDER,
    Conventions,
    Lookup,
    Values,
    Ways,
    allowed_ways,
    worked_out,
    worked_out_by_way,
)

ADDS = tuple(name for name in ORDER if FIGURES[name].kind == "adds")
LEVELS = tuple(name for name in ORDER if FIGURES[name].kind == "level")
_ASKED = {i for figure in FIGURES.values() for way in figure.ways for i in way.inputs}
OPENINGS = tuple(level for level in LEVELS if OPENING + level in _ASKED)
SUMMED = frozenset(ADDS + LEVELS)


@dataclass(frozen=True)
class Sheets:
    """What was entered, one row a shift, in order of time.

    `entered` maps a measure to its values, `given` a figure to values that need no working out.
    `day` and `week` number the days and weeks of the rows. `carriers` maps an analysis to the
    weight it is averaged by; `daily` names the measures taken once a day, on its last row; `asked`
    those a laboratory is asked for, so that a gap is named by them.
    `starts_empty` tells that there was no stock before the first row.
    """

    entered: Mapping[str, Values]
    conventions: Conventions
    day: NDArray[np.int64]
    week: NDArray[np.int64]
    carriers: Mapping[str, str]
    daily: frozenset[str] = frozenset()
    asked: frozenset[str] = frozenset()
    given: Mapping[str, Values] = field(default_factory=dict)
    starts_empty: bool = True

    def known(self, entered: Mapping[str, Values]) -> dict[str, Values]:
        """Return `entered`, and what was given, under the names that figures ask for."""
        return {ENTERED + name: column for name, column in entered.items()} | dict(self.given)


@dataclass(frozen=True)
class Period:
    """Rows `first` to `last` (not included) of the sheets."""

    first: int
    last: int


@dataclass(frozen=True)
class Result:
    """Figures of several periods: a value and a coverage (0 to 1) for each, and what lacks.

    `values` also holds the level that each period opened with, as `opening_<level>`.
    """

    values: dict[str, Values]
    ways: Mapping[str, Ways]
    coverage: Mapping[str, Values]
    conventions: Conventions
    periods: Sequence[Period]
    books: "Books"
    _alone: dict[int, Lookup] = field(default_factory=dict)

    def alone(self, index: int) -> Lookup:
        """Return what is known of a period of one sheet, as row 0."""
        if index not in self._alone:
            sheets, row = self.books.sheets, self.periods[index].first
            known = {ENTERED + m: column[row : row + 1] for m, column in sheets.entered.items()}
            known |= {name: column[index : index + 1] for name, column in self.values.items()}
            chosen = {name: column[index : index + 1] for name, column in self.conventions.items()}
            self._alone[index] = Lookup(known, chosen, sheets.asked)
        return self._alone[index]

    def way(self, name: str, index: int = 0) -> Way:
        """Return the way that gave `name`, in most of the rows; else the first that is allowed."""
        period, ways = self.periods[index], FIGURES[name].ways
        taken = self.books.ways[name][period.first : period.last]
        if name not in ADDS and (period.last - period.first > 1 or taken.max(initial=-1) < 0):
            taken = self.ways[name][index : index + 1]
        if taken.max(initial=-1) >= 0:
            return ways[int(np.bincount(taken[taken >= 0]).argmax())]
        return _first_allowed(name, self.conventions, index)

    def missing(self, name: str, index: int = 0) -> dict[str, list[int]]:
        """Return the measures for want of which `name` has no value, with the rows they lack in."""
        if np.isfinite(self.values[name][index]):
            return {}
        return self.books.missing(name, index, self)

    def withheld(self, name: str, index: int = 0) -> bool:
        """Tell whether `name` has no value only because too little was really analysed."""
        return self.books.withheld(name, index, self)


class Books:
    """A season's sheets, worked out once and ready to be asked for any period."""

    def __init__(self, sheets: Sheets) -> None:
        self.sheets = sheets
        self.rows, self.ways = worked_out_by_way(sheets.known(sheets.entered), sheets.conventions)
        whole = estimated(sheets.entered, self.rows, sheets.carriers, sheets.day, sheets.week)
        guesses = worked_out(sheets.known(whole), sheets.conventions)
        self.filled = {
            name: np.where(np.isnan(self.rows[name]), guesses[name], self.rows[name])
            for name in ADDS
        }
        self._let_daily_figures_stand_once_a_day()
        self._rows_known = Lookup(
            self.rows | sheets.known(sheets.entered), sheets.conventions, sheets.asked
        )
        self._asked_before: dict[tuple[str, int], list[str]] = {}

    def _let_daily_figures_stand_once_a_day(self) -> None:
        """A daily figure stands on the last row of its day; the rows before it owe nothing."""
        day = self.sheets.day
        before = np.append(day[:-1] == day[1:], False)
        daily = {ENTERED + name for name in self.sheets.daily}
        for name in ADDS:
            if any(daily & set(way.inputs) for way in FIGURES[name].ways):
                gap = before & np.isnan(self.filled[name])
                self.filled[name] = np.where(gap, 0.0, self.filled[name])

    def over(self, periods: Sequence[Period]) -> Result:
        """Return all figures of each period."""
        last = np.array([max(p.last - 1, 0) for p in periods], dtype=int)
        conventions = {name: column[last] for name, column in self.sheets.conventions.items()}
        coverage = {name: self._coverage(name, periods) for name in ADDS}
        known = {name: self.rows[name][last] for name in LEVELS}
        openings = {OPENING + name: self._openings(name, periods) for name in OPENINGS}
        alone = np.array([p.last - p.first == 1 for p in periods])
        for name in ADDS:
            withheld = coverage[name] * 100 < conventions["coverage_needed"]
            summed = np.where(withheld, np.nan, self._sums(name, periods))
            known[name] = np.where(alone, self.rows[name][last], summed)
        known |= self._given_tonnes(periods)
        found, ways = worked_out_by_way(known | openings, conventions)
        values = self._with_single_samples(found, periods) | openings
        return Result(values, ways, _follow(coverage, ways), conventions, periods, self)

    def way_of_row(self, name: str, row: int) -> Way:
        """Return the way that gave `name` on one sheet, else the first that is allowed."""
        number = self.ways[name][row]
        known = number >= 0
        return (
            FIGURES[name].ways[number]
            if known
            else _first_allowed(name, self.sheets.conventions, row)
        )

    def means(self, periods: Sequence[Period]) -> dict[str, Values]:
        """Return the weighted mean of each analysis, and the sum of each weight, in each period."""
        return weighted_means(
            self.sheets.entered, self.rows, self.sheets.carriers,
            [slice(p.first, p.last) for p in periods],
        )  # fmt: skip

    def _sums(self, name: str, periods: Sequence[Period]) -> Values:
        return np.array([self.filled[name][p.first : p.last].sum() for p in periods])

    def _coverage(self, name: str, periods: Sequence[Period]) -> Values:
        size = np.abs(self.filled[name])
        real = np.where(np.isnan(self.rows[name]), 0.0, size)
        whole = np.array([size[p.first : p.last].sum() for p in periods])
        analysed = np.array([real[p.first : p.last].sum() for p in periods])
        return np.divide(analysed, whole, out=np.ones(len(periods)), where=whole > 0)

    def _given_tonnes(self, periods: Sequence[Period]) -> dict[str, Values]:
        """Tonnes that were given in place of what they follow from add as well."""
        given = [n for n in self.sheets.given if n in FIGURES and n not in SUMMED]
        return {
            name: np.array([self.rows[name][p.first : p.last].sum() for p in periods])
            for name in given
            if FIGURES[name].unit == "t"
        }

    def _openings(self, name: str, periods: Sequence[Period]) -> Values:
        given = self.sheets.given.get(OPENING + name)
        start = 0.0 if self.sheets.starts_empty else np.nan
        before = np.append(start if given is None else given[0], self.rows[name])
        return before[[p.first for p in periods]]

    def _with_single_samples(
        self, values: dict[str, Values], periods: Sequence[Period]
    ) -> dict[str, Values]:
        """A period of one sheet also has what holds only for a single sample."""
        alone = np.array([p.last - p.first == 1 for p in periods])
        if not alone.any():
            return values
        first = [min(p.first, len(self.sheets.day) - 1) for p in periods]
        rows = {name: self.rows[name][first] for name in FIGURES}
        return {
            name: np.where(alone & np.isfinite(rows[name]), rows[name], values[name])
            for name in FIGURES
        }

    def missing(self, name: str, index: int, result: Result) -> dict[str, list[int]]:
        """As `Result.missing`."""
        period = result.periods[index]
        if period.last - period.first == 1:
            return {leaf: [period.first] for leaf in result.alone(index).lacking(name, 0)}
        found: dict[str, set[int]] = {}
        for leaf in self._sums_that_lack(name, index, result):
            for row in self._rows_that_lack(leaf, period):
                for measure in self._of_row(leaf.removeprefix(OPENING), row):
                    found.setdefault(measure, set()).add(row)
        return {measure: sorted(rows) for measure, rows in found.items()}

    def withheld(self, name: str, index: int, result: Result) -> bool:
        """As `Result.withheld`."""
        period = result.periods[index]
        if period.last - period.first == 1 or np.isfinite(result.values[name][index]):
            return False
        leaves = self._sums_that_lack(name, index, result)
        return bool(leaves) and all(
            leaf in ADDS and np.isfinite(self._sums(leaf, [period])[0]) for leaf in leaves
        )

    def _sums_that_lack(self, name: str, index: int, result: Result) -> list[str]:
        if name in SUMMED:
            return [name]
        sums = Lookup(result.values, result.conventions, self.sheets.asked, SUMMED)
        return sums.lacking(name, index)

    def _rows_that_lack(self, leaf: str, period: Period) -> list[int]:
        if leaf.startswith(OPENING):
            return [max(period.first - 1, 0)]
        if leaf not in ADDS:
            return [period.last - 1]
        within = slice(period.first, period.last)
        gaps = np.isnan(self.filled[leaf][within])
        if not gaps.any():
            gaps = np.isnan(self.rows[leaf][within]) & (self.filled[leaf][within] != 0)
        return [period.first + int(row) for row in np.flatnonzero(gaps)]

    def _of_row(self, name: str, row: int) -> list[str]:
        if name not in FIGURES:
            return [name]
        if (name, row) not in self._asked_before:
            self._asked_before[name, row] = self._rows_known.lacking(name, row)
        return self._asked_before[name, row]


def _first_allowed(name: str, conventions: Conventions, row: int) -> Way:
    return (allowed_ways(name, conventions, row) or FIGURES[name].ways)[0]


def _follow(coverage: dict[str, Values], ways: Mapping[str, Ways]) -> dict[str, Values]:
    """Coverage of what follows: the least of the inputs of the way that was taken."""
    found = dict(coverage)
    for name in ORDER:
        if name in found:
            continue
        found[name] = np.ones(len(ways[name]))
        for number, way in enumerate(FIGURES[name].ways):
            inputs = [found[i] for i in way.inputs if i in found]
            if inputs:
                least = np.min(inputs, axis=0)
                found[name] = np.where(ways[name] == number, least, found[name])
    return found
