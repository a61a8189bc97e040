"""Instruments that write by themselves: each a person of the ledger, with a token in hand."""

import secrets
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import Connection, delete, func, insert, select, update

from app.language import _
from app.ledger import chain, tables
from app.ledger.chain import About
from app.ledger.passwords import hash_of_secret
from app.ledger.people import (
    INSTRUMENT,
    PERSON,
    Person,
    add_row,
    deactivate,
    filed_name,
    names_of,
)
from app.plant.books import BOOKS
from app.plant.measures import MEASURES

_t = tables.instrument_token.c

_BOOK = "book:"  # before the name of a book among what a token may write


@dataclass(frozen=True)
class Instrument:
    """An instrument, the measures and other books it may write, and when it last did."""

    person: Person
    measures: tuple[str, ...] = ()
    books: tuple[str, ...] = ()
    used_at: datetime | None = None

    @property
    def folder(self) -> str:
        """The name of the folder in which its files are looked for."""
        return folder_name(self.person.username)


def folder_name(username: str) -> str:
    """Return a user name as a folder may be called anywhere: other signs become hyphens."""
    kept = "".join(sign if sign.isalnum() or sign in "-_." else "-" for sign in username)
    return kept.strip(".") or "-"


def add_instrument(
    connection: Connection,
    *,
    name: str,
    measures: Iterable[str],
    books: Iterable[str] = (),
    by: Person,
    at: datetime,
) -> tuple[Instrument, str]:
    """Add an instrument and return it with its token; ValueError says what is wrong."""
    chosen, of_books = set(measures), set(books)
    allowed = tuple(measure for measure in MEASURES if measure in chosen)
    kept = tuple(book for book in BOOKS if book in of_books)
    if not allowed and not kept:
        raise ValueError(_("An instrument writes at least one measure or book"))
    names = names_of(connection, "-".join(name.split()), name)
    values = names | {"role": INSTRUMENT, "active": True}
    person = add_row(connection, values, None, by=by, at=at)
    token = secrets.token_urlsafe(32)
    instrument = Instrument(person, allowed, kept)
    row = {"person_id": person.id, "token_hash": hash_of_secret(token), "made_at": at}
    row |= {"measures": " ".join(_may_write(instrument))}
    connection.execute(insert(tables.instrument_token).values(row))
    _tell(connection, "token made", instrument, by=by, at=at)
    return instrument, token


def _may_write(instrument: Instrument) -> tuple[str, ...]:
    return instrument.measures + tuple(f"{_BOOK}{book}" for book in instrument.books)


def revoke(connection: Connection, instrument: Instrument, *, by: Person, at: datetime) -> None:
    """Let an instrument write no more, for good; what it wrote stays."""
    person = instrument.person
    connection.execute(delete(tables.instrument_token).where(_t.person_id == person.id))
    deactivate(connection, person, by=by, at=at)
    _tell(connection, "token revoked", instrument, by=by, at=at)


def _tell(
    connection: Connection, what: str, instrument: Instrument, *, by: Person, at: datetime
) -> None:
    person = instrument.person
    content = {"what": what, "name": person.printed_name, "measures": _may_write(instrument)}
    chain.tell(connection, "instrument", content, by=by, at=at, about=About(row_id=person.id))


def instruments(connection: Connection) -> list[Instrument]:
    """Return every instrument, those that were revoked too, by name."""
    c = tables.person.c
    query = (
        select(*PERSON, _t.measures, _t.used_at)
        .outerjoin(tables.instrument_token, _t.person_id == c.id)
        .where(c.role == INSTRUMENT)
        .order_by(c.username)
    )
    return [_instrument(*row) for row in connection.execute(query)]


def _instrument(*columns: object) -> Instrument:
    *person, names, used_at = columns
    may_write = str(names or "").split()
    measures = tuple(name for name in may_write if not name.startswith(_BOOK))
    books = tuple(name.removeprefix(_BOOK) for name in may_write if name.startswith(_BOOK))
    return Instrument(Person(*person), measures, books, used_at)  # type: ignore[arg-type]


def shown_by(connection: Connection, token: str) -> Instrument | None:
    """Return the instrument whose token this is, if it may still write."""
    query = (
        select(*PERSON, _t.measures, _t.used_at)
        .join(tables.instrument_token, _t.person_id == tables.person.c.id)
        .where(_t.token_hash == hash_of_secret(token), tables.person.c.active)
    )
    row = connection.execute(query).first()
    return _instrument(*row) if row else None


def of_folder(connection: Connection, name: str) -> Instrument | None:
    """Return the instrument whose files a folder holds, if one alone may write from it."""
    wanted = filed_name(name)
    found = [i for i in instruments(connection) if i.person.active and i.folder == wanted]
    return found[0] if len(found) == 1 else None


def used(connection: Connection, instrument: Instrument, at: datetime) -> None:
    """Note that an instrument showed its token."""
    mine = update(tables.instrument_token).where(_t.person_id == instrument.person.id)
    connection.execute(mine.values(used_at=at))


def written_since(connection: Connection, at: datetime) -> dict[int, int]:
    """Return how many results and records each instrument wrote since a moment, by its id."""
    counts: dict[int, int] = {}
    for table in (tables.entry, tables.record):
        writer = table.c.recorded_by
        query = (
            select(writer, func.count())
            .where(table.c.recorded_at >= at, table.c.instrument != "none")
            .group_by(writer)
        )
        for key, count in connection.execute(query):
            counts[key] = counts.get(key, 0) + count
    return counts
