"""Issues: morning reports as they were handed out, byte for byte, and what was entered since."""

import hashlib
import zlib
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

from sqlalchemy import Connection, select

from app.language import _
from app.ledger import chain, tables
from app.ledger.cells import Refused, readable_reason
from app.ledger.chain import About, Head
from app.ledger.mills import Season
from app.ledger.people import Person, either_of
from app.plant.samples import Place
from app.plant.typed import LEFT_OUT

REPORT = "report.html"  # the file of an issue that is its page
MAY_ISSUE = ("chief chemist", "manager")

_i, _f, _event, _entry = (
    tables.issue.c, tables.issue_file.c, tables.event.c, tables.entry.c,
)  # fmt: skip


@dataclass(frozen=True)
class Issue:
    """A report of a day as it was handed out; from the second on it replaces the one before."""

    id: int
    day: date
    number: int
    reason: str | None
    chain_number: int
    chain_hash: str
    role: str
    recorded_name: str
    recorded_at: datetime

    @property
    def name(self) -> str:
        """Its number among all reports of the mill: "2026-10-27/1"."""
        return f"{self.day}/{self.number}"

    @property
    def replaces(self) -> str:
        """The number of the one it replaces; nothing for the first."""
        return f"{self.day}/{self.number - 1}" if self.number > 1 else ""

    @property
    def head(self) -> Head:
        """The last event when it was made."""
        return Head(self.chain_number, self.chain_hash)


_ISSUE = (
    _i.id, _i.day, _i.number, _i.reason, _i.chain_number, _i.chain_hash, _i.role,
    _i.recorded_name, _i.recorded_at,
)  # fmt: skip


def issues_of(connection: Connection, season: Season, day: date) -> list[Issue]:
    """Return the issues of a day, the first one first."""
    query = select(*_ISSUE).where(_i.season_id == season.id, _i.day == day)
    return [Issue(*row) for row in connection.execute(query.order_by(_i.number))]


def add_issue(
    connection: Connection,
    season: Season,
    issue: Issue,
    *,
    files: Mapping[str, bytes],
    supersedes: Issue | None,
    by: Person,
) -> None:
    """Keep an issue with its files; it is numbered and told by `next_issue`."""
    values = {
        "season_id": season.id,
        "day": issue.day,
        "number": issue.number,
        "supersedes_id": supersedes.id if supersedes else None,
        "reason": issue.reason,
        "chain_number": issue.chain_number,
        "chain_hash": issue.chain_hash,
        "role": issue.role,
        "recorded_by": by.id,
        "recorded_name": issue.recorded_name,
        "recorded_at": issue.recorded_at,
    }
    at, about = issue.recorded_at, About(season.id, issue.day)
    key = chain.add(connection, tables.issue, values, by=by, at=at, about=about)
    for name, content in files.items():
        file = {"issue_id": key, "name": name, "sha256": hashlib.sha256(content).hexdigest()}
        file["packed"] = zlib.compress(content, 9)
        chain.add(connection, tables.issue_file, file, by=by, at=at, about=about)


def next_issue(
    connection: Connection, season: Season, day: date, *, reason: str, by: Person, at: datetime
) -> tuple[Issue, Issue | None]:
    """Return the issue that would be made now, and the one that it would replace.

    Raises Refused where one is replaced and nobody says why.
    """
    if by.role not in MAY_ISSUE:
        raise Refused(_("This is for the {roles}", roles=either_of(MAY_ISSUE)))
    made = issues_of(connection, season, day)
    before = made[-1] if made else None
    words = readable_reason(reason)
    if before and not words:
        raise Refused(_("Say in words why it is issued again"))
    head = chain.head(connection)
    number = before.number + 1 if before else 1
    issue = Issue(
        0, day, number, words or None, head.number, head.hash, by.role, by.printed_name, at
    )
    return issue, before


def file_of(connection: Connection, issue: Issue, name: str) -> tuple[bytes, str] | None:
    """Return the bytes of a file of an issue and its SHA-256, if it has one of that name.

    Raises ValueError where the bytes are no longer those that were issued.
    """
    query = select(_f.packed, _f.sha256).where(_f.issue_id == issue.id, _f.name == name)
    row = connection.execute(query).first()
    if row is None:
        return None
    content = zlib.decompress(row.packed)
    if hashlib.sha256(content).hexdigest() != row.sha256:
        raise ValueError(f"{name} of issue {issue.name} is not what was issued")
    return content, row.sha256


