"""What the way in for programs answers: where things stand, what may be sent, a day's figures."""

from datetime import date
from math import isfinite

from pydantic import BaseModel, Field

from app.figures import FIGURES
from app.ledger.instruments import Instrument
from app.ledger.mills import Mill
from app.plant.books import BOOKS
from app.plant.books.declare import NUMBER, Book
from app.plant.measures import Measure
from app.plant.plan import Plan
from app.reports.season_books import SeasonBooks


class ResultStands(BaseModel):
    """Where a result stands."""

    day: date = Field(description="The factory day.")
    shift: int = Field(description="The number of the shift within its day.")
    measure: str = Field(description="The name of the measure.")
    sample: int = Field(description="Which sample of the shift.")
    determination: int = Field(description="Which test of that sample.")
    entry: int = Field(description="The number of its entry in the ledger.")


class ResultsTaken(BaseModel):
    """Every result that was sent, in the same order."""

    entries: list[ResultStands] = Field(description="Where each stands.")


class RecordStands(BaseModel):
    """Where a record stands."""

    day: date = Field(description="The factory day.")
    shift: int = Field(description="The number of the shift within its day.")
    book: str = Field(description="The name of the book.")
    record: int = Field(description="The number of the record in the ledger.")


class RecordsTaken(BaseModel):
    """Every record that was sent, in the same order."""

    records: list[RecordStands] = Field(description="Where each stands.")


class MeasureTaken(BaseModel):
    """A measure that the mill takes."""

    name: str = Field(description="What results are sent by.")
    title: str = Field(description="What pages call it, in English.")
    unit: str = Field(description="Its unit; tonnes are metric.")
    decimals: int = Field(description="How many decimals are printed of it.")
    usual: tuple[float, float] = Field(description="Outside it a result is marked.")
    hard: tuple[float, float] = Field(description="Outside it a result is refused.")
    grain: str = Field(description="How often it is taken: shift, day or week.")
    every: int = Field(description="Hours between the samples of a shift; 0 for one.")
    rule: str = Field(description="How samples make the shift’s result: mean, sum or last.")
    may_write: bool = Field(description="Whether this token may send it.")


class FieldOfBook(BaseModel):
    """A field of a book."""

    name: str = Field(description="What it is sent by.")
    title: str = Field(description="What pages call it, in English.")
    kind: str = Field(description="number, text, choice or time.")
    unit: str = Field(description="The unit of a number.")
    hard: tuple[float, float] | None = Field(description="Outside it a number is refused.")
    choices: list[str] = Field(description="What may be sent, of a choice.")
    needed: bool = Field(description="Whether no record can do without it.")


class BookKept(BaseModel):
    """A book of records."""

    name: str = Field(description="What records are sent by.")
    title: str = Field(description="What pages call it, in English.")
    key: str = Field(description="The field by which a record of a season is known, if any.")
    fields: list[FieldOfBook] = Field(description="What a record says.")
    may_write: bool = Field(description="Whether this token may write in it.")


class WhatIsTaken(BaseModel):
    """What the mill takes on a day."""

    mill: str = Field(description="The name of the mill.")
    zone: str = Field(description="The time zone of its clock.")
    day_starts: str = Field(description="When its factory day begins, by that clock.")
    shifts_a_day: int = Field(description="How many shifts a day has.")
    day: date = Field(description="The factory day that runs.")
    shift: int = Field(description="The shift that runs.")
    measures: list[MeasureTaken] = Field(description="What is taken, in the order of the sheet.")
    books: list[BookKept] = Field(description="The other books.")


class FigureOfDay(BaseModel):
    """A figure of a day."""

    value: float | None = Field(description="Its value at full precision; null where it has none.")
    unit: str = Field(description="Its unit; tonnes are metric.")
    missing: list[str] = Field(description="The measures for want of which it has no value.")
    coverage: float | None = Field(description="The share of it that was analysed, 0 to 1.")


class FiguresOfDay(BaseModel):
    """The figures of one factory day, as they are known now."""

    day: date = Field(description="The factory day.")
    over: bool = Field(description="Whether its last shift has ended.")
    figures: dict[str, FigureOfDay] = Field(description="Each figure, by name.")


def what_is_taken(
    mill: Mill, plan: Plan, running: tuple[date, int], instrument: Instrument
) -> WhatIsTaken:
    """Return what a mill takes on the day that runs, and what an instrument may send of it."""
    day, shift = running
    return WhatIsTaken(
        mill=mill.name, zone=mill.zone, day_starts=mill.day_starts,
        shifts_a_day=mill.shifts_a_day, day=day, shift=shift,
        measures=[_measure(each, instrument) for each in plan.on(day).values()],
        books=[_book(each, instrument) for each in BOOKS.values()],
    )  # fmt: skip


def _measure(measure: Measure, instrument: Instrument) -> MeasureTaken:
    return MeasureTaken(
        name=measure.name, title=measure.title, unit=measure.unit, decimals=measure.decimals,
        usual=measure.usual, hard=measure.hard, grain=measure.grain, every=measure.every,
        rule=measure.rule, may_write=measure.name in instrument.measures,
    )  # fmt: skip


def _book(book: Book, instrument: Instrument) -> BookKept:
    fields = [
        FieldOfBook(
            name=each.name, title=each.title, kind=each.kind, unit=each.unit,
            hard=each.hard if each.kind == NUMBER else None, choices=list(each.choices),
            needed=each.needed,
        )
        for each in book.fields
    ]  # fmt: skip
    return BookKept(
        name=book.name, title=book.title, key=book.key, fields=fields,
        may_write=book.name in instrument.books,
    )  # fmt: skip


def figures_of_day(books: SeasonBooks, day: date, *, over: bool) -> FiguresOfDay:
    """Return every figure of a day."""
    books.need(FIGURES)
    result = books.over(books.day(day))
    found = {}
    for name, figure in FIGURES.items():
        if not figure.internal:
            value, coverage = float(result.values[name][0]), float(result.coverage[name][0])
            there = isfinite(value)
            found[name] = FigureOfDay(
                value=value if there else None, unit=figure.unit,
                missing=[] if there else list(result.missing(name)),
                coverage=coverage if there and isfinite(coverage) else None,
            )  # fmt: skip
    return FiguresOfDay(day=day, over=over, figures=found)
