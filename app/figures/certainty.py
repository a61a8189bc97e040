"""How sure the figures of some periods are, by the uncertainties stated for what was measured."""

from collections.abc import Mapping
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from app.figures.declare import ENTERED, FIGURES, OPENING, Figure
from app.figures.evaluate import LEVELS, SUMMED, Values, behind
from app.figures.gradients import Gradient
from app.figures.propagation import (
    BEFORE,
    Errors,
    Moved,
    Moves,
    PeriodErrors,
    RowErrors,
)
from app.figures.readings import RESULTS, measures_of
from app.figures.sheets import Stated
from app.figures.uncertainties import default_uncertainty

if TYPE_CHECKING:
    from app.figures.periods import Books, Result


def row_errors(books: "Books", names: tuple[str, ...]) -> Moved:
    """Return how sums and levels move with what was entered, on each sheet.

    A sheet moves as it was worked out: by what was entered, or where it was estimated by that.
    """
    needed = behind(names)
    errors = _errors(books, needed)
    figures = _figures(books, needed)
    chosen = dict(books.sheets.conventions)
    known = chosen | books.sheets.known(books.entered) | books.rows
    ways = {ENTERED + name: taken for name, taken in books.ways_of_results.items()} | books.ways
    gradients = RowErrors(figures, known, ways, errors).gradients
    guessed = {n: np.isnan(books.rows[n]) & np.isfinite(books.guesses[n]) for n in needed}
    rows = np.flatnonzero(np.any(list(guessed.values()), axis=0))
    if len(rows):
        known = chosen | books.sheets.known(books.whole) | books.guesses
        ways |= books.ways_of_guesses
        estimated = RowErrors(
            figures,
            {name: column[rows] for name, column in known.items()},
            {name: taken[rows] for name, taken in ways.items()},
            {name: error.of_rows(rows) for name, error in errors.items()},
        ).gradients
        for name in needed:
            _put(gradients.setdefault(name, {}), estimated.get(name, {}), rows, guessed[name])
    return Moved(errors, {name: gradient for name, gradient in gradients.items() if gradient})


def _put(
    gradient: Gradient, estimated: Gradient, rows: NDArray[np.int64], guessed: NDArray[np.bool_]
) -> None:
    """Put the slopes of estimates in their rows."""
    for source in gradient.keys() | estimated.keys():
        slopes = gradient.get(source, np.zeros(len(guessed))).copy()
        there = np.zeros(len(guessed))
        there[rows] = estimated.get(source, np.zeros(len(rows)))
        gradient[source] = np.where(guessed, there, slopes)


def _figures(books: "Books", names: tuple[str, ...]) -> list[Figure]:
    """Return results that follow from readings, and then figures."""
    return [RESULTS[name] for name in books.ways_of_results] + [FIGURES[name] for name in names]


def _errors(books: "Books", names: tuple[str, ...]) -> dict[str, Errors]:
    """Return the errors of what was entered for some figures.

    What was given in place of what it follows from has no stated uncertainty.
    """
    found = {}
    for measure in measures_of(names):
        if measure in books.whole:
            if measure not in books.errors:
                books.errors[measure] = _errors_of(books, measure)
            found[ENTERED + measure] = books.errors[measure]
    for name, column in books.sheets.given.items():
        unknown = np.where(np.isnan(column), 0.0, np.nan)
        found[name] = Errors(unknown, unknown)
    return found


def _errors_of(books: "Books", measure: str) -> Errors:
    """Return the errors of one measure on each sheet; an estimate is as unsure as it varies."""
    column, entered = books.whole[measure], books.entered[measure]
    stated = books.sheets.stated.get(measure) or default_of_rows(measure, len(column))
    unit = np.where(stated.relative, np.abs(column) / 100, 1.0)
    unit = np.where(np.isfinite(column), unit, 0.0)
    random = stated.random * unit
    estimated = np.isnan(entered) & np.isfinite(column)
    if estimated.any():
        random = np.where(estimated, np.hypot(random, _varies(entered)), random)
    return Errors(random, stated.systematic * unit)


def _varies(entered: Values) -> float:
    """Return how much a measure varies from one analysis to the next; not a number before two.

    From successive differences, so that a trend over the season counts for little.
    """
    steps = np.diff(entered[np.isfinite(entered)])
    return float(np.sqrt(np.mean(np.square(steps)) / 2)) if len(steps) else float("nan")


def default_of_rows(name: str, size: int) -> Stated:
    """Return the default uncertainties of a measure, once for each row."""
    found = default_uncertainty(name)
    return Stated(
        np.full(size, found.random), np.full(size, found.systematic), np.full(size, found.relative)
    )


