"""The records of a book with all that follows in each, as reports and files take them."""

from collections.abc import Iterator, Sequence
from datetime import date

from sqlalchemy import Connection

from app.figures.of_records import FOLLOWING
from app.ledger import booked, mills
from app.ledger.booked import Page
from app.ledger.mills import ConventionRow, Mill, Season
from app.ledger.records import Record, records_of
from app.ledger.referring import Referred
from app.plant.books.declare import Book, Value
from app.reports.books import conventions_on, with_following


def values_of(
    connection: Connection, mill: Mill, season: Season, book: Book, first: date, last: date
) -> list[tuple[Record, dict[str, Value]]]:
    """Return the records of some days that count, each with what it says and what follows.

    With the values come the `day`, `shift` and `record` that they are of.
    """
    groups: dict[int, list[Record]] = {}
    for record in records_of(connection, season, first, last, book):
        groups.setdefault(record.shift_id, []).append(record)
    referred = Referred(connection, season)
    pages = [booked.page_of(book, group, referred) for group in groups.values()]
    rows = conventions_for(connection, mill, book)
    return [each for page in pages for each in following(book, page, rows)]


def conventions_for(connection: Connection, mill: Mill, book: Book) -> list[ConventionRow]:
    """Return the conventions by which something follows in the records of a book."""
    return mills.convention_rows(connection, mill) if book.name in FOLLOWING else []


def following(
    book: Book, page: Page, rows: Sequence[ConventionRow]
) -> Iterator[tuple[Record, dict[str, Value]]]:
    """Yield the records of one shift that count, as `values_of` does, by rows of conventions."""
    if not page.records:
        return
    conventions = conventions_on(rows, page.records[0].day)
    for record, values in zip(page.records, page.values, strict=True):
        said = with_following(book, values, conventions)
        place: dict[str, Value] = {"day": record.day.isoformat(), "shift": float(record.number)}
        yield record, {**said, **place, "record": float(record.id)}
