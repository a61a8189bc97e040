"""Whether the ledger is still what was written: its chain, its rows, its people, its files.

What this cannot tell: somebody with the files, where no number of the chain was ever written down
elsewhere, could make all of it anew. The chain gives evidence of tampering; it prevents none.
"""

import hashlib
import json
import re
import zlib
from collections.abc import Iterator
from typing import Any, NamedTuple

from sqlalchemy import (
    Connection,
    Double,
    LargeBinary,
    Select,
    Table,
    and_,
    exists,
    func,
    literal,
    select,
)
from sqlalchemy.exc import DBAPIError

from app.ledger import booked, shifts, tables
from app.ledger.canonical import BEGINNING, canonical, digest_of_event, link, written
from app.ledger.mills import Season
from app.ledger.signed import miscovered

CANNOT = (
    "A chain shows what was changed behind the ledger’s back only beside a number of it that was "
    "written down elsewhere, as on every print: whoever holds the files and all such notes could "
    "make the whole chain anew."
)
_AT_ONCE = 1000
_UNREADABLE = (ValueError, TypeError, KeyError, DBAPIError)

_e = tables.event.c


class Fault(NamedTuple):
    """Something that is not as it was written, in words, and the event that shows it, if one."""

    event: int | None
    says: str

    def __str__(self) -> str:
        return self.says


class Anchor(NamedTuple):
    """What was once the last event: its number, and the first digits of its hash."""

    number: int
    hash: str


def anchor(text: str) -> Anchor:
    """Read an anchor such as 46012:0f3a…, as prints carry it; ValueError for another text."""
    found = re.fullmatch(r"(\d{1,18}):([0-9a-f]{16,64})", text.strip().lower(), re.ASCII)
    if not found:
        raise ValueError(f"{text} is no number and hash of a chain, such as 46012:0f3a91c27be45d08")
    return Anchor(int(found[1]), found[2])


def breach(connection: Connection, given: Anchor) -> Fault | None:
    """Return why the present chain does not continue the one that `given` stood at the end of."""
    last = connection.scalar(select(func.max(_e.number))) or 0
    if last < given.number:
        return Fault(
            last + 1,
            f"Events {last + 1} to {given.number} are missing: the chain ends at {last}",
        )
    found = connection.scalar(select(_e.hash).where(_e.number == given.number)) or BEGINNING
    if found.startswith(given.hash):
        return None
    return Fault(
        given.number,
        f"Event {given.number} is not the one that was written down: {found[:16]} stands here, "
        f"{given.hash[:16]} there. Something up to it was made anew",
    )


def faults(connection: Connection, *, since: int = 0) -> list[Fault]:
    """Return all that is wrong, of events after `since`, the first event first.

    The whole ledger, `since` 0, is also searched for differences between entries and what is read.
    DBAPIError where the database cannot be reached.
    """
    looks = [_of_the_chain(connection, since), _of_people(connection, since)]
    for table in tables.APPEND_ONLY:
        looks += [_of_rows(connection, table, since), _untold(connection, table, since)]
    looks.append(_of_files(connection, since))
    if not since:
        looks += [_of_the_reading_side(connection), _of_signatures(connection)]
    found = [fault for look in looks for fault in _as_far_as_it_reads(look)]
    return sorted(found, key=lambda fault: (fault.event is None, fault.event))


def _as_far_as_it_reads(look: Iterator[Fault]) -> Iterator[Fault]:
    try:
        yield from look
    except DBAPIError as problem:
        if problem.connection_invalidated:  # nothing is known then
            raise
        yield Fault(None, f"Something of the ledger cannot be read: {problem.orig}")
    except (ValueError, TypeError, KeyError) as problem:
        yield Fault(None, f"Something of the ledger cannot be read: {problem}")


def _stream(connection: Connection, query: Select[Any], at_once: int = _AT_ONCE) -> Iterator[Any]:
    yield from connection.execute(query, execution_options={"yield_per": at_once})


def _of_the_chain(connection: Connection, since: int) -> Iterator[Fault]:
    previous = connection.scalar(select(_e.hash).where(_e.number == since)) or BEGINNING
    expected = since + 1
    query = select(tables.event).where(_e.number > since).order_by(_e.number)
    try:
        for row in _stream(connection, query):
            event = dict(row._mapping)
            number, stored = event.pop("number"), event.pop("hash")
            if number != expected:
                yield Fault(expected, f"Events {expected} to {number - 1} are missing")
            elif stored != link(number, previous, digest_of_event(event)):
                mark = _mark(f"{stored} {digest_of_event(event)}")
                words = f"Event {number} is not as it was written: its hash differs ({mark})"
                yield Fault(number, words)
            previous, expected = stored, number + 1
    except _UNREADABLE:
        number = _first_unreadable(connection, expected)
        yield Fault(number, f"Event {number} cannot be read, and what follows was not checked")


def _first_unreadable(connection: Connection, number: int) -> int:
    """Return the first event from `number` on that cannot be read by itself."""
    last = connection.scalar(select(func.max(_e.number))) or number
    for each in range(number, last):
        try:
            connection.execute(select(tables.event).where(_e.number == each)).all()
        except _UNREADABLE:
            return each
    return last