class Certainty:
    """Standard uncertainties of the figures of a result, and what each measure adds to them."""

    def __init__(self, result: "Result") -> None:
        self._result = result
        self._names: tuple[str, ...] = ()
        self.cover(())

    def cover(self, names: tuple[str, ...]) -> None:
        """Get ready to be asked for figures too, and for all that they follow from."""
        self._names = behind(tuple(dict.fromkeys((*self._names, *names))))
        self._of_periods: dict[int, PeriodErrors] = {}
        self._of_sheets: RowErrors | None = None

    def need(self, names: tuple[str, ...]) -> None:
        """Get ready to be asked for figures too, where that is not so already."""
        if not set(names) <= set(self._names):
            self.cover(names)

    def standard(self, name: str, index: int = 0) -> float:
        """Return the standard uncertainty of a figure; not a number where none is stated."""
        if not np.isfinite(self._result.values[name][index]):
            return float("nan")
        if name not in self._names:
            self.cover((name,))
        if index in self._place:
            standard = float(self._alone.standard(name)[self._place[index]])
        else:
            standard = self._of_period(index).standard(name)
        return 0.0 if standard < self._nothing(name, index) else standard

    def _nothing(self, name: str, index: int) -> float:
        """What an identity may leave of rounding, and is no uncertainty."""
        return 1e-6 * abs(float(self._result.values[name][index]))

    def of_single(self, name: str) -> Values:
        """Return the standard uncertainties of a figure in all periods of one sheet, in order."""
        if name not in self._names:
            self.cover((name,))
        return self._alone.standard(name)

    def budget(self, name: str, index: int = 0) -> dict[str, float]:
        """Return what each measure alone would leave uncertain of a figure, the most first."""
        if name not in self._names:
            self.cover((name,))
        found = (
            self._alone.budget(name, self._place[index])
            if index in self._place
            else self._of_period(index).budget(name)
        )
        least = self._nothing(name, index)
        return {k: v for k, v in sorted(found.items(), key=lambda pair: -pair[1]) if v > least}

    def moves(self, name: str, index: int = 0) -> dict[str, Moves]:
        """Return what each measure does to a figure, by which figures of periods are compared."""
        if name not in self._names:
            self.cover((name,))
        if index not in self._place:
            return self._of_period(index).moves(name)
        row, size = self._result.periods[index].first, len(self._result.books.sheets.day)
        return self._alone.moves(name, self._place[index], row, size)

    @cached_property
    def _place(self) -> dict[int, int]:
        """Where the periods of one sheet stand among each other."""
        periods = self._result.periods
        single = (i for i, period in enumerate(periods) if period.last - period.first == 1)
        return {index: place for place, index in enumerate(single)}

    @property
    def _alone(self) -> RowErrors:
        if self._of_sheets is None:
            self._of_sheets = self._work_sheets_out()
        return self._of_sheets

    def _work_sheets_out(self) -> RowErrors:
        result, books = self._result, self._result.books
        indices = list(self._place)
        rows = np.array([result.periods[i].first for i in indices])
        values: dict[str, Values] = {n: c[rows] for n, c in books.sheets.conventions.items()}
        values |= {ENTERED + n: c[rows] for n, c in books.entered.items()}
        values |= {name: column[indices] for name, column in result.values.items()}
        ways = {ENTERED + name: taken[rows] for name, taken in books.ways_of_results.items()}
        ways |= {name: taken[indices] for name, taken in result.ways.items()}
        errors = _errors(books, self._names)
        here = {name: error.of_rows(rows) for name, error in errors.items()}
        before = np.maximum(rows - 1, 0)
        here |= {BEFORE + name: error.of_rows(before) for name, error in errors.items()}
        return RowErrors(_figures(books, self._names), values, ways, here, self._openings(rows))

    def _openings(self, rows: NDArray[np.int64]) -> dict[str, Gradient]:
        """Return how each opening level moved with what was entered in the sheet before."""
        books, before = self._result.books, np.maximum(rows - 1, 0)
        levels = tuple(
            name
            for name in self._names
            if name in LEVELS and np.isfinite(books.rows[name][before]).any()
        )
        if not levels:
            return {}
        values = {n: c[before] for n, c in books.sheets.conventions.items()}
        values |= {n: c[before] for n, c in books.sheets.known(books.entered).items()}
        needed = behind(levels)
        values |= {name: books.rows[name][before] for name in needed}
        ways = {name: books.ways[name][before] for name in needed}
        errors = _errors(books, needed)
        earlier = {name: error.of_rows(before) for name, error in errors.items()}
        moved = RowErrors([FIGURES[n] for n in needed], values, ways, earlier).gradients
        there = rows > 0
        found = {
            OPENING + name: {
                BEFORE + source: np.where(there, slope, 0.0)
                for source, slope in moved[name].items()
            }
            for name in levels
            if name in moved and OPENING + name in self._result.values
        }
        for name in found.keys() & books.sheets.given.keys():
            found[name][name] = np.where(there, 0.0, 1.0)  # given before the first sheet
        return found

    def _of_period(self, index: int) -> PeriodErrors:
        if index not in self._of_periods:
            result = self._result
            period = result.periods[index]
            one = slice(index, index + 1)
            values: Mapping[str, Values] = {n: c[one] for n, c in result.conventions.items()} | {
                n: c[one] for n, c in result.values.items()
            }
            ways = {name: taken[one] for name, taken in result.ways.items()}
            sums = tuple(name for name in self._names if name in SUMMED)
            self._of_periods[index] = PeriodErrors(
                result.books.row_errors(sums),
                (period.first, period.last),
                self._names,
                values,
                ways,
            )
        return self._of_periods[index]
