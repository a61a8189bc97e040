"""A whole factory day as a table: `.venv/bin/python -m tests.whole_factory [DAY]`.

For each of the other books, on a day of the demonstration: one number that was entered, what its
records give to the sheet, one figure worked out from that, and where a report prints it.
"""

import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import numpy as np

from app.database import open_database, reading
from app.exports.books import books_of
from app.exports.following import values_of
from app.figures import FIGURES
from app.figures.declare import ENTERED
from app.figures.of_records import FOLLOWING
from app.ledger import mills
from app.plant.books import BOOKS, measures_of
from app.plant.books.declare import Book
from app.plant.measures import MEASURES
from app.plant.streams import STATIONS
from app.reports import day as morning
from app.reports.numbers import printed
from app.reports.season_books import SeasonBooks
from tests.served import demo_database

DAY = date(2026, 10, 27)
MORNING = {*(name for plan in morning.PLAN.values() for name in plan), *morning.ANALYSES}


@dataclass(frozen=True)
class Row:
    """What one book had on the day."""

    book: Book
    entered: str
    given: str
    figure: str
    report: str


def whole_day(day: date = DAY) -> list[Row]:
    """Return a row for each book that the demonstration keeps, in the order of the factory."""
    with tempfile.TemporaryDirectory() as folder:
        engine = open_database(f"sqlite:///{demo_database(Path(folder))}")
        with reading(engine) as connection:
            mill = mills.the_mill(connection)
            season = mills.season_of(connection, mill, day)
            books = books_of(connection, mill, season)
            books.need(FIGURES)
            rows = [
                _row(book, books, day, values_of(connection, mill, season, book, day, day))
                for book in BOOKS.values()
            ]
        engine.dispose()
    return rows


def _row(book: Book, books: SeasonBooks, day: date, records: list) -> Row:
    return Row(book, _entered(book, records), *_fed(book, books, day), report=_report(book))


def _entered(book: Book, records: list) -> str:
    for record, values in records:
        for field in book.fields:
            if isinstance(values.get(field.name), float):
                return f"{field.title} {record.fields[field.name]} {field.unit}".strip()
    return f"{len(records)} records" if records else ""


def _fed(book: Book, books: SeasonBooks, day: date) -> tuple[str, str]:
    """Return a result that the book gives on the day, and a figure that follows from it."""
    result = books.over(books.day(day))
    for measure in _given(book, books, day):
        for name in _figures_of(measure):
            value = result.values[name][0]
            if np.isfinite(value):
                figure = FIGURES[name]
                text = f"{figure.title} {printed(value, figure.decimals)} {figure.unit}"
                return MEASURES[measure].title, text
    follows = [each.title for each in FOLLOWING.get(book.name, [])]
    return "", ", ".join(follows[:1])


def _given(book: Book, books: SeasonBooks, day: date) -> Iterator[str]:
    period = books.day(day)
    on_day = {name for row, name in books.booked if period.first <= row < period.last}
    for gives in book.gives:
        yield from (name for name in measures_of(book, gives) if name in on_day)


def _figures_of(measure: str) -> list[str]:
    """Return public figures that ask for a measure: those of the morning report first."""
    asking = {measure, f"{ENTERED}{measure}"}
    for _step in range(2):  # a mean is carried by a sum, which asks
        asking |= {
            name
            for name, figure in FIGURES.items()
            if any(asking & set(way.inputs) for way in figure.ways)
        }
    found = [name for name in FIGURES if name in asking and not FIGURES[name].internal]
    return sorted(found, key=lambda name: name not in MORNING)


def _report(book: Book) -> str:
    for gives in book.gives:
        for measure in measures_of(book, gives):
            if any(name in MORNING for name in _figures_of(measure)):
                return "morning report"
    return f"report of {book.title.lower()}" + (", figures by station" if book.gives else "")


def main() -> None:
    """Print the table."""
    day = date.fromisoformat(sys.argv[1]) if sys.argv[1:] else DAY
    print("| book | station | entered | gives | figure | report |\n|---|---|---|---|---|---|")
    for row in whole_day(day):
        station = STATIONS.get(row.book.station, "Laboratory")
        said = (row.book.title, station, row.entered, row.given, row.figure, row.report)
        print("| " + " | ".join(text or "–" for text in said) + " |")


if __name__ == "__main__":
    main()
