"""Brings many results in at once, checked all together first; then all are written, or none.

By the rules of the sheet, but for two: what stands is never corrected, and nothing is added to a
shift that is signed.
"""

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from itertools import groupby
from typing import NamedTuple

from sqlalchemy import Connection, select

from app.language import _
from app.ledger import chain, tables
from app.ledger.book import Rules, Typed, change_of
from app.ledger.cells import Change, Refused
from app.ledger.chain import About
from app.ledger.entering import Placed, open_shifts, write_changes
from app.ledger.entries import ENTRY, Entry, entry_of
from app.ledger.mills import Mill, Season, seasons, the_mill
from app.ledger.people import Person
from app.ledger.plan import plan_of
from app.ledger.signed import Place as Signable
from app.ledger.signed import Signed, signed
from app.plant.books.declare import time as time_field
from app.plant.books.reading import Span, Unfit, moment
from app.plant.calendar import LATE_AFTER
from app.plant.grains import SHIFT, WEEK
from app.plant.measures import MEASURES, Measure
from app.plant.plan import Plan
from app.plant.samples import Place, times

Progress = Callable[[int], None]

_TIME = time_field("time", "Time of the sample")
_EVERY = 500  # cells, after which progress is told


class Cell(NamedTuple):
    """One result of a table: where it stands there, where it belongs, and what it says."""

    row: int
    column: str
    day: date
    number: int | None
    measure: str
    typed: str
    time: str = ""
    observed_by: str = ""


class Fault(NamedTuple):
    """Why a cell cannot be brought in, or a whole row where no column is named."""

    row: int
    column: str
    typed: str
    words: str


class Pending(NamedTuple):
    """A change that may be written, and its shift."""

    season: Season
    day: date
    number: int
    change: Change


@dataclass
class Checked:
    """What would become of a table: what is new, how much stands already, what is wrong.

    `unusual` counts the new results outside the usual range, by measure; `head` is the last event
    that was seen.
    """

    head: int
    new: list[Pending] = field(default_factory=list)
    already: int = 0
    faults: list[Fault] = field(default_factory=list)
    unusual: Counter[str] = field(default_factory=Counter)

    @property
    def count(self) -> int:
        """How many results are new."""
        return len(self.new)

    @property
    def days(self) -> tuple[date, date] | None:
        """The first and last day that something new is of."""
        days = [pending.day for pending in self.new]
        return (min(days), max(days)) if days else None


@dataclass(frozen=True)
class _Shift:
    """A shift that results may be brought in to: its rules, what is in use, and what stands."""

    season: Season
    number: int
    zone: str
    rules: Rules
    in_use: Mapping[str, Measure]
    standing: Mapping[str, Entry]
    closed: str


class _Closed(Refused):
    """A whole row is of a shift that takes nothing."""


def check(
    connection: Connection,
    cells: Sequence[Cell],
    *,
    now: datetime,
    reason: str,
    progress: Progress = lambda _done: None,
) -> Checked:
    """Return what would become of results that are brought in; `reason` is kept with each."""
    checked = Checked(chain.head(connection).number)
    if not cells:
        return checked
    desk = _Desk(connection, cells, now)
    seen: dict[tuple[date, int, str], int] = {}
    of_rows: set[tuple[int, str]] = set()
    for done, cell in enumerate(cells):
        if done % _EVERY == 0:
            progress(done)
        try:
            _check_cell(desk, cell, reason, seen, checked)
        except _Closed as why:
            if (cell.row, str(why)) not in of_rows:
                of_rows.add((cell.row, str(why)))
                checked.faults.append(Fault(cell.row, "", "", str(why)))
        except (Refused, Unfit) as why:
            checked.faults.append(Fault(cell.row, cell.column, cell.typed, str(why)))
    progress(len(cells))
    return checked


def _check_cell(
    desk: "_Desk",
    cell: Cell,
    reason: str,
    seen: dict[tuple[date, int, str], int],
    checked: Checked,
) -> None:
    shift = desk.shift_of(cell)
    sample = _sample(cell, shift)
    key = Place(cell.measure, sample).key
    before = seen.setdefault((cell.day, shift.number, key), cell.row)
    if before != cell.row:
        raise Refused(_("Row {number} says it already", number=before))
    typed = Typed(
        cell.measure, cell.typed, reason=reason, observed_by=cell.observed_by, sample=sample
    )
    change = change_of(typed, None, None, shift.rules)
    if change is None:  # an empty cell
        return
    stands = shift.standing.get(key)
    if stands is not None:
        if (stands.state, stands.value) != (change.state, change.value):
            says = stands.typed.strip() or _("nothing")
            raise Refused(_("{says} stands there: correct it on its sheet", says=says))
        checked.already += 1
        return
    if shift.closed:
        raise _Closed(shift.closed)
    checked.new.append(Pending(shift.season, cell.day, shift.number, change))
    if change.value is not None and shift.in_use[cell.measure].direction(change.value):
        checked.unusual[cell.measure] += 1


