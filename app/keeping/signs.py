"""What the ledger itself tells of its keeping: backups, drills, accepted faults, its clock."""

import json
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime

from sqlalchemy import Connection, func, select

from app.ledger import chain, tables
from app.ledger.chain import Head, Writer
from app.ledger.soundness import Fault

ACCEPTED, CLOCK = "fault accepted", "clock"
FOUND, WHOLE = "fault found", "found whole"
_MOST_TOLD = 100  # faults: a ledger that is wholly damaged has one for each row

_e, _b = tables.event.c, tables.backup.c


@dataclass(frozen=True)
class Accepted:
    """That faults were accepted, so that writing goes on: which, by whom, when and why."""

    faults: frozenset[str]
    reason: str
    name: str
    at: datetime


@dataclass(frozen=True)
class Made:
    """A backup or a drill: when, where, and the number at the end of its chain."""

    at: datetime
    place: str
    number: int


@dataclass(frozen=True)
class Signs:
    """How the ledger says that it is kept; None for what never happened."""

    head: Head = field(default_factory=lambda: Head(0, ""))
    begun_at: datetime | None = None
    backup: Made | None = None
    drill: Made | None = None
    accepted: Accepted | None = None
    clock: tuple[datetime, str] | None = None
    faults: tuple[str, ...] = ()


def signs_of(connection: Connection) -> Signs:
    """Read the signs."""
    return Signs(
        head=chain.head(connection),
        begun_at=connection.scalar(select(_e.at).where(_e.number == 1)),
        backup=_last(connection, "backup"),
        drill=_last(connection, "drill"),
        accepted=_accepted(connection),
        clock=_clock(connection),
        faults=_found(connection),
    )


def _last(connection: Connection, kind: str) -> Made | None:
    newest = select(func.max(_b.id)).where(_b.kind == kind).scalar_subquery()
    row = connection.execute(select(_b.at, _b.place, _b.chain_number).where(_b.id == newest))
    found = row.first()
    return Made(*found) if found else None


def _accepted(connection: Connection) -> Accepted | None:
    query = select(_e.content, _e.name, _e.at).where(_e.kind == ACCEPTED).order_by(_e.number)
    told = connection.execute(query).all()
    if not told:
        return None
    contents = [json.loads(content) for content, *_ in told]
    every = frozenset(fault for content in contents for fault in content["faults"])
    return Accepted(every, contents[-1]["reason"], told[-1].name, told[-1].at)


def _clock(connection: Connection) -> tuple[datetime, str] | None:
    query = select(_e.at, _e.content).where(_e.kind == CLOCK).order_by(_e.number.desc()).limit(1)
    row = connection.execute(query).first()
    return (row.at, json.loads(row.content)["says"]) if row else None


def _found(connection: Connection) -> tuple[str, ...]:
    kinds = _e.kind.in_((FOUND, WHOLE))
    query = select(_e.kind, _e.content).where(kinds).order_by(_e.number.desc()).limit(1)
    row = connection.execute(query).first()
    return tuple(json.loads(row.content)["faults"]) if row and row.kind == FOUND else ()


def tell_found(
    connection: Connection, found: Iterable[Fault], *, whole: bool, at: datetime
) -> None:
    """Write down what a verification found, if it is not what was known before.

    One of the end of the chain alone takes nothing back that was found elsewhere.
    """
    known = _found(connection)
    faults = list(dict.fromkeys([*(() if whole else known), *map(str, found)]))[:_MOST_TOLD]
    if set(faults) != set(known):
        content = {"faults": faults}
        chain.tell(connection, FOUND if faults else WHOLE, content, by=None, at=at)


def accept(
    connection: Connection, faults: Iterable[Fault], *, reason: str, by: Writer, at: datetime
) -> None:
    """Write down that `faults` are known, and why writing goes on; ValueError without a reason."""
    if not reason.strip():
        raise ValueError("Say why the fault is accepted")
    content = {"faults": [str(fault) for fault in faults], "reason": reason.strip()}
    chain.tell(connection, ACCEPTED, content, by=by, at=at)
