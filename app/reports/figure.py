"""One figure of one period, opened down to its formula, its inputs and the sheets behind them."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

import numpy as np

from app.figures import FIGURES
from app.figures.declare import Figure
from app.figures.evaluate import ADDS
from app.figures.periods import Result
from app.figures.sheets import Period
from app.language import _
from app.plant.books import GIVEN_BY
from app.plant.measures import MEASURES
from app.reports.behind import Behind, Node, measures_behind
from app.reports.lines import Cell, cell, measure_title
from app.reports.numbers import plus_minus, printed, significance
from app.reports.season_books import InForce, SeasonBooks
from app.reports.sources import source_words

NO_TESTS: Mapping[str, tuple[Node, ...]] = {}
NO_COUNTS: Mapping[tuple[date, int, str], int] = {}
SHIFT_ROWS = 630
MOST_CONTRIBUTIONS = 8
MOST_LACKING = 10


@dataclass(frozen=True)
class Entered:
    """A result that stands on a sheet: whether it corrects another, and the book that gave it."""

    measure: str
    title: str
    text: str
    corrected: bool
    book: str


@dataclass(frozen=True)
class ShiftValue:
    """What one sheet gives to a figure that adds; `mark` says where it is estimated or lacks."""

    day: date
    number: int
    text: str
    mark: str
    results: tuple[Entered, ...]

    @property
    def lacks(self) -> bool:
        """Whether it gives nothing."""
        return not self.text


@dataclass(frozen=True)
class Lack:
    """A measure for want of which the figure has no value, and the sheets it lacks on."""

    title: str
    measure: str
    shifts: tuple[tuple[date, int], ...]


@dataclass(frozen=True)
class Contribution:
    """What one measure adds to the uncertainty of a figure: alone, and as % of the variance."""

    title: str
    measure: str
    text: str
    share: str


@dataclass(frozen=True)
class FigureReport:
    """Everything the page of a figure prints."""

    figure: Figure
    cell: Cell
    doubt: str
    significance: str
    formula: str
    source: str
    inputs: tuple[Node, ...]
    tree: tuple[Node, ...]
    decided_by: tuple[InForce, ...]
    budget: tuple[Contribution, ...]
    shifts: tuple[ShiftValue, ...]
    lacks: tuple[Lack, ...]
    out_of_range: str

    @property
    def shown(self) -> list[ShiftValue]:
        """The sheets behind it, the newest first; of those without it no more than ten."""
        newest = self.shifts[::-1]
        without = [shift for shift in newest if shift.lacks][:MOST_LACKING]
        return [shift for shift in newest if not shift.lacks or shift in without]


def figure_report(
    books: SeasonBooks,
    name: str,
    period: Period,
    tests: Mapping[str, tuple[Node, ...]] = NO_TESTS,
    counts: Mapping[tuple[date, int, str], int] = NO_COUNTS,
) -> FigureReport:
    """Return figure `name` of one period with all that stands behind it.

    `tests` has the samples and tests of one sheet by measure, `counts` how many make the result of
    a sheet, by its day, number and measure, where there are several.
    """
    books.need([name])
    result = books.over(period)
    result.certainty.cover((name,))
    figure = FIGURES[name]
    way = result.way(name)
    behind = Behind(result, books, tests)
    in_force = books.in_force(books.days[period.last - 1])
    lacks = tuple(_lack(m, rows, books) for m, rows in result.missing(name).items())
    value, standard = float(result.values[name][0]), result.certainty.standard(name)
    nothing = not np.isfinite(value) and not lacks
    return FigureReport(
        figure,
        cell(name, result, 0, books),
        plus_minus(standard, figure.decimals),
        significance(value, standard) if name.startswith("undetermined_") and standard > 0 else "",
        way.formula,
        source_words(figure.source_of(way)),
        behind.inputs(name),
        behind.tree(name),
        tuple(c for c in in_force if c.name in way.when or c.name in way.inputs),
        _budget(name, result),
        tuple(_shifts(name, period, books, counts)) if name in ADDS else (),
        lacks,
        behind.out_of_range(name) if nothing else "",
    )


def _budget(name: str, result: Result) -> tuple[Contribution, ...]:
    """Return the measures that matter most to the uncertainty of a figure, the most first."""
    if not np.isfinite(result.values[name][0]):
        return ()
    budget = result.certainty.budget(name)
    whole = sum(value**2 for value in budget.values())
    decimals = FIGURES[name].decimals
    return tuple(
        Contribution(
            _(MEASURES[measure].title) if measure in MEASURES else measure_title(measure),
            measure if measure in MEASURES else "",
            plus_minus(value, decimals),
            printed(100 * value**2 / whole, 0),
        )
        for measure, value in list(budget.items())[:MOST_CONTRIBUTIONS]
    )


def _shifts(
    name: str, period: Period, books: SeasonBooks, counts: Mapping[tuple[date, int, str], int]
) -> list[ShiftValue]:
    filled = books.books.filled[name]
    decimals = FIGURES[name].decimals
    found = []
    for row in range(max(period.first, period.last - SHIFT_ROWS), period.last):
        shift = books.shifts[row]
        value = printed(float(filled[row]), decimals)
        results = _results(name, row, books, counts)
        found.append(ShiftValue(shift.day, shift.number, value, _mark(name, row, books), results))
    return found


def _mark(name: str, row: int, books: SeasonBooks) -> str:
    real, filled = books.books.rows[name][row], books.books.filled[name][row]
    if np.isfinite(real):
        return ""
    if np.isnan(filled):
        return _("lacks")
    return _("estimated") if filled else _("once a day")


def _results(
    name: str, row: int, books: SeasonBooks, counts: Mapping[tuple[date, int, str], int]
) -> tuple[Entered, ...]:
    """What stands on one sheet of the measures behind `name`, in the order it asks for them."""
    shift_of = books.shifts[row].day, books.shifts[row].number
    return tuple(
        Entered(
            measure,
            _(MEASURES[measure].title),
            _result(measure, float(books.measures[measure][row]), counts.get((*shift_of, measure))),
            (row, measure) in books.corrected,
            GIVEN_BY[measure].title if (row, measure) in books.booked else "",
        )
        for measure in dict.fromkeys(measures_behind(name, row, books))
        if measure in MEASURES and np.isfinite(books.measures[measure][row])
    )


def _result(measure: str, value: float, count: int | None) -> str:
    text = printed(value, MEASURES[measure].decimals)
    return _("{result}, of {count}", result=text, count=count) if count else text


def _lack(measure: str, rows: list[int], books: SeasonBooks) -> Lack:
    shifts = tuple((books.shifts[r].day, books.shifts[r].number) for r in rows if r >= 0)
    return Lack(measure_title(measure), measure, shifts)
