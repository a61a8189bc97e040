"""What was brought in, and what columns were said to be, as the chain tells of both."""

import json
from collections.abc import Collection, Mapping, Sequence
from datetime import date, datetime
from typing import Any, NamedTuple

from sqlalchemy import Connection, select

from app.ledger import chain, tables
from app.ledger.mills import Season
from app.ledger.people import Person

IMPORT, COLUMNS, TAKEN_BACK = "import", "columns", "taken_back"

_LOOKED_THROUGH = 200  # of the newest choices of columns

_FROM, _BACK = "brought in from ", "import taken back of event "

_e = tables.event.c


class Imported(NamedTuple):
    """One import: the number of its event, when and by whom, and what is told of it.

    `taken_back` is the event by which it was.
    """

    number: int
    at: datetime
    name: str
    told: Mapping[str, Any]
    person_id: int | None
    taken_back: "Imported | None" = None

    @property
    def mark(self) -> str:
        """How what is kept with each of its results and records ends."""
        return _mark(self.told["sha256"])


class Remembered(NamedTuple):
    """What the columns of a table were said to be, by heading; those left out have no word."""

    target: str
    order: str
    columns: Mapping[str, str]


def brought_in_from(file: str, sha256: str) -> str:
    """Return what is kept with each result and record that a file brought; it stays English."""
    return f"{_FROM}{file} {_mark(sha256)}"


def file_in(reason: str | None) -> str:
    """Return the file that something was brought in from, by what is kept with it; else nothing."""
    return (reason or "").removeprefix(_FROM) if (reason or "").startswith(_FROM) else ""


def _mark(sha256: str) -> str:
    return f"(sha256 {sha256[:12]})"


def back_because(number: int, reason: str) -> str:
    """Return what is kept with each result and record of an import that is taken back."""
    return f"{_BACK}{number}: {reason}"


def was_taken_back(reason: str | None) -> bool:
    """Tell by what is kept with it whether something was emptied with all of its import.

    Another import may fill that again, as if nothing had ever stood there.
    """
    return bool(taken_back_in(reason))


def taken_back_in(reason: str | None) -> tuple[str, str] | None:
    """Return the event whose import was taken back, and why, by what is kept with a result."""
    if not (reason or "").startswith(_BACK):
        return None
    number, _colon, why = (reason or "").removeprefix(_BACK).partition(": ")
    return number, why


def imports(connection: Connection, at_most: int | None = 100) -> list[Imported]:
    """Return the newest imports first."""
    back = {event.told["import"]: event for event in _events(connection, TAKEN_BACK, None)}
    found = _events(connection, IMPORT, at_most)
    return [event._replace(taken_back=back.get(str(event.number))) for event in found]


def _events(connection: Connection, kind: str, at_most: int | None) -> list[Imported]:
    query = (
        select(_e.number, _e.at, _e.name, _e.content, _e.person_id)
        .where(_e.kind == kind)
        .order_by(_e.number.desc())
        .limit(at_most)
    )
    return [
        Imported(number, at, name, json.loads(content), person_id)
        for number, at, name, content, person_id in connection.execute(query)
    ]


def files_of_days(
    connection: Connection, season: Season, first: date, last: date
) -> dict[date, str]:
    """Return the days of which something stands that was brought in, and from which files."""
    events = (each.told for each in imports(connection, None) if not each.taken_back)
    if not any(
        f"{first}" <= each["last_day"] and each["first_day"] <= f"{last}" for each in events
    ):
        return {}
    shift, entry, standing = tables.shift.c, tables.entry.c, tables.standing.c
    query = (
        select(shift.day, entry.reason)
        .distinct()
        .join(tables.standing, standing.shift_id == shift.id)
        .join(tables.entry, entry.id == standing.entry_id)
        .where(
            shift.season_id == season.id,
            shift.day.between(first, last),
            entry.reason.startswith(_FROM, autoescape=True),
        )
        .order_by(shift.day, entry.reason)
    )
    found: dict[date, str] = {}
    for day, reason in connection.execute(query):
        file = file_in(reason).rpartition(" (sha256 ")[0]
        found[day] = f"{found[day]}, {file}" if day in found else file
    return found


def remembered(
    connection: Connection, headings: Collection[str], target: str = ""
) -> Remembered | None:
    """Return what the columns of such headings were last said to be; of one target, if given.

    A table may have more headings than the one that was seen then.
    """
    query = select(_e.content).where(_e.kind == COLUMNS).order_by(_e.number.desc())
    for content in connection.scalars(query.limit(_LOOKED_THROUGH)):
        told = json.loads(content)
        columns = dict(told["columns"])
        if columns.keys() <= set(headings) and target in ("", told["target"]):
            return Remembered(told["target"], told["order"], columns)
    return None


def remember(
    connection: Connection,
    target: str,
    order: str,
    columns: Sequence[tuple[str, str]],
    *,
    by: Person,
    at: datetime,
) -> None:
    """Tell what columns are, by heading, unless that is remembered already."""
    before = remembered(connection, {heading for heading, _what in columns}, target)
    if before == Remembered(target, order, dict(columns)):
        return
    content = {"target": target, "order": order, "columns": [list(pair) for pair in columns]}
    chain.tell(connection, COLUMNS, content, by=by, at=at)
