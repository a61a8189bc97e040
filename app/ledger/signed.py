"""How shifts and days stand: who signed them, what that covers, and what came after."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import ColumnElement, Connection, func, select

from app.ledger import tables
from app.ledger.canonical import canonical, digest
from app.ledger.mills import Season

ENTERED, APPROVED, REOPENED = "entered", "approved", "reopened"

_s, _shift, _entry = tables.signature.c, tables.shift.c, tables.entry.c

Place = tuple[date, int | None]  # a shift; a day where the number is none


@dataclass(frozen=True)
class Signature:
    """Who signed or reopened what, when, and what that meant; `remarks` by measure."""

    id: int
    day: date
    number: int | None
    meaning: str
    covers: str
    entries: int
    remarks: Mapping[str, str]
    reason: str | None
    role: str
    recorded_by: int
    recorded_name: str
    recorded_at: datetime


@dataclass(frozen=True)
class Signed:
    """How a shift or a day stands: its last signature or reopening, and what came after it."""

    last: Signature | None = None
    entries: int = 0

    @property
    def signature(self) -> Signature | None:
        """The signature that binds; None where none was given or it was reopened."""
        return self.last if self.last and self.last.meaning != REOPENED else None

    @property
    def reopened(self) -> Signature | None:
        """The reopening, where nothing was signed after it."""
        return self.last if self.last and self.last.meaning == REOPENED else None

    @property
    def by(self) -> str:
        """Who signed or reopened it last."""
        return self.last.recorded_name if self.last else ""

    @property
    def since(self) -> int:
        """How many entries the last signature does not cover."""
        return self.entries - self.last.entries if self.last else 0

    @property
    def whole(self) -> bool:
        """Whether a signature covers everything that is there."""
        return self.signature is not None and self.since == 0


@dataclass(frozen=True)
class DaySigned:
    """How the shifts of a day stand, and the day itself."""

    shifts: Mapping[int, Signed]
    day: Signed

    @property
    def unsigned(self) -> list[int]:
        """The shifts that no signature binds."""
        return [number for number, shift in self.shifts.items() if shift.signature is None]

    @property
    def changed(self) -> list[int]:
        """The shifts that were changed after they were signed."""
        return [n for n, shift in self.shifts.items() if shift.signature and shift.since]


def signed(connection: Connection, season: Season, first: date, last: date) -> dict[Place, Signed]:
    """Return how every shift and day stands that has an entry or a signature, by place."""
    counts = _entries(connection, season, first, last)
    found: dict[Place, Signed] = {place: Signed(None, entries) for place, entries in counts.items()}
    for signature in signatures(connection, season, first, last):
        place = signature.day, signature.number
        found[place] = Signed(signature, counts.get(place, 0))
    return found


def _entries(connection: Connection, season: Season, first: date, last: date) -> dict[Place, int]:
    """Return how many entries and records each shift, and each day, has ever had."""
    found: dict[Place, int] = {}
    for table in (tables.entry, tables.record):
        query = (
            select(_shift.day, _shift.number, func.count())
            .join(table, table.c.shift_id == _shift.id)
            .where(_shift.season_id == season.id, _shift.day.between(first, last))
            .group_by(_shift.day, _shift.number)
        )
        for day, number, count in connection.execute(query):
            for place in ((day, number), (day, None)):
                found[place] = found.get(place, 0) + count
    return found


def signatures(connection: Connection, season: Season, first: date, last: date) -> list[Signature]:
    """Return every signature and reopening of those days, in the order they were given."""
    within: list[ColumnElement[bool]] = [_s.season_id == season.id, _s.day.between(first, last)]
    query = select(
        _s.id, _s.day, _s.number, _s.meaning, _s.covers, _s.entries, _s.remarks, _s.reason,
        _s.role, _s.recorded_by, _s.recorded_name, _s.recorded_at,
    ).where(*within).order_by(_s.id)  # fmt: skip
    return [
        Signature(**{**row, "remarks": json.loads(row["remarks"] or "{}")})
        for row in connection.execute(query).mappings()
    ]


def signed_shift(connection: Connection, season: Season, day: date, number: int) -> Signed:
    """Return how one shift stands."""
    return signed(connection, season, day, day).get((day, number), Signed())


def signed_day(connection: Connection, season: Season, day: date, shifts_a_day: int) -> DaySigned:
    """Return how a day and its shifts stand."""
    found = signed(connection, season, day, day)
    shifts = {n: found.get((day, n), Signed()) for n in range(1, shifts_a_day + 1)}
    return DaySigned(shifts, found.get((day, None), Signed()))


def covers_shift(connection: Connection, season: Season, day: date, number: int) -> str:
    """Return the digest of what stands on a shift: every result and record with its number."""
    within = (_shift.day == day) & (_shift.number == number)
    return _of_shift(season, (day, number), _standing(connection, season, within))


def covers_day(connection: Connection, season: Season, day: date, shifts_a_day: int) -> str:
    """Return the digest of a day: of each of its shifts."""
    return _of_day(season, day, shifts_a_day, _standing(connection, season, _shift.day == day))


def miscovered(connection: Connection, season: Season, shifts_a_day: int) -> list[Signature]:
    """Return the signatures that ought to cover all that stands, and do not: none, if sound."""
    stands = _standing(connection, season, _shift.season_id == season.id)
    found = []
    for (day, number), state in signed(connection, season, date.min, date.max).items():
        if not state.whole or state.signature is None:
            continue
        now = (
            _of_day(season, day, shifts_a_day, stands)
            if number is None
            else _of_shift(season, (day, number), stands)
        )
        if now != state.signature.covers:
            found.append(state.signature)
    return found


def _results(
    connection: Connection, season: Season, within: ColumnElement[bool]
) -> dict[Place, list[list[Any]]]:
    standing = tables.standing.c
    query = (
        select(
            _shift.day, _shift.number, _entry.measure, _entry.sample, _entry.id, _entry.state,
            _entry.typed, _entry.value, _entry.unit,
        )
        .join(tables.standing, standing.entry_id == _entry.id)
        .join(tables.shift, _shift.id == standing.shift_id)
        .where(_shift.season_id == season.id, within)
        .order_by(_entry.id)
    )  # fmt: skip
    found: dict[Place, list[list[Any]]] = {}
    for day, number, *result in connection.execute(query):
        found.setdefault((day, number), []).append(result)
    return found


def _records(
    connection: Connection, season: Season, within: ColumnElement[bool]
) -> dict[Place, list[list[Any]]]:
    record, standing = tables.record.c, tables.standing_record.c
    query = (
        select(_shift.day, _shift.number, record.book, record.id, record.state, record.fields)
        .join(tables.standing_record, standing.record_id == record.id)
        .join(tables.shift, _shift.id == standing.shift_id)
        .where(_shift.season_id == season.id, within)
        .order_by(record.id)
    )
    found: dict[Place, list[list[Any]]] = {}
    for day, number, *said in connection.execute(query):
        found.setdefault((day, number), []).append(said)
    return found


def _standing(
    connection: Connection, season: Season, within: ColumnElement[bool]
) -> dict[Place, dict[str, Any]]:
    """Return what stands on some shifts: results, and records where there are any."""
    results = _results(connection, season, within)
    records = _records(connection, season, within)
    return {
        place: {"results": results.get(place, [])}
        | ({"records": records[place]} if place in records else {})
        for place in {*results, *records}
    }


def _of_shift(season: Season, place: Place, stands: Mapping[Place, Mapping[str, Any]]) -> str:
    day, number = place
    said = {"season": season.name, "day": day, "number": number}
    return digest("shift 1", canonical(said | dict(stands.get(place, {"results": []}))))


def _of_day(
    season: Season, day: date, shifts_a_day: int, stands: Mapping[Place, Mapping[str, Any]]
) -> str:
    places = [(day, number) for number in range(1, shifts_a_day + 1)]
    shifts = [_of_shift(season, place, stands) for place in places]
    return digest("day 1", canonical({"season": season.name, "day": day, "shifts": shifts}))