class _Desk:
    """Where a table is checked: what is needed of the ledger is read at once, not by the shift."""

    def __init__(self, connection: Connection, cells: Sequence[Cell], now: datetime) -> None:
        self.mill: Mill = the_mill(connection)
        self.plan: Plan = plan_of(connection, self.mill)
        self.seasons = seasons(connection, self.mill)
        self.now = now
        first, last = min(cell.day for cell in cells), max(cell.day for cell in cells)
        self._standing: dict[tuple[date, int], dict[str, Entry]] = {}
        self._signed: dict[Signable, Signed] = {}
        for season in self.seasons:
            self._signed |= signed(connection, season, first, last)
            _read_standing(connection, season, (first, last), self._standing)
        self._shifts: dict[tuple[date, int], _Shift | str] = {}

    def shift_of(self, cell: Cell) -> _Shift:
        """Return the shift that a result belongs to; Refused where none takes it."""
        last = self.mill.shifts_a_day
        place = cell.day, cell.number or last
        if place not in self._shifts:
            self._shifts[place] = self._find(*place)
        found = self._shifts[place]
        if isinstance(found, str):
            raise _Closed(found)
        measure = found.in_use.get(cell.measure)
        if measure is None:
            title = _(MEASURES[cell.measure].title)
            raise Refused(_("{title} is not taken by the mill on that day", title=title))
        if measure.grain == SHIFT and cell.number is None:
            raise Refused(_("It is taken each shift: say which"))
        if measure.grain != SHIFT and found.number != last:
            raise Refused(
                _("It is taken once a {grain}: it stands on shift {number}",
                  grain=_(measure.grain), number=last)
            )  # fmt: skip
        if measure.grain == WEEK and cell.day.isoweekday() != 7:
            raise Refused(_("It is taken once a week: it stands on Sunday"))
        return found

    def _find(self, day: date, number: int) -> _Shift | str:
        """Return a shift, or why it takes nothing."""
        season = next((season for season in self.seasons if day in season), None)
        if season is None:
            return _(
                "{day} is in no season: an administrator begins one by mill-ledger season", day=day
            )
        if not 1 <= number <= self.mill.shifts_a_day:
            return _("shifts of this mill are numbered 1 to {count}", count=self.mill.shifts_a_day)
        bounds = self.mill.clock.shift_bounds(day, number)
        if bounds[1] > self.now:
            return _("shift {number} of {day} has not ended", number=number, day=day)
        rules = Rules(self.plan.every(day), bounds, late=self.now > bounds[1] + LATE_AFTER)
        standing = self._standing.get((day, number), {})
        return _Shift(
            season, number, self.mill.zone, rules, self.plan.on(day), standing,
            self._closed(day, number),
        )  # fmt: skip

    def _closed(self, day: date, number: int) -> str:
        of_day, of_shift = (self._signed.get((day, n), Signed()).signature for n in (None, number))
        if of_day:
            return _(
                "This day is approved by {name}: it is to be opened again",
                name=of_day.recorded_name,
            )
        if of_shift:
            return _(
                "This shift is signed by {name}: nothing is brought in there",
                name=of_shift.recorded_name,
            )
        return ""


def _read_standing(
    connection: Connection,
    season: Season,
    days: tuple[date, date],
    found: dict[tuple[date, int], dict[str, Entry]],
) -> None:
    shift, standing = tables.shift.c, tables.standing.c
    query = (
        select(shift.day, shift.number, *ENTRY)
        .join(tables.standing, standing.entry_id == tables.entry.c.id)
        .join(tables.shift, shift.id == standing.shift_id)
        .where(shift.season_id == season.id, shift.day.between(*days))
    )
    for day, number, *row in connection.execute(query):
        entry = entry_of(row)
        found.setdefault((day, number), {})[entry.key] = entry


def _sample(cell: Cell, shift: _Shift) -> int:
    """Return which sample of its shift a result is of: the last that was due by its time."""
    every = shift.in_use[cell.measure].every
    if not every:
        return 1
    if not cell.time:
        raise Refused(_("It is sampled every {hours} h: a column of times says when", hours=every))
    begins, ends = shift.rules.bounds
    at = moment(_TIME, cell.time, Span(shift.zone, begins, ends))
    return sum(due <= at for due in times(begins, ends, every))


_CHANGES = ("entry", "signature", "sampling", "part", "convention", "season")


def write(
    connection: Connection,
    checked: Checked,
    again: Callable[[Connection], Checked],
    *,
    by: Person,
    at: datetime,
    told: Mapping[str, object],
) -> Checked:
    """Write what was checked, and tell of the import; return what was written.

    Where anything was written since that may matter, it is checked `again` first, and nothing is
    written if something is wrong then.
    """
    event = tables.event.c
    since = select(event.number).where(event.number > checked.head, event.kind.in_(_CHANGES))
    if connection.execute(since.limit(1)).first():
        checked = again(connection)
    if checked.faults or not checked.new:
        return checked
    first, last = checked.days or (None, None)
    counts = {"written": checked.count, "already": checked.already}
    chain.tell(
        connection, "import", {**told, **counts, "first_day": first, "last_day": last},
        by=by, at=at,
    )  # fmt: skip
    in_order = sorted(checked.new, key=lambda each: (each.season.id, each.day, each.number))
    for season, pending in groupby(in_order, key=lambda each: each.season):
        _write_season(connection, season, list(pending), by=by, at=at)
    return checked


def _write_season(
    connection: Connection, season: Season, pending: Sequence[Pending], *, by: Person, at: datetime
) -> None:
    places = list(dict.fromkeys((each.day, each.number) for each in pending))
    shifts = open_shifts(connection, season, places, by=by, at=at)
    placed = [
        Placed(shifts[each.day, each.number], About(season.id, each.day), each.change)
        for each in pending
    ]
    write_changes(connection, placed, by=by, at=at)