@dataclass(frozen=True)
class Amendment:
    """Something entered after an issue: a result, or a convention, with what stood before.

    A convention, or how a measure is sampled, holds from `day` on. `sampled_at` is the clock time
    of one sample of several.
    """

    event: int
    day: date
    number: int
    subject: str
    before: str
    after: str
    change: Decimal | None
    reason: str
    recorded_name: str
    recorded_at: datetime
    convention: bool = False
    sample: int = 1
    determination: int = 1
    sampled_at: str = ""

    @property
    def key(self) -> str:
        """How addresses name the place of a result."""
        return Place(self.subject, self.sample, self.determination).key


def amendments(connection: Connection, season: Season, since: int) -> list[Amendment]:
    """Return what was entered after event `since`, in the order of the chain."""
    found = _entries_since(connection, season, since) + _conventions_since(connection, since)
    found += _samplings_since(connection, since)
    return sorted(found, key=lambda amendment: amendment.event)


def _entries_since(connection: Connection, season: Season, since: int) -> list[Amendment]:
    old, shift = tables.entry.alias(), tables.shift.c
    query = (
        select(
            _event.number, shift.day, shift.number, _entry.measure, old.c.typed, _entry.typed,
            old.c.value, _entry.value, _entry.reason, _entry.recorded_name, _entry.recorded_at,
            _entry.state, _entry.sample, _entry.determination, _entry.observed_at, shift.zone,
        )
        .select_from(tables.event)
        .join(tables.entry, _entry.id == _event.row_id)
        .join(tables.shift, shift.id == _entry.shift_id)
        .outerjoin(old, old.c.id == _entry.supersedes_id)
        .where(_event.number > since, _event.kind == "entry", shift.season_id == season.id)
    )  # fmt: skip
    return [
        Amendment(
            event, day, number, measure, before or "",
            _("{result}, left out", result=after) if state == LEFT_OUT else after,
            Decimal(new or 0) - Decimal(was or 0), reason or "", name, at,
            sample=sample, determination=determination,
            sampled_at=f"{sampled.astimezone(ZoneInfo(zone)):%H:%M}" if sampled else "",
        )
        for event, day, number, measure, before, after, was, new, reason, name, at, state, sample,
            determination, sampled, zone in connection.execute(query)
    ]  # fmt: skip


def _samplings_since(connection: Connection, since: int) -> list[Amendment]:
    s, person = tables.sampling.c, tables.person.c
    query = (
        select(
            _event.number, s.since, s.measure, s.taken, s.grain, s.every, s.rule, s.reason,
            person.printed_name, s.recorded_at,
        )
        .select_from(tables.event)
        .join(tables.sampling, s.id == _event.row_id)
        .join(tables.person, person.id == s.recorded_by)
        .where(_event.number > since, _event.kind == "sampling")
    )  # fmt: skip
    return [
        Amendment(
            event, day, 0, measure, "",
            _sampled(taken, grain, every, rule), None, reason, who, at, convention=True,
        )
        for event, day, measure, taken, grain, every, rule, reason, who, at in (
            connection.execute(query)
        )
    ]  # fmt: skip


def _sampled(taken: str, grain: str, every: int, rule: str) -> str:
    """Return how a measure is sampled, in words."""
    if every:
        return _("{taken}, each {hours} h, {rule}", taken=_(taken), hours=every, rule=_(rule))
    return _("{taken}, each {grain}, {rule}", taken=_(taken), grain=_(grain), rule=_(rule))


def _conventions_since(connection: Connection, since: int) -> list[Amendment]:
    c, person = tables.convention.c, tables.person.c
    query = (
        select(
            _event.number, c.since, c.name, c.value, c.source, person.printed_name, c.recorded_at
        )
        .select_from(tables.event)
        .join(tables.convention, c.id == _event.row_id)
        .join(tables.person, person.id == c.recorded_by)
        .where(_event.number > since, _event.kind == "convention")
    )
    return [
        Amendment(event, day, 0, name, "", _(value), None, source, who, at, convention=True)
        for event, day, name, value, source, who, at in connection.execute(query)
    ]
