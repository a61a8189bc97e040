"""The records of the other books, as they are read."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import ColumnElement, Connection, Select, func, select

from app.ledger import tables
from app.ledger.mills import Season
from app.plant.books import BOOKS
from app.plant.books.declare import Book, Value
from app.plant.books.giving import in_order
from app.plant.books.reading import Span, read_record, said

STANDS, VOID = "stands", "void"

_r, _s, _shift = tables.record.c, tables.standing_record.c, tables.shift.c

_RECORD = (
    _r.id, _r.shift_id, _shift.day, _shift.number, _shift.zone, _shift.begins_at, _shift.ends_at,
    _r.book, _r.fields, _r.state, _r.supersedes_id, _r.completes, _r.reason, _r.recorded_by,
    _r.recorded_name, _r.recorded_at, _r.observed_by, _r.late, _r.instrument,
)  # fmt: skip


@dataclass(frozen=True)
class Record:
    """One line of a book as it was typed; `fields` are texts, without those left blank.

    A choice among them is the name of it.
    """

    id: int
    shift_id: int
    day: date
    number: int
    span: Span
    book: str
    fields: Mapping[str, str]
    state: str
    supersedes_id: int | None
    completes: bool
    reason: str | None
    recorded_by: int
    recorded_name: str
    recorded_at: datetime
    observed_by: str | None
    late: bool
    instrument: str

    @property
    def values(self) -> dict[str, Value]:
        """What its fields say, as numbers, moments and choices."""
        return read_record(BOOKS[self.book], self.fields, self.span)[0]


def record_of(columns: tuple[Any, ...]) -> Record:
    """Return the record of a row that RECORD selected."""
    key, shift_id, day, number, zone, begins, ends, book, text, *rest = columns
    fields = json.loads(text)
    if book in BOOKS:  # of old, a choice was kept as it was typed
        fields = said(BOOKS[book], fields)
    return Record(key, shift_id, day, number, Span(zone, begins, ends), book, fields, *rest)


def all_records() -> Select[Any]:
    """Return the query of every record with its shift, whatever became of it."""
    return select(*_RECORD).join(tables.shift, _shift.id == _r.shift_id)


def standing_records() -> Select[Any]:
    """Return the query of the records that are not superseded, those taken out among them."""
    return all_records().join(tables.standing_record, _s.record_id == _r.id)


def records_of(
    connection: Connection,
    season: Season,
    first: date,
    last: date,
    book: Book | None = None,
    number: int | None = None,
) -> list[Record]:
    """Return what stands in the books on some days, by shift and then in the order of their times.

    Records that were taken out are among them. `book` and `number` are of one book and shift.
    """
    where: list[ColumnElement[bool]] = [
        _s.season_id == season.id, _shift.day.between(first, last)
    ]  # fmt: skip
    where += [_s.book == book.name] if book else []
    where += [_shift.number == number] if number else []
    query = standing_records().where(*where).order_by(_shift.day, _shift.number, _r.id)
    found = [record_of(tuple(row)) for row in connection.execute(query)]
    found = [record for record in found if record.book in BOOKS]
    if book is None:
        return found
    groups: dict[int, list[Record]] = {}
    for record in found:
        groups.setdefault(record.shift_id, []).append(record)
    return [record for group in groups.values() for record in by_time(book, group)]


def standing_within(
    connection: Connection, season: Season, book: Book, first: date, last: date,
    *where: ColumnElement[bool],
) -> list[Record]:  # fmt: skip
    """Return what stands in a book on some days, taken out or not, in no order of times."""
    query = standing_records().where(
        _s.season_id == season.id, _s.book == book.name, _shift.day.between(first, last), *where
    )
    return [record_of(tuple(row)) for row in connection.execute(query.order_by(_r.id))]


def written_on(
    connection: Connection, season: Season, first: date, last: date, book: Book
) -> list[Record]:
    """Return every record that was ever written in a book on some days, the oldest first.

    Those that were corrected or taken out since are among them.
    """
    query = all_records().where(
        _shift.season_id == season.id, _shift.day.between(first, last), _r.book == book.name
    )
    return [record_of(tuple(row)) for row in connection.execute(query.order_by(_r.id))]


def begins_on(connection: Connection, season: Season, book: Book) -> date | None:
    """Return the first day of a season on which a book has a record, whatever became of it."""
    query = select(func.min(_shift.day)).join(tables.record, _r.shift_id == _shift.id)
    return connection.scalar(query.where(_shift.season_id == season.id, _r.book == book.name))


def by_time(book: Book, records: list[Record]) -> list[Record]:
    """Return records of one shift in the order of their times."""
    found = {record.id: record for record in records}
    return [found[key] for key, _ in in_order(book, [(r.id, r.values) for r in records])]


def record_with(connection: Connection, key: int) -> Record | None:
    """Return one record by its id, whatever became of it."""
    row = connection.execute(all_records().where(_r.id == key)).first()
    return record_of(tuple(row)) if row else None


def trail_of(connection: Connection, record: Record) -> list[Record]:
    """Return every version of a record, the first one first."""
    found = [record]
    while (before := found[0].supersedes_id) is not None:
        found.insert(0, _sure(record_with(connection, before)))
    while True:
        query = all_records().where(_r.supersedes_id == found[-1].id)
        row = connection.execute(query).first()
        if row is None:
            return found
        found.append(record_of(tuple(row)))


def _sure(record: Record | None) -> Record:
    if record is None:
        raise LookupError("a record supersedes one that is not there")
    return record


def with_key(connection: Connection, season: Season, book: Book, key: str) -> Record | None:
    """Return the record of a season that is known by a key, in any case, if it stands."""
    of_book = (_s.season_id == season.id, _s.book == book.name)
    query = standing_records().where(*of_book, _s.key.in_({key, key.casefold()}))
    row = connection.execute(query).first()
    return record_of(tuple(row)) if row else None
