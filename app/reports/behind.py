"""What stands behind a figure of a period: what it follows from, down to what was entered."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from app.chemistry.validity import OutOfRange
from app.figures import CONVENTIONS, FIGURES
from app.figures.declare import ENTERED, OPENING, Way
from app.figures.evaluate import allowed_ways
from app.figures.periods import Result
from app.figures.readings import RESULTS
from app.language import _
from app.plant.books import GIVEN_BY
from app.plant.measures import MEASURES
from app.reports.lines import cell, measure_title
from app.reports.numbers import as_read, plus_minus, printed, range_words
from app.reports.season_books import SeasonBooks


@dataclass(frozen=True)
class Node:
    """One input: a figure, a measure, a convention or an opening stock, and what is behind it.

    `there` tells whether a figure has a value.

    `figure` is the name of one that opens; `entered` the measure of a sheet, and `sheets` on how
    many sheets of how many it stands, typed or given by a book; `formula` how it was worked out
    here.
    """

    title: str
    text: str
    unit: str
    doubt: str = ""
    coverage: str = ""
    figure: str = ""
    entered: str = ""
    sheets: str = ""
    formula: str = ""
    inputs: tuple["Node", ...] = ()
    there: bool = True

    @property
    def size(self) -> int:
        """How many nodes it makes with all behind it."""
        return 1 + sum(node.size for node in self.inputs)


class Behind:
    """Opens the figures of one period of a season.

    `tests` has, of one sheet, the samples and tests that make a result, where there are several.
    """

    def __init__(
        self, result: Result, books: SeasonBooks, tests: Mapping[str, tuple[Node, ...]]
    ) -> None:
        self._result, self._books, self._tests = result, books, tests
        self._period = result.periods[0]
        self._single = self._period.last - self._period.first == 1
        self._seen: set[str] = set()

    def inputs(self, name: str) -> tuple[Node, ...]:
        """Return what figure `name` follows from directly."""
        return tuple(self._node(i, deep=False) for i in self._result.way(name).inputs)

    def tree(self, name: str) -> tuple[Node, ...]:
        """Return the same down to what was entered; each figure is opened once."""
        self._seen = {name}
        return tuple(self._node(i, deep=True) for i in self._result.way(name).inputs)

    def out_of_range(self, name: str) -> str:
        """Say which input of `name` lies outside the range in which its rule holds, if one does."""
        for way in allowed_ways(name, self._result.conventions, 0):
            inputs = [self._value(i) for i in way.inputs]
            if all(np.isfinite(v).all() for v in inputs if v.dtype.kind == "f"):
                try:
                    with np.errstate(all="ignore"):
                        way.function(*inputs)
                except OutOfRange as problem:
                    return range_words(problem)
        return ""

    def _value(self, name: str) -> np.ndarray:
        result = self._result
        if name in result.values:
            return result.values[name][:1]
        if name in result.conventions:
            return result.conventions[name][:1]
        entered = self._books.books.entered.get(name.removeprefix(ENTERED))
        row = self._period.first
        if entered is None or not self._single:
            return np.array([np.nan])
        return entered[row : row + 1]

    def _node(self, name: str, *, deep: bool) -> Node:
        if name in FIGURES:
            return self._figure(name, deep=deep)
        if name in CONVENTIONS:
            convention = CONVENTIONS[name]
            value = self._result.conventions[name][0]
            text = _(value) if isinstance(value, str) else as_read(f"{value:g}")
            title = _("{title} (convention)", title=_(convention.title))
            return Node(title, text, convention.unit)
        if name.startswith(OPENING):
            level = FIGURES[name.removeprefix(OPENING)]
            value = float(self._result.values[name][0])
            title = _("{level}, at the opening", level=_(level.title))
            return Node(title, printed(value, level.decimals), level.unit)
        return self._measure(name.removeprefix(ENTERED))

    def _figure(self, name: str, *, deep: bool) -> Node:
        figure, found = FIGURES[name], cell(name, self._result, 0, self._books)
        way = self._result.way(name)
        inputs: tuple[Node, ...] = ()
        if deep and name not in self._seen:
            self._seen.add(name)
            inputs = tuple(self._node(i, deep=True) for i in way.inputs)
        return Node(
            _(figure.title),
            found.text or found.missing,
            "" if figure.internal else figure.unit,  # such as the product of a weight and a pH
            plus_minus(self._result.certainty.standard(name), figure.decimals),
            found.coverage,
            "" if figure.internal else name,
            formula=way.formula,
            inputs=inputs,
            there=found.value is not None,
        )

    def _measure(self, measure: str) -> Node:
        title = _(MEASURES[measure].title) if measure in MEASURES else measure_title(measure)
        unit = MEASURES[measure].unit if measure in MEASURES else ""
        column = self._books.books.entered.get(measure, np.array([]))
        here = column[self._period.first : self._period.last]
        if not self._single:
            there = int(np.isfinite(here).sum())
            sheets = self._sheets_of(measure, there, len(here))
            return Node(title, "", unit, entered=measure, sheets=sheets)
        decimals = MEASURES[measure].decimals if measure in MEASURES else 2
        text = printed(float(here[0]), decimals) if len(here) else ""
        way = self._way_of_reading(measure)
        readings = tuple(self._node(i, deep=False) for i in way.inputs) if way else ()
        booked = (self._period.first, measure) in self._books.booked
        of_book = ""
        if booked:
            of_book = _("of the records of the book {title}", title=_(GIVEN_BY[measure].title))
        return Node(
            title,
            text or _("not entered"),
            unit,
            entered=measure,
            formula=way.formula if way else of_book,
            inputs=readings or self._tests.get(measure, ()),
        )

    def _sheets_of(self, measure: str, there: int, of: int) -> str:
        """Say on how many sheets a measure stands, and on how many a book gives it."""
        rows = range(self._period.first, self._period.last)
        given = sum((row, measure) in self._books.booked for row in rows)
        if not given:
            return _("entered on {there} of {of} sheets", there=there, of=of)
        book = _(GIVEN_BY[measure].title)
        if given == there:
            return _(
                "from the book {book} on {there} of {of} sheets", book=book, there=there, of=of
            )
        return _(
            "on {there} of {of} sheets, {given} of them from the book {book}",
            there=there, of=of, given=given, book=book,
        )  # fmt: skip

    def _way_of_reading(self, measure: str) -> Way | None:
        """Return how a result of this one sheet follows from readings, if it does."""
        taken = self._books.books.ways_of_results.get(measure)
        number = -1 if taken is None else int(taken[self._period.first])
        return RESULTS[measure].ways[number] if number >= 0 else None


def measures_behind(name: str, row: int, books: SeasonBooks) -> Iterator[str]:
    """Yield the measures of one sheet that figure `name` follows from there."""
    for asked in books.books.way_of_row(name, row).inputs:
        if asked.startswith(ENTERED):
            measure = asked.removeprefix(ENTERED)
            taken = books.books.ways_of_results.get(measure)
            if taken is not None and taken[row] >= 0:
                way = RESULTS[measure].ways[taken[row]]
                yield from (i.removeprefix(ENTERED) for i in way.inputs if i.startswith(ENTERED))
            else:
                yield measure
        elif asked in FIGURES:
            yield from measures_behind(asked, row, books)
