"""The book: writes entries, and reads one shift's sheet and one cell's trail."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from sqlalchemy import Connection, insert, select, update

from app.ledger import chain, tables
from app.ledger.cells import Change, Refused, pol_above_brix, readable_reason, understand, usual
from app.ledger.chain import About
from app.ledger.mills import Season, mill_of
from app.ledger.people import Person
from app.plant.measures import MEASURES

__all__ = ["Refused", "usual"]  # read with the book, though they are rules of its cells


@dataclass(frozen=True)
class Entry:
    """One result as typed, with its exact value; it is never changed, only superseded."""

    id: int
    measure: str
    state: str
    typed: str
    value: Decimal | None
    unit: str
    reason: str | None
    supersedes_id: int | None
    recorded_name: str
    recorded_at: datetime


@dataclass(frozen=True)
class Typed:
    """What one cell of a sheet sends: the text, the entry it was based on, and a reason."""

    measure: str
    typed: str
    based_on: int | None = None
    reason: str | None = None


class NeedsReason(Exception):
    """The cell was filled before: a correction says why."""

    def __init__(self, standing: Entry) -> None:
        super().__init__(f"{standing.typed or 'An empty cell'} stands here: give a reason")
        self.standing = standing


class Conflict(Exception):
    """Somebody else wrote in this cell since it was read."""

    def __init__(self, standing: Entry) -> None:
        says = standing.typed or "nothing"
        super().__init__(f"{standing.recorded_name} has meanwhile written {says} here")
        self.standing = standing


def record(  # noqa: PLR0913  a cell is found by four things and written by two
    connection: Connection,
    *,
    season: Season,
    day: date,
    number: int,
    measure: str,
    typed: str,
    based_on: int | None,
    reason: str | None,
    by: Person,
    at: datetime,
) -> Entry | None:
    """Write one cell and return what then stands in it; None where it is empty as before.

    Raises Refused, NeedsReason or Conflict, and then nothing is written.
    """
    failures = record_sheet(
        connection,
        season=season,
        day=day,
        number=number,
        cells=[Typed(measure, typed, based_on, reason)],
        by=by,
        at=at,
    )
    if failures:
        raise failures[measure]
    return sheet(connection, season, day, number).get(measure)


def record_sheet(
    connection: Connection,
    *,
    season: Season,
    day: date,
    number: int,
    cells: Iterable[Typed],
    by: Person,
    at: datetime,
) -> dict[str, Exception]:
    """Write the cells of a shift, all of them or none, and return what is wrong by measure.

    A cell that still says what its writer was shown is left alone. Raises Refused for a day
    outside the season, ValueError for a shift the mill does not have.
    """
    if day not in season:
        raise Refused(f"{day} is not a day of the season {season.name}")
    take_turn(connection, season)
    entries = _entries(connection, season, day, number)
    changes, failures = _changes(cells, {entry.id: entry for entry in entries})
    values = {entry.measure: entry.value for entry in entries}
    values |= {change.measure: change.value for change in changes}
    values |= dict.fromkeys(failures)
    failures |= _impossible(changes, values)
    if changes and not failures:
        shift_id = open_shift(connection, season, day, number, by=by, at=at)
        for change in changes:
            row = entry_values(shift_id, change, by, at)
            key = chain.add(
                connection, tables.entry, row, by=by, at=at, about=About(season.id, day)
            )
            _let_stand(connection, shift_id, change, key)
    return failures


def take_turn(connection: Connection, season: Season) -> None:
    """Let the writers of a season follow each other on PostgreSQL, as SQLite does by itself."""
    c = tables.season.c
    connection.execute(select(c.id).where(c.id == season.id).with_for_update())


def _changes(
    cells: Iterable[Typed], entries: Mapping[int, Entry]
) -> tuple[list[Change], dict[str, Exception]]:
    standing = {entry.measure: entry for entry in entries.values()}
    changes: list[Change] = []
    failures: dict[str, Exception] = {}
    for cell in cells:
        shown = entries.get(cell.based_on or 0)
        try:
            change = _change(cell, shown, standing.get(cell.measure))
        except (Refused, NeedsReason, Conflict) as failure:
            failures[cell.measure] = failure
        else:
            changes += [change] if change else []
    return changes, failures


def _change(cell: Typed, shown: Entry | None, standing: Entry | None) -> Change | None:
    text = cell.typed.strip()
    if text in (_text(shown), _text(standing)):
        return None
    change = understand(cell.measure, cell.typed)
    if standing is None:
        return change
    if standing.id != cell.based_on:
        raise Conflict(standing)
    reason = readable_reason(cell.reason)
    if not reason:
        raise NeedsReason(standing)
    return Change(change.measure, change.typed, change.state, change.value, reason, standing.id)


def _text(entry: Entry | None) -> str:
    return entry.typed.strip() if entry else ""


def _impossible(
    changes: Iterable[Change], values: Mapping[str, Decimal | None]
) -> dict[str, Exception]:
    said = {change.measure: pol_above_brix(change.measure, values) for change in changes}
    return {measure: Refused(message) for measure, message in said.items() if message}


def open_shift(
    connection: Connection, season: Season, day: date, number: int, *, by: Person, at: datetime
) -> int:
    """Return the id of a shift, which is put down at its first entry with its bounds."""
    c = tables.shift.c
    where = (c.season_id == season.id, c.day == day, c.number == number)
    found: int | None = connection.scalar(select(c.id).where(*where))
    if found is not None:
        return found
    clock = mill_of(connection, season).clock
    begins, ends = clock.shift_bounds(day, number)
    values = {"season_id": season.id, "day": day, "number": number, "zone": clock.zone}
    bounds = {"begins_at": begins, "ends_at": ends}
    return chain.add(
        connection, tables.shift, values | bounds, by=by, at=at, about=About(season.id, day)
    )


def entry_values(shift_id: int, change: Change, by: Person, at: datetime) -> dict[str, Any]:
    """Return the row of an entry."""
    return {
        "shift_id": shift_id,
        "measure": change.measure,
        "sample": 1,
        "state": change.state,
        "typed": change.typed,
        "value": None if change.value is None else str(change.value),
        "unit": MEASURES[change.measure].unit,
        "reason": change.reason,
        "supersedes_id": change.supersedes_id,
        "recorded_by": by.id,
        "recorded_name": by.printed_name,
        "recorded_at": at,
        "observed_by": change.observed_by,
        "late": change.late,
        "instrument": change.instrument,
    }


def _let_stand(connection: Connection, shift_id: int, change: Change, entry_id: int) -> None:
    c = tables.standing.c
    cell = {"shift_id": shift_id, "measure": change.measure}
    now = {"entry_id": entry_id, "value": as_float(change.value)}
    if change.supersedes_id is None:
        connection.execute(insert(tables.standing).values(cell | now))
    else:
        where = (c.shift_id == shift_id, c.measure == change.measure)
        connection.execute(update(tables.standing).where(*where).values(now))


def as_float(value: Decimal | str | None) -> float | None:
    """Return an exact value as figures use it."""
    return None if value is None else float(value)


e = tables.entry.c
ENTRY = (
    e.id,
    e.measure,
    e.state,
    e.typed,
    e.value,
    e.unit,
    e.reason,
    e.supersedes_id,
    e.recorded_name,
    e.recorded_at,
)


def entry_of(row: Iterable[Any]) -> Entry:
    """Return the entry that a row of the columns ENTRY tells of."""
    key, measure, state, typed, value, *others = row
    exact = None if value is None else Decimal(value)
    return Entry(key, measure, state, typed, exact, *others)


def _entries(connection: Connection, season: Season, day: date, number: int) -> list[Entry]:
    shift = tables.shift.c
    query = (
        select(*ENTRY)
        .join(tables.shift, shift.id == e.shift_id)
        .where(shift.season_id == season.id, shift.day == day, shift.number == number)
        .order_by(e.id)
    )
    return [entry_of(row) for row in connection.execute(query)]


def sheet(connection: Connection, season: Season, day: date, number: int) -> dict[str, Entry]:
    """Return what stands in the cells of a shift, voided ones included, by measure."""
    # an entry can only be superseded by a later one, so the last of each cell is what stands
    return {entry.measure: entry for entry in _entries(connection, season, day, number)}


def trail(
    connection: Connection, season: Season, day: date, number: int, measure: str
) -> list[Entry]:
    """Return everything ever written in one cell, oldest first."""
    written = _entries(connection, season, day, number)
    return [entry for entry in written if entry.measure == measure]
