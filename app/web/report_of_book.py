"""A book over some days: what it gives day by day, its records, and what follows of them."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from fastapi import APIRouter, HTTPException, Request, Response
from fastapi.responses import PlainTextResponse
from sqlalchemy import Connection

from app.exports.books import books_of
from app.exports.columns import FileColumn
from app.exports.following import values_of
from app.exports.records import columns_of_file, csv_of_records
from app.language import _
from app.ledger import booked, mills
from app.ledger.plan import plan_of
from app.ledger.records import VOID, begins_on, records_of
from app.plant.books import BOOKS
from app.plant.books.declare import Book, Value
from app.plant.books.juice import EVAPORATOR
from app.plant.books.laboratory import STANDARD_CHECKS
from app.plant.books.mill_survey import BOOK as MILL_SURVEY
from app.plant.books.utilities import WATER
from app.plant.calendar import Clock
from app.plant.measures import MEASURES, Measure
from app.reports.books import (
    BESIDE,
    SPECIAL,
    BookOfShift,
    DayLine,
    columns_of,
    day_lines,
    lines_of,
    whole_of,
)
from app.reports.evaporator import evaporator_over
from app.reports.numbers import printed
from app.reports.sugar_traces import traces_report
from app.web.books import Named
from app.web.doubtful import instruments_page
from app.web.marks import GoesOn, goes_on, marks_in
from app.web.requests import Day, Now, Reading, Viewer, render
from app.web.surveyed import surveyed

router = APIRouter(prefix="/books/{book}")

A_WEEK = timedelta(days=7)
MOST_DAYS = 31  # of a report with every record


@dataclass(frozen=True)
class ReportPage:
    """A book over some days: what it gives day by day, its records, and what follows of them."""

    first: date
    last: date
    of: BookOfShift
    measures: tuple[Measure, ...]
    days: tuple[DayLine, ...]
    whole: Mapping[str, str]
    special: Any
    season: str
    clock: Clock
    begins: date | None
    taken_out: int
    going_on: tuple[GoesOn, ...]

    @property
    def book(self) -> Book:
        """The book."""
        return self.of.book

    @property
    def file(self) -> Mapping[str, FileColumn]:
        """What the columns of its CSV file hold."""
        return columns_of_file(self.book)


@router.get("/csv")
def records_csv(_by: Viewer, book: Named, reading: Reading, first: Day, last: Day) -> Response:
    """Return the records of a book of some days as CSV."""
    mill, season = mills.the_mill(reading), _season_of(reading, first)
    records = records_of(reading, season, first, last, book)
    valued = values_of(reading, mill, season, book, first, last)
    text = csv_of_records(book, records, {record.id: said for record, said in valued})
    name = f"{book.name}-{first}-to-{last}.csv"
    headers = {"Content-Disposition": f'attachment; filename="{name}"'}
    return PlainTextResponse(text, media_type="text/csv; charset=utf-8", headers=headers)


@router.get("")
def show_report(
    request: Request, _by: Viewer, book: Named, reading: Reading, now: Now,
    first: Day | None = None, last: Day | None = None,
) -> Response:  # fmt: skip
    """Show a book over some days: the last seven, where none are named."""
    mill = mills.the_mill(reading)
    last = last or first or mill.clock.shift_at(now)[0]
    season = _season_of(reading, last)
    first = max(first or last - timedelta(days=6), season.first_day)
    if first > last:
        raise HTTPException(404, _("The first day comes after the last one."))
    if (last - first).days >= MOST_DAYS:
        raise HTTPException(404, _("A report of a book has at most {count} days.", count=MOST_DAYS))
    valued = values_of(reading, mill, season, book, first, last)
    marks = marks_in(reading, season, book, valued, mill.zone, now)
    days = day_lines(*booked.given_of_days(reading, season, book, first, last))
    whole = whole_of(days)
    page = ReportPage(
        first,
        last,
        BookOfShift(book, columns_of(book), lines_of(book, valued, marks)),
        tuple(measure for name, measure in MEASURES.items() if name in whole),
        tuple(days),
        {name: printed(given.value, MEASURES[name].decimals) for name, given in whole.items()},
        _special(reading, mill, season, book, (first, last), now, [said for _, said in valued]),
        season.name,
        mill.clock,
        begins_on(reading, season, book),
        sum(record.state == VOID for record in records_of(reading, season, first, last, book)),
        goes_on(reading, season, book, (last, mill.shifts_a_day + 1), mill.clock),
    )
    return render(request, "books/report.html", page=page)


def _special(
    connection: Connection,
    mill: mills.Mill,
    season: mills.Season,
    book: Book,
    days: tuple[date, date],
    now: datetime,
    valued: list[dict[str, Value]],
) -> Any:
    """Return what the report of a book says besides.

    A survey asks for the cane of its days, instruments for what of their past counts, the
    evaporator for figures of the days that are over, traces for what the mill calls usual.
    """
    if book is MILL_SURVEY:
        return surveyed(connection, mill, season, valued)
    if book is STANDARD_CHECKS:
        return instruments_page(connection, mill, season, days[1], now)
    if book is WATER:
        return traces_report(valued, plan_of(connection, mill))
    if book is EVAPORATOR:
        today = mill.clock.shift_at(now)[0]
        return evaporator_over(books_of(connection, mill, season), *days, today)
    return _of_records(connection, mill, season, book, days, valued)


def _of_records(
    connection: Connection,
    mill: mills.Mill,
    season: mills.Season,
    book: Book,
    days: tuple[date, date],
    valued: list[dict[str, Value]],
) -> Any:
    """Return what follows from the records of a book and of those beside it, if anything does."""
    if book.name not in SPECIAL:
        return None
    # what is on a roll holds until it is written anew; a strike is cured some days later
    first, last = days
    beside = []
    for name in BESIDE.get(book.name, ()):
        other = BOOKS[name]
        in_seasons = mills.seasons(connection, mill) if other.lasts else [season]
        days = (date.min, last) if other.lasts else (first, last + A_WEEK)
        beside.append(
            [
                said
                for each in in_seasons
                for _, said in values_of(connection, mill, each, other, *days)
            ]
        )
    return SPECIAL[book.name](valued, *beside)


def _season_of(connection: Connection, day: date) -> mills.Season:
    mill = mills.the_mill(connection)
    season = mills.season_of(connection, mill, day)
    if season is None:
        raise HTTPException(404, _("No season of this mill holds that day."))
    return season
