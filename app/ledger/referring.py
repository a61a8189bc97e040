"""How records of one book find those of another that they refer to, and what is on its roll."""

import json
from collections.abc import Iterator, Mapping, Sequence
from datetime import date

from sqlalchemy import Connection, select

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


def known_by(connection: Connection, season: Season, book: Book) -> Known:
    """Return the standing records of a season that those of `book` may refer to."""
    found: dict[str, dict[str, list[Record]]] = {}
    for argument, (other, field) in book.refers.items():
        names = found.setdefault(argument, {})
        for record in _standing(connection, season, other):
            names.setdefault(_name(record.fields, field), []).append(record)
    return found


def _standing(connection: Connection, season: Season, book: str) -> Iterator[Record]:
    query = standing_records().where(_s.season_id == season.id, _s.book == book, _r.state != VOID)
    rows = connection.execute(query.order_by(_shift.day, _shift.number, _r.id))
    return (record_of(tuple(row)) for row in rows)


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


def with_referred(book: Book, record: Record, known: Known) -> dict[str, Value]:
    """Return the values of a record, with what follows in it and in what it refers to."""
    referred = looked_up(book, record.fields, (record.day, record.number), known)
    return with_worked(book, record.values, referred)


def absent(
    connection: Connection, season: Season, book: Book, records: Sequence[Record]
) -> dict[str, tuple[str, ...]]:
    """Return what of the roll of a book some records of one shift do not tell of, by group."""
    if book.roll is None or not records:
        return {}
    roll, at = book.roll, (records[0].day, records[0].number)
    last: dict[str, Record] = {}
    for record in _standing(connection, season, roll.book):
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
    connection: Connection, season: Season, shift_id: int, name: str
) -> set[tuple[int, str]]:
    """Return the shifts and books whose records refer to those of a book on one shift.

    Every version of these counts, for what one was called before is missed where it was looked up.
    """
    referring = [
        (book, field)
        for book in BOOKS.values()
        for other, field in book.refers.values()
        if other == name
    ]
    if not referring:
        return set()
    written = select(_r.fields).where(_r.shift_id == shift_id, _r.book == name)
    told = [json.loads(text) for text in connection.scalars(written)]
    found = set()
    for book, field in referring:
        names = {_name(fields, field) for fields in told}
        query = (
            select(_s.shift_id, _r.fields)
            .join(tables.record, _r.id == _s.record_id)
            .where(_s.season_id == season.id, _s.book == book.name)
        )
        found |= {
            (other, book.name)
            for other, text in tuples(connection, query)
            if book.roll or _name(json.loads(text), field) in names
        }
    return found
