"""The trail: what happened, read from the chain by day, person, or what came after signing."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import ColumnElement, Connection, Subquery, func, select

from app.language import _
from app.ledger import chain, tables
from app.ledger.cells import Refused, readable_reason
from app.ledger.chain import About
from app.ledger.mills import Season
from app.ledger.people import Person
from app.plant.typed import VOID

MAY_REVIEW = ("chief chemist", "manager")
OF_FILES = ("issue_file",)  # told with the issue they belong to
CORRECTED, TAKEN_OUT = "corrected", "taken-out"  # what entries and records may be asked for
SHEETS, BOOKS = "sheets", "books"  # where they stand; else the name of a book

_e, _entry, _record, _shift, _s, _r = (
    tables.event.c, tables.entry.c, tables.record.c, tables.shift.c, tables.signature.c,
    tables.review.c,
)  # fmt: skip


@dataclass(frozen=True)
class Told:
    """One event: who did what when, to which day, and what an entry or record replaced."""

    number: int
    at: datetime
    kind: str
    name: str
    day: date | None
    content: Mapping[str, Any]
    shift: int | None
    before: str | None
    reviewed_by: str | None = None


@dataclass(frozen=True)
class Asked:
    """Which events: of a day, a person, after signing, not reviewed; those before a number.

    `what` is CORRECTED or TAKEN_OUT, `where` is SHEETS, BOOKS or the name of a book.
    """

    day: date | None = None
    person_id: int | None = None
    after_signing: bool = False
    unreviewed: bool = False
    before: int | None = None
    what: str = ""
    where: str = ""


def told(connection: Connection, asked: Asked, at_most: int = 200) -> list[Told]:
    """Return the newest events that are asked for, the newest first."""
    old, record, old_record = tables.entry.alias(), tables.record, tables.record.alias()
    query = (
        select(
            _e.number, _e.at, _e.kind, _e.name, _e.day, _e.content, _shift.number,
            func.coalesce(old.c.typed, old_record.c.fields), _last_review(),
        )
        .select_from(tables.event)
        .outerjoin(tables.entry, (_e.kind == "entry") & (_entry.id == _e.row_id))
        .outerjoin(record, (_e.kind == "record") & (record.c.id == _e.row_id))
        .outerjoin(tables.shift, _shift.id == func.coalesce(_entry.shift_id, record.c.shift_id))
        .outerjoin(old, old.c.id == _entry.supersedes_id)
        .outerjoin(old_record, old_record.c.id == record.c.supersedes_id)
        .where(_e.kind.not_in(OF_FILES), *_conditions(asked))
        .order_by(_e.number.desc())
        .limit(at_most)
    )  # fmt: skip
    if asked.after_signing:
        first = _first_signed()
        of_shift = (first.c.season_id == _shift.season_id) & (first.c.day == _shift.day)
        of_shift &= first.c.number == _shift.number
        query = query.join(first, of_shift).where(_e.number > first.c.signed)
    return [
        Told(number, at, kind, name, day, json.loads(content), shift, before, reviewed)
        for number, at, kind, name, day, content, shift, before, reviewed in (
            connection.execute(query)
        )
    ]


def _conditions(asked: Asked) -> list[ColumnElement[bool]]:
    found: list[ColumnElement[bool]] = []
    if asked.day is not None:
        found.append(_e.day == asked.day)
    if asked.person_id is not None:
        found.append(_e.person_id == asked.person_id)
    if asked.before is not None:
        found.append(_e.number < asked.before)
    if asked.unreviewed:
        found += [_e.day.is_not(None), _e.kind != "review", _last_review().is_(None)]
    if asked.what:
        entered, written = (_what(table, asked.what) for table in (_entry, _record))
        found.append(entered | (written & _record.completes.is_(False)))
    if asked.where:
        kinds = {SHEETS: _e.kind == "entry", BOOKS: _e.kind == "record"}
        found.append(kinds.get(asked.where, _record.book == asked.where))
    return found


def _what(written: Any, what: str) -> ColumnElement[bool]:
    """Tell which entries or records were corrected or taken out."""
    void: ColumnElement[bool] = written.state == VOID
    return void if what == TAKEN_OUT else written.supersedes_id.is_not(None) & ~void


def _first_signed() -> Subquery:
    """Return the number of the event by which each shift was first signed."""
    signing = tables.event.alias()
    return (
        select(_s.season_id, _s.day, _s.number, func.min(signing.c.number).label("signed"))
        .join(signing, (signing.c.kind == "signature") & (signing.c.row_id == _s.id))
        .where(_s.meaning == "entered")
        .group_by(_s.season_id, _s.day, _s.number)
        .subquery()
    )


def _last_review() -> ColumnElement[str | None]:
    """Return who last looked through the event's day at least as far as the event."""
    return (
        select(func.max(_r.recorded_name))
        .where(_of_season(_r.season_id), _r.day == _e.day, _r.upto >= _e.number)
        .scalar_subquery()
    )


def _of_season(season_id: int | ColumnElement[int]) -> ColumnElement[bool]:
    """Tell which events are of a season; what is the mill's, such as a choice, is of every one."""
    return (_e.season_id == season_id) | _e.season_id.is_(None)


def review(
    connection: Connection,
    season: Season,
    day: date,
    *,
    upto: int,
    remark: str,
    by: Person,
    at: datetime,
) -> None:
    """Keep that `by` has looked through what happened to a day, as far as event `upto`.

    Raises Refused for an event that the day does not have.
    """
    found = select(_e.number).where(_e.number == upto, _e.day == day, _of_season(season.id))
    if connection.scalar(found) is None:
        raise Refused(_("Event {number} is not one of this day", number=upto))
    values = {
        "season_id": season.id,
        "day": day,
        "upto": upto,
        "remark": readable_reason(remark) or None,
        "recorded_by": by.id,
        "recorded_name": by.printed_name,
        "recorded_at": at,
    }
    chain.add(connection, tables.review, values, by=by, at=at, about=About(season.id, day))
