"""How records of one book find those of another that they refer to, and what is on its roll."""

import json
from collections.abc import Collection, Iterator, Mapping, Sequence
from datetime import date
from typing import Any

from sqlalchemy import ColumnElement, Connection, select

from app.ledger import tables
from app.ledger.mills import Season
from app.ledger.records import VOID, Record, record_of, standing_records
from app.ledger.sampled import tuples
from app.plant.books import BOOKS
from app.plant.books.declare import Book, Value
from app.plant.books.giving import with_worked

Values = Mapping[str, Value]
# what may be referred to: records by argument and by what they are known by, oldest first
Known = Mapping[str, Mapping[str, Sequence[Record]]]

_r, _s, _shift = tables.record.c, tables.standing_record.c, tables.shift.c


class Referred:
    """What the records of one season refer to: each book is read once, and only if asked for.

    Of a book that lasts, the records of all seasons of the mill are.
    """

    def __init__(self, connection: Connection, season: Season) -> None:
        self._connection, self._season = connection, season
        self._standing: dict[str, list[Record]] = {}
        self._known: dict[str, Known] = {}

    def known(self, book: Book) -> Known:
        """Return the standing records that those of `book` may refer to."""
        if book.name not in self._known:
            found: dict[str, dict[str, list[Record]]] = {}
            for argument, (other, field) in book.refers.items():
                names = found.setdefault(argument, {})
                for record in self.standing(other):
                    names.setdefault(_name(record.fields, field), []).append(record)
            self._known[book.name] = found
        return self._known[book.name]

    def standing(self, book: str) -> list[Record]:
        """Return the records of a book that stand, the oldest first."""
        if book not in self._standing:
            self._standing[book] = list(_standing(self._connection, self._season, book))
        return self._standing[book]


def _standing(connection: Connection, season: Season, book: str) -> Iterator[Record]:
    in_seasons = _seasons(season, book)
    query = standing_records().where(in_seasons, _s.book == book, _r.state != VOID)
    rows = connection.execute(query.order_by(_shift.day, _shift.number, _r.id))
    return (record_of(tuple(row)) for row in rows)


def _seasons(season: Season, book: str) -> ColumnElement[bool]:
    """Return in which seasons records may refer to those of a book of one season, or these be."""
    if not BOOKS[book].lasts:
        return _s.season_id == season.id
    of_mill = select(tables.season.c.id).where(tables.season.c.mill_id == season.mill_id)
    return _s.season_id.in_(of_mill)


def _name(fields: Mapping[str, str], field: str) -> str:
    return fields.get(field, "").casefold()


def looked_up(
    book: Book, fields: Mapping[str, str], at: tuple[date, int], known: Known
) -> dict[str, Values]:
    """Return what a record on the shift `at` refers to, by argument: the last one until then."""
    found: dict[str, Values] = {}
    for argument, (_other, field) in book.refers.items():
        name = _name(fields, field)
        for each in reversed(known[argument].get(name, ())) if name else ():
            if (each.day, each.number) <= at:
                found[argument] = each.values
                break
    return found


def with_referred(
    book: Book, record: Record, known: Known, beside: Mapping[str, Any]
) -> dict[str, Value]:
    """Return the values of a record, with what follows in it and in what it refers to.

    `beside` is what it needs to know of the others of its shift, by argument.
    """
    referred = looked_up(book, record.fields, (record.day, record.number), known)
    return with_worked(book, record.values, {**referred, **beside})


def absent(book: Book, records: Sequence[Record], referred: Referred) -> dict[str, tuple[str, ...]]:
    """Return what of the roll of a book some records of one shift do not tell of, by group."""
    if book.roll is None or not records:
        return {}
    roll, at = book.roll, (records[0].day, records[0].number)
    last: dict[str, Record] = {}
    for record in referred.standing(roll.book):
        if (record.day, record.number) <= at:
            last[_name(record.fields, roll.field)] = record
    told = {_name(record.fields, roll.field) for record in records}
    found: dict[str, list[str]] = {}
    for name, record in last.items():
        said = record.values
        if name not in told and said.get(roll.out[0]) != roll.out[1] and roll.group in said:
            found.setdefault(f"{said[roll.group]}", []).append(record.fields[roll.field])
    return {group: tuple(names) for group, names in found.items()}


def that_refer(
    connection: Connection, season: Season, shifts: Collection[int], name: str
) -> set[tuple[int, str]]:
    """Return the shifts and books whose records refer to those of a book on some shifts.

    Every version of these counts, for what one was called before is missed where it was looked up.
    What refers to a book that lasts may be of another season.
    """
    referring = [
        (book, field)
        for book in BOOKS.values()
        for other, field in book.refers.values()
        if other == name
    ]
    if not referring:
        return set()
    written = select(_r.fields).where(_r.shift_id.in_(shifts), _r.book == name)
    told = [json.loads(text) for text in connection.scalars(written)]
    found = set()
    for book, field in referring:
        names = {_name(fields, field) for fields in told}
        query = (
            select(_s.shift_id, _r.fields)
            .join(tables.record, _r.id == _s.record_id)
            .where(_seasons(season, name), _s.book == book.name)
        )
        found |= {
            (other, book.name)
            for other, text in tuples(connection, query)
            if book.roll or _name(json.loads(text), field) in names
        }
    return found
