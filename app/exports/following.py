"""The records of a book with all that follows in each, as reports and files take them."""

from collections.abc import Iterable, Iterator
from datetime import date

from sqlalchemy import Connection

from app.figures.of_records import FOLLOWING
from app.ledger import booked, mills
from app.ledger.booked import Page
from app.ledger.mills import Mill, Season
from app.ledger.records import Record, records_of
from app.plant.books.declare import Book, Value
from app.reports.books import conventions_on, with_following


def pages_of(
    connection: Connection, season: Season, book: Book, records: Iterable[Record]
) -> list[Page]:
    """Return the records of a book shift by shift, with their values and what they give."""
    groups: dict[int, list[Record]] = {}
    for record in records:
        groups.setdefault(record.shift_id, []).append(record)
    return [booked.page_of(connection, season, book, group) for group in groups.values()]


def values_of(
    connection: Connection, mill: Mill, season: Season, book: Book, first: date, last: date
) -> list[tuple[Record, dict[str, Value]]]:
    """Return the records of some days that count, each with what it says and what follows.

    With the values come the `day`, `shift` and `record` that they are of.
    """
    records = records_of(connection, season, first, last, book)
    pages = pages_of(connection, season, book, records)
    return [each for page in pages for each in following(connection, mill, book, page)]


def following(
    connection: Connection, mill: Mill, book: Book, page: Page
) -> Iterator[tuple[Record, dict[str, Value]]]:
    """Yield the records of one shift that count, as `values_of` does."""
    if not page.records:
        return
    rows = mills.convention_rows(connection, mill) if book.name in FOLLOWING else []
    conventions = conventions_on(rows, page.records[0].day)
    for record, values in zip(page.records, page.values, strict=True):
        said = with_following(book, values, conventions)
        place: dict[str, Value] = {"day": record.day.isoformat(), "shift": float(record.number)}
        yield record, {**said, **place, "record": float(record.id)}
