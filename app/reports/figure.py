"""One figure of one period, opened down to its formula, its inputs and the sheets behind them."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

import numpy as np

from app.figures import CONVENTIONS, FIGURES
from app.figures.declare import ENTERED, OPENING, Figure
from app.figures.periods import ADDS, Period, Result
from app.plant.measures import MEASURES
from app.reports.lines import Cell, cell, measure_title
from app.reports.numbers import printed
from app.reports.season_books import InForce, SeasonBooks

SHIFT_ROWS = 630


@dataclass(frozen=True)
class Input:
    """What a figure is worked out from: a figure (with an address), a measure or a convention."""

    title: str
    text: str
    unit: str
    figure: str = ""
    coverage: str = ""


@dataclass(frozen=True)
class Behind:
    """A result that stands on a sheet, and whether it corrects another."""

    measure: str
    title: str
    text: str
    corrected: bool


@dataclass(frozen=True)
class ShiftValue:
    """What one sheet gives to a figure that adds; `mark` says where it is estimated or lacks."""

    day: date
    number: int
    text: str
    mark: str
    results: tuple[Behind, ...]


@dataclass(frozen=True)
class Lack:
    """A measure for want of which the figure has no value, and the sheets it lacks on."""

    title: str
    measure: str
    shifts: tuple[tuple[date, int], ...]


@dataclass(frozen=True)
class FigureReport:
    """Everything the page of a figure prints."""

    figure: Figure
    cell: Cell
    formula: str
    inputs: tuple[Input, ...]
    decided_by: tuple[InForce, ...]
    shifts: tuple[ShiftValue, ...]
    lacks: tuple[Lack, ...]


def figure_report(books: SeasonBooks, name: str, period: Period) -> FigureReport:
    """Return figure `name` of one period with all that stands behind it."""
    result = books.books.over([period])
    figure = FIGURES[name]
    way = result.way(name)
    in_force = books.in_force(books.days[period.last - 1])
    return FigureReport(
        figure,
        cell(name, result, 0, books),
        way.formula,
        tuple(_input(i, result, books) for i in way.inputs),
        tuple(c for c in in_force if c.name in way.when or c.name in way.inputs),
        tuple(_shifts(name, period, books)) if name in ADDS else (),
        tuple(_lack(m, rows, books) for m, rows in result.missing(name).items()),
    )


def _input(name: str, result: Result, books: SeasonBooks) -> Input:
    if name in FIGURES:
        figure, found = FIGURES[name], cell(name, result, 0, books)
        return Input(figure.title, found.text or found.missing, figure.unit, name, found.coverage)
    if name in CONVENTIONS:
        convention = CONVENTIONS[name]
        return Input(convention.title, f"{result.conventions[name][0]:g}", convention.unit)
    if name.startswith(OPENING):
        level = FIGURES[name.removeprefix(OPENING)]
        value = float(result.values[name][0])
        return Input(f"{level.title}, opening", printed(value, level.decimals), level.unit)
    measure = name.removeprefix(ENTERED)
    unit = MEASURES[measure].unit if measure in MEASURES else ""
    title = MEASURES[measure].title if measure in MEASURES else measure_title(measure)
    return Input(title, _entered(measure, result, books), unit)


def _entered(measure: str, result: Result, books: SeasonBooks) -> str:
    period = result.periods[0]
    if period.last - period.first != 1:
        return "each shift, below"
    decimals = MEASURES[measure].decimals if measure in MEASURES else 2
    return printed(float(books.measures[measure][period.first]), decimals) or "not entered"


def _shifts(name: str, period: Period, books: SeasonBooks) -> list[ShiftValue]:
    filled = books.books.filled[name]
    decimals = FIGURES[name].decimals
    found = []
    for row in range(max(period.first, period.last - SHIFT_ROWS), period.last):
        shift = books.shifts[row]
        value = printed(float(filled[row]), decimals)
        found.append(
            ShiftValue(
                shift.day, shift.number, value, _mark(name, row, books), _results(name, row, books)
            )
        )
    return found


def _mark(name: str, row: int, books: SeasonBooks) -> str:
    real, filled = books.books.rows[name][row], books.books.filled[name][row]
    if np.isfinite(real):
        return ""
    if np.isnan(filled):
        return "lacks"
    return "estimated" if filled else "once a day"


def _results(name: str, row: int, books: SeasonBooks) -> tuple[Behind, ...]:
    """What stands on one sheet of the measures behind `name`, in the order it asks for them."""
    return tuple(
        Behind(
            measure,
            MEASURES[measure].title,
            printed(float(books.measures[measure][row]), MEASURES[measure].decimals),
            (row, measure) in books.corrected,
        )
        for measure in dict.fromkeys(_measures_behind(name, row, books))
        if measure in MEASURES and np.isfinite(books.measures[measure][row])
    )


def _measures_behind(name: str, row: int, books: SeasonBooks) -> Iterator[str]:
    for asked in books.books.way_of_row(name, row).inputs:
        if asked.startswith(ENTERED):
            yield asked.removeprefix(ENTERED)
        elif asked in FIGURES:
            yield from _measures_behind(asked, row, books)


def _lack(measure: str, rows: list[int], books: SeasonBooks) -> Lack:
    shifts = tuple((books.shifts[r].day, books.shifts[r].number) for r in rows if r >= 0)
    return Lack(measure_title(measure), measure, shifts)
