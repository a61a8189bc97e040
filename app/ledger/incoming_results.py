"""Takes results that an instrument sends: first entries of shifts, all or none.

What it sent before is answered as then, whatever became of it since, so sending again is safe.
"""

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterable, Mapping
from datetime import date, datetime, timedelta
from typing import NamedTuple

from sqlalchemy import Connection

from app.language import _
from app.ledger import book
from app.ledger.book import Closed, Conflict, Typed
from app.ledger.cells import Refused
from app.ledger.entries import Entry, entries_of_shift
from app.ledger.incoming import DAYS_BACK, Desk, Shift, wrong
from app.ledger.instruments import Instrument
from app.ledger.sent import CONFLICT, FORBIDDEN, UNFIT, NotTaken, SentResult
from app.plant.grains import DAY, SHIFT, WEEK
from app.plant.measures import MEASURES, Measure
from app.plant.samples import Place, times
from app.plant.typed import Unreadable, read


class WrittenResult(NamedTuple):
    """Where a result stands, and the id of its entry."""

    day: date
    shift: int
    measure: str
    sample: int
    determination: int
    entry: int


class _Cell(NamedTuple):
    """A result sent, with its number among all that was, and where it belongs."""

    item: int | None
    typed: str
    shift: Shift
    place: Place


def take_results(
    connection: Connection,
    instrument: Instrument,
    sent: Iterable[tuple[int | None, SentResult]],
    now: datetime,
    back: timedelta = DAYS_BACK,
) -> list[WrittenResult]:
    """Write the results that an instrument sends, and return where each stands.

    Nothing new is taken of a shift that was over longer than `back` ago. Raises NotTaken with all
    that is wrong; the caller gives its transaction up then.
    """
    desk = Desk(connection, instrument, now, back)
    shifts: defaultdict[Shift, dict[str, _Cell]] = defaultdict(dict)
    cells = []
    for item, each in sent:
        try:
            cell = _cell(desk, item, each)
            if cell.place.key in shifts[cell.shift]:
                raise wrong(UNFIT, "", _("{name} is there twice for one place", name=each.measure))
        except NotTaken as why:
            desk.note(item, why)
        else:
            shifts[cell.shift][cell.place.key] = cell
            cells.append(cell)
    ids = {shift: _write(desk, shift, of_shift) for shift, of_shift in shifts.items()}
    desk.stop_if_wrong()
    return [
        WrittenResult(s.day, s.number, *cell.place, ids[s][cell.place.key])
        for cell in cells
        for s in [cell.shift]
    ]


def _cell(desk: Desk, item: int | None, sent: SentResult) -> _Cell:
    name = sent.measure
    if name not in MEASURES:
        words = _("there is no measure called {name}", name=name[:60])
        raise wrong(UNFIT, "measure", words)
    if name not in desk.instrument.measures:
        words = _("this instrument may not write {name}", name=name)
        raise wrong(FORBIDDEN, "measure", words)
    if not sent.typed.strip():
        raise wrong(UNFIT, "typed", _("it is blank"))
    shift = desk.shift_of(sent, name)
    measure = desk.plan.on(shift.day).get(name)
    if measure is None or not _stands_on(desk, measure, shift):
        words = _("shift {n} of {day} has no {name}", n=shift.number, day=shift.day, name=name)
        raise wrong(UNFIT, "measure", words)
    return _Cell(item, sent.typed, shift, _place(desk, measure, shift, sent))


def _stands_on(desk: Desk, measure: Measure, shift: Shift) -> bool:
    last = shift.number == desk.mill.shifts_a_day
    ends_week = last and shift.day.isoweekday() == 7
    return {SHIFT: True, DAY: last, WEEK: ends_week}[measure.grain]


def _place(desk: Desk, measure: Measure, shift: Shift, sent: SentResult) -> Place:
    """Return the sample that a result is of: the one named, or the last that was due by then."""
    due = times(shift.begins, shift.ends, measure.every)
    sample = sent.sample
    if sample is None and measure.every and sent.at is None:
        words = _("{name} is sampled several times a shift: send at, or sample", name=measure.name)
        raise wrong(UNFIT, "sample", words)
    if sample is None:
        at = desk.moment(sent.at) if sent.at and measure.every else shift.ends
        sample = bisect_right(due, at)
    if sample > len(due):
        words = _("this shift has samples 1 to {count} of it", count=len(due))
        raise wrong(UNFIT, "sample", words)
    return Place(measure.name, sample, sent.determination)


def _write(desk: Desk, shift: Shift, cells: Mapping[str, _Cell]) -> dict[str, int]:
    """Write the first entries of a shift and return the ids of all that was sent, by key."""
    where = (shift.season, shift.day, shift.number)
    entries = entries_of_shift(desk.connection, *where)
    me = desk.instrument.person
    before = {entry.key: entry for entry in entries if entry.recorded_by == me.id}
    new = {k: c for k, c in cells.items() if k not in before or not _says(before[k], c.typed)}
    if new and (words := desk.too_old(shift)):
        desk.note(next(iter(new.values())).item, wrong(FORBIDDEN, "", words))
        return {}
    for cell in new.values():
        _must_follow_a_test(desk, cell, {entry.key for entry in entries} | set(cells))
    try:
        failures = book.record_sheet(
            desk.connection, season=shift.season, day=shift.day, number=shift.number,
            cells=[_typed(cell) for cell in new.values()], by=me, at=desk.now,
            instrument=me.printed_name,
        ) if new else {}  # fmt: skip
    except Closed as closed:
        failures = dict.fromkeys(new, closed)
    for key, why in failures.items():
        desk.note(new[key].item, wrong(_kind(why), key, _words(why, before.get(key))))
    stands: Mapping[str, Entry] = book.sheet(desk.connection, *where) if new else {}
    return {
        key: entry.id
        for key in cells
        if (entry := stands.get(key) if key in new else before[key]) is not None
    }


def _must_follow_a_test(desk: Desk, cell: _Cell, known: set[str]) -> None:
    place, number = cell.place, cell.place.determination
    if number > 1 and place._replace(determination=number - 1).key not in known:
        words = _("test {before} of this sample comes first", before=number - 1)
        desk.note(cell.item, wrong(UNFIT, "determination", words))


def _typed(cell: _Cell) -> Typed:
    measure, sample, determination = cell.place
    return Typed(measure, cell.typed, sample=sample, determination=determination)


def _says(entry: Entry, typed: str) -> bool:
    """Tell whether an entry says what is sent, however its number is written."""
    if entry.typed.strip() == typed.strip():
        return True
    try:
        return read(typed) == (entry.state, entry.value)
    except Unreadable:
        return False


def _words(why: Exception, mine: Entry | None) -> str:
    """Say why a result is not taken: what stands there may be what the instrument itself sent."""
    if isinstance(why, Conflict) and mine and why.standing.id == mine.id:
        return _("{name} has already sent {says} here", name=mine.recorded_name, says=mine.typed)
    return str(why)


def _kind(why: Exception) -> int:
    if isinstance(why, Closed):
        return FORBIDDEN
    return UNFIT if isinstance(why, Refused) else CONFLICT
