"""Puts a whole season's history into an empty one, by the same rules as the sheet's."""

from collections.abc import Iterable
from dataclasses import replace
from datetime import date, datetime
from typing import Any, NamedTuple

from sqlalchemy import Connection, insert, select

from app.ledger import chain, tables
from app.ledger.cells import understand
from app.ledger.chain import About
from app.ledger.entering import entry_values, open_shift
from app.ledger.entries import as_float
from app.ledger.mills import Season, mill_of
from app.ledger.people import Person, people
from app.ledger.plan import plan_of
from app.plant.calendar import LATE_AFTER
from app.plant.samples import times


class HistoryEntry(NamedTuple):
    """One result of the past: its cell, its text, and who wrote it when."""

    day: date
    number: int
    measure: str
    typed: str
    reason: str | None
    person_id: int
    recorded_at: datetime
    corrects_previous: bool
    sample: int = 1


def load_history(connection: Connection, season: Season, rows: Iterable[HistoryEntry]) -> int:
    """Write `rows`, in the order they were recorded, and return how many.

    Raises Refused for a text that a sheet would refuse, and ValueError for a season that already
    has entries.
    """
    begun = select(tables.shift.c.id).where(tables.shift.c.season_id == season.id).limit(1)
    if connection.scalar(begun) is not None:
        raise ValueError(f"The season {season.name} already has entries")
    loader = _Loader(connection, season)
    for row in rows:
        loader.take(row)
    return loader.finish()


class _Loader:
    """Holds rows back and writes many at once; a correction needs the id of what it corrects."""

    def __init__(self, connection: Connection, season: Season) -> None:
        self.connection = connection
        self.season = season
        self.writers: dict[int, Person] = {person.id: person for person in people(connection)}
        mill = mill_of(connection, season)
        self.clock = mill.clock
        self.plan = plan_of(connection, mill)
        self.shifts: dict[tuple[date, int], int] = {}
        self.late_from: dict[int, datetime] = {}
        self.standing: dict[tuple[int, str, int], tuple[int, float | None]] = {}
        self.held: list[tuple[dict[str, Any], Person, datetime, About]] = []
        self.written = 0

    def take(self, row: HistoryEntry) -> None:
        """Check one row and hold it for writing."""
        shift_id = self._shift(row)
        measures = self.plan.every(row.day)
        change = understand(row.measure, row.typed, measures=measures)
        every = measures[row.measure].every
        if every:
            due = times(*self.clock.shift_bounds(row.day, row.number), every)
            change = replace(change, sample=row.sample, observed_at=due[row.sample - 1])
        late = row.recorded_at > self.late_from[shift_id] and not row.corrects_previous
        change = replace(change, reason=row.reason, late=late)
        if row.corrects_previous:
            self._write()
            change = replace(
                change, supersedes_id=self.standing[shift_id, row.measure, row.sample][0]
            )
        writer = self.writers[row.person_id]
        values_of_it = entry_values(shift_id, change, writer, row.recorded_at)
        about = About(self.season.id, row.day)
        self.held.append((values_of_it, writer, row.recorded_at, about))

    def _shift(self, row: HistoryEntry) -> int:
        day, number = row.day, row.number
        if (day, number) not in self.shifts:
            self._write()  # so that events are told in the order of time
            writer = self.writers[row.person_id]
            key = open_shift(
                self.connection, self.season, day, number, by=writer, at=row.recorded_at
            )
            self.shifts[day, number] = key
            self.late_from[key] = self.clock.shift_bounds(day, number)[1] + LATE_AFTER
        return self.shifts[day, number]

    def _write(self) -> None:
        if not self.held:
            return
        ids = chain.add_all(self.connection, tables.entry, self.held)
        for key, (row, *_) in zip(ids, self.held, strict=True):
            place = row["shift_id"], row["measure"], row["sample"]
            self.standing[place] = key, as_float(row["value"])
        self.written += len(self.held)
        self.held.clear()

    def finish(self) -> int:
        """Write what is still held, and the reading side of everything."""
        self._write()
        rows = [
            {
                "shift_id": shift_id,
                "measure": measure,
                "sample": sample,
                "entry_id": key,
                "value": value,
            }
            for (shift_id, measure, sample), (key, value) in self.standing.items()
        ]
        if rows:
            self.connection.execute(insert(tables.standing), rows)
        return self.written
