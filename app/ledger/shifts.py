"""The ledger as figures and files take it: one row a shift, and every entry of some days."""

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray
from sqlalchemy import ColumnElement, Connection, Select, select

from app.ledger import tables
from app.ledger.booked_rows import add_booked
from app.ledger.entries import ENTRY, Entry, as_float, entry_of
from app.ledger.mills import Mill, Season
from app.ledger.plan import plan_of
from app.ledger.sampled import FURTHER, add_samples, tuples
from app.plant.calendar import Clock
from app.plant.measures import MEASURES
from app.plant.plan import Plan
from app.plant.samples import Place
from app.plant.typed import VOID

GROSS_HOURS = "gross_hours"

_shift, _standing, _entry = tables.shift.c, tables.standing.c, tables.entry.c

_SAME_PLACE = (
    (_standing.shift_id == _entry.shift_id)
    & (_standing.measure == _entry.measure)
    & (_standing.sample == _entry.sample)
    & (_standing.determination == _entry.determination)
)


@dataclass(frozen=True)
class ShiftKey:
    """A shift of a season and how many hours it lasts."""

    day: date
    number: int
    hours: float


@dataclass(frozen=True)
class ShiftTable:
    """What stands in a season's sheets: the shifts in order, and for each measure its numbers.

    Shifts without a sheet are in it too. NaN wherever there is no number; `gross_hours` is how
    long each shift lasts. `states` tells, by row and measure, where a named state stands instead;
    `corrected` where what stands corrects another; `booked` where another book gives the number,
    and `shares` what share of it was really analysed, where not all: nothing where its records tell
    too little for a number.
    """

    season: Season
    shifts: list[ShiftKey]
    measures: dict[str, NDArray[np.float64]]
    states: dict[tuple[int, str], str]
    corrected: frozenset[tuple[int, str]]
    booked: frozenset[tuple[int, str]] = frozenset()
    shares: Mapping[tuple[int, str], float] = field(default_factory=dict)


def shift_table(
    connection: Connection,
    mill: Mill,
    season: Season,
    only: date | None = None,
    plan: Plan | None = None,
    days_before: int = 0,
    measures_read: Collection[str] = MEASURES,
) -> ShiftTable:
    """Return the table of `season`, or of one day `only` with so many days before it.

    It runs from the first day to the last shift that has an entry. Where a shift has several
    samples of a measure, or tests of a sample, its result is what they make by the mill's `plan`.
    Of measures other than `measures_read` it holds nothing.
    """
    within = _shift.season_id == season.id
    if only is not None:
        within &= _shift.day.between(only - timedelta(days=days_before), only)
    query = select(_shift.id, _shift.day, _shift.number).where(within)
    written = {(day, number): key for key, day, number in connection.execute(query)}
    plan = plan or plan_of(connection, mill)
    shifts = _shifts(mill.clock, min(written)[0], max(written)) if written else []
    names = (*MEASURES, GROSS_HOURS)
    values = np.full((len(names), len(shifts)), np.nan)
    values[-1] = [shift.hours for shift in shifts]
    measures = dict(zip(names, values, strict=True))
    rows = {written.get((shift.day, shift.number)): row for row, shift in enumerate(shifts)}
    for shift_id, measure, value in _numbers(connection, within, measures_read):
        if measure in measures:
            measures[measure][rows[shift_id]] = value
    taken = [plan.every(shift.day) for shift in shifts]
    add_samples(connection, within, rows, measures, taken, [shift.hours for shift in shifts])
    states = {
        (rows[shift_id], measure): state
        for shift_id, measure, state in _named_states(connection, within)
        if measure in measures and np.isnan(measures[measure][rows[shift_id]])
    }
    corrected = frozenset(
        (rows[shift_id], measure) for shift_id, measure in _corrections(connection, within)
    )
    days = [shift.day for shift in shifts]
    booked = add_booked(connection, season, rows, days, measures, taken, states)
    for name in MEASURES.keys() - measures_read:
        measures[name].fill(np.nan)
    return ShiftTable(season, shifts, measures, states, corrected, *booked)


def _shifts(clock: Clock, first_day: date, last: tuple[date, int]) -> list[ShiftKey]:
    days = (last[0] - first_day).days + 1
    every = (
        (first_day + timedelta(days=gone), number)
        for gone in range(days)
        for number in range(1, clock.shifts_a_day + 1)
    )
    return [ShiftKey(*key, _hours(clock, *key)) for key in every if key <= last]


