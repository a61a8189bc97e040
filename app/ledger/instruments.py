"""Instruments that write by themselves: each a person of the ledger, with a token in hand."""

import secrets
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import Connection, delete, insert, select, update

from app.ledger import chain, tables
from app.ledger.chain import About
from app.ledger.passwords import hash_of_secret
from app.ledger.people import INSTRUMENT, PERSON, Person, add_row, deactivate, names_of
from app.plant.measures import MEASURES

_t = tables.instrument_token.c


@dataclass(frozen=True)
class Instrument:
    """An instrument, the measures it may write, and when it last did."""

    person: Person
    measures: tuple[str, ...] = ()
    used_at: datetime | None = None


def add_instrument(
    connection: Connection, *, name: str, measures: Iterable[str], by: Person, at: datetime
) -> tuple[Instrument, str]:
    """Add an instrument and return it with its token; ValueError says what is wrong."""
    allowed = tuple(measure for measure in MEASURES if measure in set(measures))
    if not allowed:
        raise ValueError("An instrument writes at least one measure")
    names = names_of(connection, "-".join(name.split()), name)
    values = names | {"role": INSTRUMENT, "active": True}
    person = add_row(connection, values, None, by=by, at=at)
    token = secrets.token_urlsafe(32)
    row = {"person_id": person.id, "token_hash": hash_of_secret(token), "made_at": at}
    row |= {"measures": " ".join(allowed)}
    connection.execute(insert(tables.instrument_token).values(row))
    _tell(connection, "token made", person, allowed, by=by, at=at)
    return Instrument(person, allowed), token


def revoke(connection: Connection, instrument: Instrument, *, by: Person, at: datetime) -> None:
    """Let an instrument write no more, for good; what it wrote stays."""
    person = instrument.person
    connection.execute(delete(tables.instrument_token).where(_t.person_id == person.id))
    deactivate(connection, person, by=by, at=at)
    _tell(connection, "token revoked", person, instrument.measures, by=by, at=at)


def _tell(
    connection: Connection,
    what: str,
    person: Person,
    measures: tuple[str, ...],
    *,
    by: Person,
    at: datetime,
) -> None:
    content = {"what": what, "name": person.printed_name, "measures": measures}
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
    return [
        Instrument(Person(*person), tuple((measures or "").split()), used_at)
        for *person, measures, used_at in connection.execute(query)
    ]


def shown_by(connection: Connection, token: str) -> Instrument | None:
    """Return the instrument whose token this is, if it may still write."""
    query = (
        select(*PERSON, _t.measures, _t.used_at)
        .join(tables.instrument_token, _t.person_id == tables.person.c.id)
        .where(_t.token_hash == hash_of_secret(token), tables.person.c.active)
    )
    row = connection.execute(query).first()
    if row is None:
        return None
    *person, measures, used_at = row
    return Instrument(Person(*person), tuple(measures.split()), used_at)


def used(connection: Connection, instrument: Instrument, at: datetime) -> None:
    """Note that an instrument showed its token."""
    mine = update(tables.instrument_token).where(_t.person_id == instrument.person.id)
    connection.execute(mine.values(used_at=at))