def _of_rows(connection: Connection, table: Table, since: int) -> Iterator[Fault]:
    columns = [c for c in table.columns if not isinstance(c.type, LargeBinary)]
    told = select(_e.number, _e.content, _e.row_id, *columns)
    told = told.outerjoin(table, table.c.id == _e.row_id)
    told = told.where(_e.kind == table.name, _e.number > since)
    names = [column.name for column in columns]
    seen_id = names.index("id")
    for number, content, row_id, *values in _stream(connection, told):
        if values[seen_id] is None:
            yield Fault(number, f"{table.name} {row_id}, told by event {number}, is not there")
            continue
        row = dict(zip(names, values, strict=True))
        # an earlier version of the ledger told of fewer columns
        if content != canonical(row) and (wrong := _differing(table, content, row)):
            yield Fault(
                number,
                f"{table.name} {row_id} is not as event {number} tells: {', '.join(wrong)} "
                f"({_mark(canonical(row))})",
            )


def _mark(found: str) -> str:
    """Return digits of what was found, so that accepting it accepts nothing that comes later."""
    return hashlib.sha256(found.encode()).hexdigest()[:8]


def _differing(table: Table, content: str, row: dict[str, Any]) -> list[str]:
    """Return the names of columns that an event tells otherwise than the row."""
    told, stands = json.loads(content), written(row)
    return [name for name in told if not _same(table, name, told[name], stands.get(name))]


def _same(table: Table, name: str, told: str | None, stands: str | None) -> bool:
    if told == stands or name not in table.c:
        return told == stands
    if told is None or stands is None:
        return False
    return isinstance(table.c[name].type, Double) and float(told) == float(stands)


def _untold(connection: Connection, table: Table, since: int) -> Iterator[Fault]:
    of_kind = _e.kind == table.name
    told = exists(select(literal(1)).where(of_kind, _e.row_id == table.c.id))
    floor = connection.scalar(select(func.max(_e.row_id)).where(of_kind, _e.number <= since))
    for (row_id,) in _stream(
        connection, select(table.c.id).where(table.c.id > (floor or 0), ~told)
    ):
        yield Fault(None, f"{table.name} {row_id} is told by no event: it was not typed here")
    twice = select(_e.row_id, func.max(_e.number)).where(of_kind, _e.row_id > (floor or 0))
    for row_id, number in connection.execute(twice.group_by(_e.row_id).having(func.count() > 1)):
        yield Fault(number, f"Event {number} tells of {table.name} {row_id}, told before")


_OF_A_PERSON = ("username", "printed_name", "role", "active", "created_at", "language")


def _of_people(connection: Connection, since: int) -> Iterator[Fault]:
    person = tables.person
    last = select(_e.row_id, func.max(_e.number).label("number")).where(_e.kind == "person")
    last = last.group_by(_e.row_id)
    newest = last.subquery()
    query = (
        select(_e.number, _e.content, _e.row_id, person)
        .join(newest, newest.c.number == _e.number)
        .outerjoin(person, person.c.id == _e.row_id)
        .where(_e.number > since)
    )
    for number, content, row_id, *values in connection.execute(query):
        row = dict(zip(person.c.keys(), values, strict=True))
        told = {name: text for name, text in json.loads(content).items() if name in _OF_A_PERSON}
        if row["id"] is None:
            yield Fault(number, f"person {row_id}, told by event {number}, is not there")
        elif wrong := [name for name, text in told.items() if text != written(row[name])]:
            yield Fault(
                number,
                f"person {row['username']} is not as event {number} tells: {', '.join(wrong)} "
                f"({_mark(str([row[name] for name in wrong]))})",
            )
    told_of = select(literal(1)).where(and_(_e.kind == "person", _e.row_id == person.c.id))
    for username in connection.scalars(select(person.c.username).where(~exists(told_of))):
        yield Fault(None, f"person {username} is told by no event")


def _of_files(connection: Connection, since: int) -> Iterator[Fault]:
    c = tables.issue_file.c
    query = select(_e.number, c.name, c.sha256, c.packed).join(tables.issue_file, c.id == _e.row_id)
    query = query.where(_e.kind == tables.issue_file.name, _e.number > since)
    for number, name, sha256, packed in _stream(connection, query, at_once=10):
        try:
            sound = hashlib.sha256(zlib.decompress(packed)).hexdigest() == sha256
        except zlib.error:
            sound = False
        if not sound:
            words = f"The file {name}, issued by event {number}, was changed since"
            yield Fault(number, f"{words} ({hashlib.sha256(packed).hexdigest()[:8]})")


def _of_the_reading_side(connection: Connection) -> Iterator[Fault]:
    for it in shifts.differences(connection):
        yield Fault(
            None,
            f"What pages read of {it.place} on shift {it.shift_id} is {it.standing}, "
            f"while its entries say {it.entries}",
        )
    every = [Season(*row) for row in connection.execute(select(tables.season)).all()]
    for shift_id, book in booked.differences(connection, every):
        words = f"What pages read of the book {book} on shift {shift_id} is not what its records"
        yield Fault(None, f"{words} give")


def _of_signatures(connection: Connection) -> Iterator[Fault]:
    season = tables.season
    query = select(season, tables.mill.c.shifts_a_day).join(tables.mill)
    for *columns, shifts_a_day in connection.execute(query).all():
        for signature in miscovered(connection, Season(*columns), shifts_a_day):
            what = f"shift {signature.number} of " if signature.number else ""
            yield Fault(
                None,
                f"{signature.recorded_name}’s signature of {what}{signature.day} does not cover "
                "what stands there",
            )
