"""A book over some days: what it gives day by day, its records, and what follows of them."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from fastapi import APIRouter, HTTPException, Request, Response
from fastapi.responses import PlainTextResponse
from sqlalchemy import Connection

from app.exports.records import csv_of_records
from app.language import _
from app.ledger import booked, mills
from app.ledger.records import Record, records_of
from app.plant.books.declare import Book
from app.plant.measures import MEASURES, Measure
from app.reports.books import (
    SPECIAL,
    BookOfShift,
    DayLine,
    columns_of,
    day_lines,
    whole_of,
    with_following,
)
from app.reports.numbers import printed
from app.web.books import Named, lines_of
from app.web.requests import (
    Day,
    Now,
    Reading,
    Viewer,
    render,
)

router = APIRouter(prefix="/books/{book}")

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

    @property
    def book(self) -> Book:
        """The book."""
        return self.of.book


@router.get("/csv")
def records_csv(_by: Viewer, book: Named, reading: Reading, first: Day, last: Day) -> Response:
    """Return the records of a book of some days as CSV."""
    season = _season_of(reading, first)
    records = records_of(reading, season, first, last, book)
    rows = mills.convention_rows(reading, mills.the_mill(reading))
    valued = {
        record.id: with_following(book, values, rows, record.day)
        for _shift, page in _by_shift(reading, season, book, records)
        for record, values in zip(page.records, page.values, strict=True)
    }
    text = csv_of_records(book, records, valued)
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
    records = records_of(reading, season, first, last, book)
    rows = mills.convention_rows(reading, mill)
    pages = _by_shift(reading, season, book, records)
    lines = [line for _shift, page in pages for line in lines_of(book, page, rows)]
    valued = [
        {**with_following(book, values, rows, record.day), "day": record.day.isoformat(),
         "shift": float(record.number), "record": float(record.id)}
        for _shift, page in pages
        for record, values in zip(page.records, page.values, strict=True)
    ]  # fmt: skip
    days = day_lines(*booked.given_of_days(reading, season, book, first, last))
    whole = whole_of(days)
    page = ReportPage(
        first,
        last,
        BookOfShift(book, columns_of(book), tuple(lines)),
        tuple(measure for name, measure in MEASURES.items() if name in whole),
        tuple(days),
        {name: printed(given.value, MEASURES[name].decimals) for name, given in whole.items()},
        SPECIAL[book.name](valued) if book.name in SPECIAL else None,
        season.name,
    )
    return render(request, "books/report.html", page=page)


def _season_of(connection: Connection, day: date) -> mills.Season:
    mill = mills.the_mill(connection)
    season = mills.season_of(connection, mill, day)
    if season is None:
        raise HTTPException(404, _("No season of this mill holds that day."))
    return season


def _by_shift(
    connection: Connection, season: mills.Season, book: Book, records: list[Record]
) -> list[tuple[int, booked.Page]]:
    groups: dict[int, list[Record]] = {}
    for record in records:
        groups.setdefault(record.shift_id, []).append(record)
    return [
        (shift, booked.page_of(connection, season, book, group)) for shift, group in groups.items()
    ]