def _hours(clock: Clock, day: date, number: int) -> float:
    begins, ends = clock.shift_bounds(day, number)
    return (ends - begins).total_seconds() / 3600


def _numbers(
    connection: Connection, within: ColumnElement[bool], names: Collection[str]
) -> list[tuple[int, str, float]]:
    """Return the numbers that stand of measures by name."""
    if len(names) < len(MEASURES):
        within &= _standing.measure.in_(sorted(names))
    query = (
        select(_standing.shift_id, _standing.measure, _standing.value)
        .join(tables.shift, _shift.id == _standing.shift_id)
        .where(within, _standing.value.is_not(None), ~FURTHER)
    )
    return tuples(connection, query)


def _named_states(
    connection: Connection, within: ColumnElement[bool]
) -> list[tuple[int, str, str]]:
    query = (
        select(_standing.shift_id, _standing.measure, _entry.state)
        .join(tables.shift, _shift.id == _standing.shift_id)
        .join(tables.entry, _entry.id == _standing.entry_id)
        .where(within, _standing.value.is_(None), _entry.state != VOID)
    )
    return tuples(connection, query)


def _corrections(connection: Connection, within: ColumnElement[bool]) -> list[tuple[int, str]]:
    # few entries correct another, and "+ 0" lets the index on what they supersede find them
    query = (
        select(_entry.shift_id, _entry.measure)
        .join(tables.shift, _shift.id == _entry.shift_id + 0)
        .join(
            tables.standing,
            _SAME_PLACE & (_standing.entry_id == _entry.id),
        )
        .where(within, _entry.supersedes_id > 0)
    )
    return tuples(connection, query)


@dataclass(frozen=True)
class Kept:
    """An entry with its place, and whether it is `standing`, `superseded` or `void`."""

    day: date
    number: int
    status: str
    entry: Entry

    @property
    def stream(self) -> str:
        """The stream or vessel whose measure this is."""
        return MEASURES[self.entry.measure].stream

    @property
    def prop(self) -> str:
        """What was weighed or analysed of it."""
        return MEASURES[self.entry.measure].prop


def entries_of(
    connection: Connection, season: Season, first_day: date, last_day: date
) -> list[Kept]:
    """Return every entry of those days by shift, measure (in the sheet's order) and time."""
    query = (
        select(_shift.day, _shift.number, _standing.entry_id, *ENTRY)
        .select_from(tables.entry)
        .join(tables.shift, _shift.id == _entry.shift_id)
        .join(tables.standing, _SAME_PLACE)
        .where(_shift.season_id == season.id, _shift.day.between(first_day, last_day))
    )
    kept = [_kept(*row) for row in connection.execute(query)]
    place = {measure: n for n, measure in enumerate(MEASURES)}
    return sorted(kept, key=lambda k: (k.day, k.number, place[k.entry.measure], k.entry.id))


def _kept(day: date, number: int, standing_id: int, *columns: Any) -> Kept:
    entry = entry_of(columns)
    if entry.id != standing_id:
        return Kept(day, number, "superseded", entry)
    return Kept(day, number, "void" if entry.state == VOID else "standing", entry)


class Difference(NamedTuple):
    """A cell whose reading side does not say what its entries say; (entry id, value) each."""

    shift_id: int
    place: str
    entries: tuple[int, float | None] | None
    standing: tuple[int, float | None] | None


def differences(connection: Connection) -> list[Difference]:
    """Compare the reading side with what the entries say; nothing differs in a sound ledger."""
    later = tables.entry.alias()
    superseded = select(later.c.id).where(later.c.supersedes_id == _entry.id).exists()
    last = select(
        _entry.shift_id, _entry.measure, _entry.sample, _entry.determination, _entry.id,
        _entry.value,
    ).where(~superseded)  # fmt: skip
    kept = select(
        _standing.shift_id, _standing.measure, _standing.sample, _standing.determination,
        _standing.entry_id, _standing.value,
    )  # fmt: skip
    said = {cell: (key, as_float(value)) for cell, key, value in _by_place(connection, last)}
    read = {cell: (key, value) for cell, key, value in _by_place(connection, kept)}
    cells = sorted(said.keys() | read.keys())
    return [
        Difference(*cell, said.get(cell), read.get(cell))
        for cell in cells
        if said.get(cell) != read.get(cell)
    ]


def _by_place(
    connection: Connection, query: Select[Any]
) -> Iterator[tuple[tuple[int, str], int, Any]]:
    for shift_id, measure, sample, determination, key, value in tuples(connection, query):
        yield (shift_id, Place(measure, sample, determination).key), key, value
