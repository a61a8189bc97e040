"""Brings many results in at once, checked all together first; then all are written, or none.

By the rules of the sheet, but for two: what stands is never corrected, and nothing is added to a
shift that is signed.
"""

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from itertools import groupby
from typing import NamedTuple

from sqlalchemy import Connection, select

from app.language import _
from app.ledger import chain, tables
from app.ledger.book import Typed, change_of
from app.ledger.cells import Change, Refused
from app.ledger.chain import About
from app.ledger.entering import Placed, open_shifts, write_changes
from app.ledger.imported import was_taken_back
from app.ledger.importing_desk import Desk, OpenShift, WholeRow
from app.ledger.mills import Season
from app.ledger.people import Person
from app.ledger.recording import Draft, write_records
from app.plant.books.declare import time as time_field
from app.plant.books.reading import Span, Unfit, moment
from app.plant.samples import Place, times

Progress = Callable[[int], None]

MOST = 30_000  # results at once: others wait for as long as they are written

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

    New are results of the sheet, or records of a book. `unusual` counts the numbers outside the
    usual range, by measure or field; `head` is the last event that was seen.
    """

    head: int
    results: list[Pending] = field(default_factory=list)
    records: list[tuple[Season, Draft]] = field(default_factory=list)
    already: int = 0
    faults: list[Fault] = field(default_factory=list)
    unusual: Counter[str] = field(default_factory=Counter)

    @property
    def count(self) -> int:
        """How many results or records are new."""
        return len(self.results) + len(self.records)

    @property
    def days(self) -> tuple[date, date] | None:
        """The first and last day that something new is of."""
        days = [pending.day for pending in self.results]
        days += [draft.day for _season, draft in self.records]
        return (min(days), max(days)) if days else None


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
    if len(cells) > MOST:
        words = _("These are more than {count} results: bring them in by parts", count=MOST)
        checked.faults.append(Fault(cells[MOST].row, "", "", words))
        return checked
    desk = Desk(connection, [cell.day for cell in cells], now)
    seen = _Seen()
    whole: dict[Fault, None] = {}  # said once of a row, however many cells it has
    for done, cell in enumerate(cells):
        if done % _EVERY == 0:
            progress(done)
        try:
            _check_cell(desk, cell, reason, seen, checked)
        except WholeRow as why:
            whole[Fault(cell.row, "", "", str(why))] = None
        except (Refused, Unfit) as why:
            checked.faults.append(Fault(cell.row, cell.column, cell.typed, str(why)))
    checked.faults += [*whole, *seen.faults()]
    progress(len(cells))
    return checked


def _check_cell(
    desk: "Desk",
    cell: Cell,
    reason: str,
    seen: "_Seen",
    checked: Checked,
) -> None:
    shift = desk.shift_of(cell)
    sample = _sample(cell, shift)
    key = Place(cell.measure, sample).key
    typed = Typed(
        cell.measure, cell.typed, reason=reason, observed_by=cell.observed_by, sample=sample
    )
    change = change_of(typed, None, None, shift.rules)
    if change is None or seen.already(cell, (cell.day, shift.number, key), change):
        return  # an empty cell, or one that an earlier row speaks of
    stands = shift.standing.get(key)
    if stands is not None and not was_taken_back(stands.reason):
        if (stands.state, stands.value) != (change.state, change.value):
            says = stands.typed.strip() or _("nothing")
            raise Refused(_("{says} stands there: correct it on its sheet", says=says))
        checked.already += 1
        return
    if shift.closed:
        raise WholeRow(shift.closed)
    change = replace(change, supersedes_id=stands.id if stands else None)
    checked.results.append(Pending(shift.season, cell.day, shift.number, change))
    if change.value is not None and shift.in_use[cell.measure].direction(change.value):
        checked.unusual[cell.measure] += 1


class _Seen:
    """What rows before said, so that two of one place are told of, once for each pair of rows."""

    def __init__(self) -> None:
        self._said: dict[tuple[date, int, str], tuple[int, Change]] = {}
        self._pairs: dict[tuple[int, int], dict[str, bool]] = {}

    def already(self, cell: Cell, place: tuple[date, int, str], change: Change) -> bool:
        """Tell whether an earlier row speaks of a place."""
        row, before = self._said.setdefault(place, (cell.row, change))
        if row == cell.row:
            return False
        same = (before.state, before.value) == (change.state, change.value)
        self._pairs.setdefault((cell.row, row), {})[cell.column] = same
        return True

    def faults(self) -> list[Fault]:
        """Return what is wrong with rows that speak of what rows before them spoke of."""
        found = []
        for (row, before), columns in self._pairs.items():
            others = [column for column, same in columns.items() if not same]
            found.append(Fault(row, "", "", said_already(before, others)))
        return found


def said_already(row: int, otherwise: Sequence[str]) -> str:
    """Say that an earlier row speaks of the same, and in which columns it says otherwise."""
    if not otherwise:
        return _("Row {number} says the same already", number=row)
    columns = ", ".join(otherwise)
    return _("Row {number} says it already, and otherwise: {columns}", number=row, columns=columns)


def _sample(cell: Cell, shift: OpenShift) -> int:
    """Return which sample of its shift a result is of: the last that was due by its time."""
    every = shift.in_use[cell.measure].every
    if not every:
        return 1
    if not cell.time:
        raise Refused(_("It is sampled every {hours} h: a column of times says when", hours=every))
    begins, ends = shift.rules.bounds
    at = moment(_TIME, cell.time, Span(shift.zone, begins, ends))
    return sum(due <= at for due in times(begins, ends, every))


_CHANGES = (
    "entry", "record", "signature", "sampling", "part", "convention", "season",
)  # fmt: skip


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
    written if something is wrong then. Raises Faulty or Refused for records that do not go
    together; the caller gives its transaction up then.
    """
    event = tables.event.c
    since = select(event.number).where(event.number > checked.head, event.kind.in_(_CHANGES))
    if connection.execute(since.limit(1)).first():
        checked = again(connection)
    if checked.faults or not checked.days:
        return checked
    first, last = checked.days
    counts = {"written": checked.count, "already": checked.already}
    chain.tell(
        connection, "import", {**told, **counts, "first_day": first, "last_day": last},
        by=by, at=at,
    )  # fmt: skip
    results = sorted(checked.results, key=lambda each: (each.season.id, each.day, each.number))
    for season, pending in groupby(results, key=lambda each: each.season):
        _write_results(connection, season, list(pending), by=by, at=at)
    for season, drafts in groupby(checked.records, key=lambda each: each[0]):
        write_records(connection, season, [draft for _season, draft in drafts], by=by, at=at)
    return checked


def _write_results(
    connection: Connection, season: Season, pending: Sequence[Pending], *, by: Person, at: datetime
) -> None:
    places = list(dict.fromkeys((each.day, each.number) for each in pending))
    shifts = open_shifts(connection, season, places, by=by, at=at)
    placed = [
        Placed(shifts[each.day, each.number], About(season.id, each.day), each.change)
        for each in pending
    ]
    write_changes(connection, placed, by=by, at=at)
