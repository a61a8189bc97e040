"""Any period from the same functions: tonnes are summed, the rest follows from the sums.

An analysis that lacks in one shift is estimated for totals only, by the weighted mean of its day,
else of its week, and the share really analysed is kept as coverage. A weight is never estimated.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from app.figures.certainty import Certainty, row_errors
from app.figures.coverage import Partly, followed, standing_for_all
from app.figures.declare import ENTERED, FIGURES, OPENING, Way
from app.figures.estimate import estimated, weighted_means
from app.figures.evaluate import (
    ADDS,
    LEVELS,
    SUMMED,
    Conventions,
    Lookup,
    Values,
    Ways,
    allowed_ways,
    behind,
    worked_out_by_way,
)
from app.figures.missing import Missing
from app.figures.openings import openings
from app.figures.propagation import Errors, Moved
from app.figures.readings import measures_of, with_results
from app.figures.sheets import Period, Sheets
from app.figures.sums import exact_sums, sums

_ASKED = {i for figure in FIGURES.values() for way in figure.ways for i in way.inputs}
OPENINGS = tuple(level for level in LEVELS if OPENING + level in _ASKED)
EVERYTHING = tuple(FIGURES)


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
            known = {ENTERED + m: c[row : row + 1] for m, c in self.books.entered.items()}
            known |= {name: column[index : index + 1] for name, column in self.values.items()}
            chosen = {name: column[index : index + 1] for name, column in self.conventions.items()}
            self._alone[index] = Lookup(known, chosen, sheets.asked)
        return self._alone[index]

    def part(self, index: int) -> "Result":
        """Return the result of one of its periods alone."""
        one = slice(index, index + 1)

        def cut(columns: Mapping[str, NDArray[Any]]) -> dict[str, NDArray[Any]]:
            return {name: column[one] for name, column in columns.items()}

        return Result(
            cut(self.values),
            cut(self.ways),
            cut(self.coverage),
            cut(self.conventions),
            self.periods[one],
            self.books,
        )

    def way(self, name: str, index: int = 0) -> Way:
        """Return the way that gave `name`, in most of the rows; else the first that is allowed."""
        period, ways = self.periods[index], FIGURES[name].ways
        taken = self.ways[name][index : index + 1]
        if name in ADDS and period.last - period.first > 1:
            taken = self.books.ways[name][period.first : period.last]
        if taken.max(initial=-1) >= 0:
            return ways[int(np.bincount(taken[taken >= 0]).argmax())]
        return _first_allowed(name, self.conventions, index)

    def missing(self, name: str, index: int = 0) -> dict[str, list[int]]:
        """Return the measures for want of which `name` has no value, with the rows they lack in."""
        if np.isfinite(self.values[name][index]):
            return {}
        return self.books.missing.behind(name, index, self)

    def withheld(self, name: str, index: int = 0) -> bool:
        """Tell whether `name` has no value only because too little was really analysed."""
        return self.books.missing.too_little_analysed(name, index, self)

    @cached_property
    def certainty(self) -> Certainty:
        """How sure these figures are."""
        return Certainty(self)


class Books:
    """A season's sheets, worked out once and ready to be asked for any period.

    Only the figures of `names`, and what they follow from, are worked out.
    """

    def __init__(self, sheets: Sheets, names: tuple[str, ...] = EVERYTHING) -> None:
        self.sheets = sheets
        weights = tuple(dict.fromkeys(sheets.carriers.values()))
        self.names = behind(names + weights)
        self.adds = tuple(name for name in self.names if name in ADDS)
        self.levels = tuple(name for name in self.names if name in LEVELS)
        self._behind_sums = behind(self.adds + self.levels)
        self.entered, self.ways_of_results = with_results(
            sheets.entered, sheets.conventions, sheets.limits
        )
        self.rows, self.ways = self._worked_out(self.entered, slice(None))
        carriers = {m: sheets.carriers[m] for m in measures_of(self.names) if m in sheets.carriers}
        self.whole = estimated(self.entered, self.rows, carriers, sheets.day, sheets.week)
        self.guesses, self.ways_of_guesses = self._with_estimates()
        real = np.array([self.rows[name] for name in self.adds])
        guesses = np.array([self.guesses[name] for name in self.adds])
        self._filled = self._once_a_day(np.where(np.isnan(real), guesses, real))
        self._partly = Partly(sheets.shares, self.ways)
        self._analysed = np.where(np.isnan(real), 0.0, np.abs(self._filled))
        self._analysed *= self._partly.of_rows(self.adds)
        self.filled = dict(zip(self.adds, self._filled, strict=True))
        self.errors: dict[str, Errors] = {}  # of measures, as they were asked for
        self._row_errors: dict[frozenset[str], Moved] = {}  # by the figures they are of

    @cached_property
    def missing(self) -> Missing:
        """What lacks for a figure that some period has not."""
        return Missing(self)

    def row_errors(self, names: tuple[str, ...]) -> Moved:
        """Return how sums and levels of those names move with what was entered, on every sheet."""
        wanted = frozenset(names)
        for known, moved in self._row_errors.items():
            if wanted <= known:
                return moved
        found = self._row_errors[frozenset(behind(names))] = row_errors(self, names)
        return found

    def _worked_out(
        self, entered: Mapping[str, Values], rows: slice | NDArray[np.int64]
    ) -> tuple[dict[str, Values], dict[str, Ways]]:
        """Work out what is summed, on some rows."""
        known = {name: column[rows] for name, column in self.sheets.known(entered).items()}
        chosen = {name: column[rows] for name, column in self.sheets.conventions.items()}
        return worked_out_by_way(known, chosen, self._behind_sums)

    def _with_estimates(self) -> tuple[dict[str, Values], dict[str, Ways]]:
        """Return what is summed as it is with estimates for gaps, and the ways taken."""
        gaps = [np.isnan(c) & ~np.isnan(self.whole[m]) for m, c in self.entered.items()]
        rows = np.flatnonzero(np.any(gaps, axis=0))
        if not len(rows):
            return self.rows, self.ways
        found, taken = self._worked_out(self.whole, rows)
        values, ways = {}, {}
        for name in self._behind_sums:
            values[name], ways[name] = self.rows[name], self.ways[name]
            if not np.array_equal(values[name][rows], found[name], equal_nan=True):
                values[name], ways[name] = values[name].copy(), ways[name].copy()
                values[name][rows], ways[name][rows] = found[name], taken[name]
        return values, ways

    def _once_a_day(self, filled: Values) -> Values:
        """A daily figure stands on the last row of its day; the rows before it owe nothing."""
        day = self.sheets.day
        before = np.append(day[:-1] == day[1:], False)
        daily = {ENTERED + name: rows for name, rows in self.sheets.daily.items()}
        asks = np.zeros(filled.shape, dtype=bool)
        for row, name in enumerate(self.adds):
            for asked in {i for way in FIGURES[name].ways for i in way.inputs if i in daily}:
                asks[row] |= daily[asked]
        return np.where(asks & before & np.isnan(filled), 0.0, filled)

    def over(self, periods: Sequence[Period]) -> Result:
        """Return all figures of each period."""
        last = np.array([max(p.last - 1, 0) for p in periods], dtype=int)
        conventions = {name: column[last] for name, column in self.sheets.conventions.items()}
        opened_with = {OPENING + name: c for name, c in self.openings(periods).items()}
        alone = np.array([p.last - p.first == 1 for p in periods])
        shares = self._coverage(periods)
        if alone.all():
            values, ways = self._of_sheets(last, opened_with)
        else:
            known = self._sums_that_count(periods, shares, conventions) | opened_with
            known |= {name: self.rows[name][last] for name in self.levels}
            values, ways = self._from_sums(known, conventions, len(periods))
            self._put_single_sheets(values, ways, last, opened_with, alone)
        analysed = dict(zip(self.adds, shares, strict=True))
        analysed |= self._partly.at(last, alone, self.levels)
        coverage = followed(standing_for_all(values, analysed), ways)
        return Result(values | opened_with, ways, coverage, conventions, periods, self)

    def _from_sums(
        self, known: Mapping[str, Values], conventions: Conventions, periods: int
    ) -> tuple[dict[str, Values], dict[str, Ways]]:
        """Work out what follows from sums and levels; a sum that lacks is made of no other sums."""
        summed = dict.fromkeys(self.adds + self.levels, np.full(periods, -1, dtype=np.int8))
        rest = tuple(name for name in self.names if name not in summed)
        values, ways = worked_out_by_way(known, conventions, rest)
        every = {name: known[name] for name in summed} | values
        return {name: every[name] for name in self.names}, summed | ways

    def _sums_that_count(
        self, periods: Sequence[Period], shares: Values, conventions: Conventions
    ) -> dict[str, Values]:
        """Return the sums of each period, but those of which too little was really analysed."""
        summed = exact_sums(self._filled, periods)
        summed[shares * 100 < conventions["coverage_needed"]] = np.nan
        return dict(zip(self.adds, summed, strict=True)) | self._given_tonnes(periods)

    def _of_sheets(
        self, rows: NDArray[np.int64], openings: Mapping[str, Values]
    ) -> tuple[dict[str, Values], dict[str, Ways]]:
        """Return the figures of single sheets: also what holds only for a single sample."""
        known = {n: c[rows] for n, c in self.sheets.known(self.entered).items()} | dict(openings)
        chosen = {name: column[rows] for name, column in self.sheets.conventions.items()}
        return worked_out_by_way(known, chosen, self.names)

    def _put_single_sheets(
        self,
        values: dict[str, Values],
        ways: dict[str, Ways],
        rows: NDArray[np.int64],
        openings: Mapping[str, Values],
        alone: NDArray[np.bool_],
    ) -> None:
        """Put the figures of periods of one sheet in their places among those of longer ones."""
        if not alone.any():
            return
        found, taken = self._of_sheets(rows[alone], {n: c[alone] for n, c in openings.items()})
        for name in self.names:
            values[name], ways[name] = values[name].copy(), ways[name].copy()
            values[name][alone], ways[name][alone] = found[name], taken[name]

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
            self.entered, self.rows, self.sheets.carriers,
            [slice(p.first, p.last) for p in periods],
        )  # fmt: skip

    def sum_of(self, name: str, period: Period) -> float:
        """Return the sum of a figure that adds over a period, gaps of analyses estimated."""
        return math.fsum(self.filled[name][period.first : period.last].tolist())

    def _coverage(self, periods: Sequence[Period]) -> Values:
        """Return the share of each sum that was really analysed: (sums, periods), 0 to 1."""
        whole = sums(np.abs(self._filled), periods)
        analysed = sums(self._analysed, periods)
        return np.divide(analysed, whole, out=np.ones(whole.shape), where=whole > 0)

    def _given_tonnes(self, periods: Sequence[Period]) -> dict[str, Values]:
        """Tonnes that were given in place of what they follow from add as well."""
        return {
            name: np.array([column[p.first : p.last].sum() for p in periods])
            for name, column in self.sheets.given.items()
            if name in FIGURES and name not in SUMMED and FIGURES[name].unit == "t"
        }

    def openings(
        self, periods: Sequence[Period], of: Sequence[str] = OPENINGS
    ) -> dict[str, Values]:
        """Return the levels that each period opened with, counted as at its end."""
        names = tuple(name for name in of if name in self.levels)
        known = self.sheets.known(self.entered)
        found = openings(names, periods, self.rows, known, self.sheets.conventions)
        start = 0.0 if self.sheets.starts_empty else np.nan
        for name, column in found.items():
            given = self.sheets.given.get(OPENING + name)
            column[[p.first == 0 for p in periods]] = start if given is None else given[0]
        return found


def _first_allowed(name: str, conventions: Conventions, row: int) -> Way:
    return (allowed_ways(name, conventions, row) or FIGURES[name].ways)[0]
