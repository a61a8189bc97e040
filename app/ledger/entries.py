"""Reads entries: what stands on a shift's sheet, and one measure's trail."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from sqlalchemy import Connection, select

from app.ledger import tables
from app.ledger.mills import Season
from app.plant.samples import Place


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
    late: bool = False
    observed_by: str | None = None
    instrument: str = "none"
    recorded_by: int = 0
    sample: int = 1
    determination: int = 1
    observed_at: datetime | None = None
    carried: bool = False

    @property
    def place(self) -> Place:
        """Where it stands on its sheet."""
        return Place(self.measure, self.sample, self.determination)

    @property
    def key(self) -> str:
        """How forms and addresses name that place."""
        return self.place.key


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
    e.late,
    e.observed_by,
    e.instrument,
    e.recorded_by,
    e.sample,
    e.determination,
    e.observed_at,
    e.carried,
)


def entry_of(row: Iterable[Any]) -> Entry:
    """Return the entry that a row of the columns ENTRY tells of."""
    key, measure, state, typed, value, *others = row
    exact = None if value is None else Decimal(value)
    return Entry(key, measure, state, typed, exact, *others)


def entries_of_shift(connection: Connection, season: Season, day: date, number: int) -> list[Entry]:
    """Return everything ever written on a shift, oldest first."""
    shift = tables.shift.c
    query = (
        select(*ENTRY)
        .join(tables.shift, shift.id == e.shift_id)
        .where(shift.season_id == season.id, shift.day == day, shift.number == number)
        .order_by(e.id)
    )
    return [entry_of(row) for row in connection.execute(query)]


def sheet(connection: Connection, season: Season, day: date, number: int) -> dict[str, Entry]:
    """Return what stands in the cells of a shift, voided ones included, by the keys of places."""
    # an entry can only be superseded by a later one, so the last of each cell is what stands
    return {entry.key: entry for entry in entries_of_shift(connection, season, day, number)}


def trail(
    connection: Connection, season: Season, day: date, number: int, measure: str
) -> list[Entry]:
    """Return everything ever written of one measure, all its samples, oldest first."""
    written = entries_of_shift(connection, season, day, number)
    return [entry for entry in written if entry.measure == measure]


def numbers_between(
    connection: Connection,
    season: Season,
    measures: Iterable[str],
    span: tuple[datetime, datetime],
) -> list[tuple[date, int, Entry]]:
    """Return the numbers of some measures that stand and were written in a span of time.

    Each comes with the day and number of its shift; they are in the order of shifts.
    """
    standing, shift = tables.standing.c, tables.shift.c
    query = (
        select(shift.day, shift.number, *ENTRY)
        .select_from(tables.standing)
        .join(tables.entry, e.id == standing.entry_id)
        .join(tables.shift, shift.id == standing.shift_id)
        .where(
            shift.season_id == season.id,
            standing.measure.in_(tuple(measures)),
            standing.value.is_not(None),
            e.recorded_at.between(*span),
        )
        .order_by(shift.day, shift.number, e.id)
    )
    return [(day, number, entry_of(row)) for day, number, *row in connection.execute(query)]
