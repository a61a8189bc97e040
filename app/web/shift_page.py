"""What the page of one shift holds."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta

from sqlalchemy import Connection

from app.exports.doubts import doubts_on
from app.language import _, ngettext
from app.ledger import book
from app.ledger.booked import lacking_on
from app.ledger.entries import Entry
from app.ledger.imported import file_in, taken_back_in
from app.ledger.incoming_records import COMPLETED, LATE
from app.ledger.people import Person
from app.plant.books import GIVEN_BY
from app.plant.calendar import LATE_AFTER
from app.plant.typed import STATES, VOID
from app.reports.cells import Attempt, Cell
from app.reports.dates import long_day, moment
from app.reports.due import Due, due_of
from app.reports.grid import Table
from app.reports.instruments import Doubt
from app.reports.lines import Section
from app.reports.marks import lacking_words
from app.reports.season_books import SeasonBooks
from app.reports.sheet import Filling, Sheet, sheet_of
from app.reports.shift import running_account
from app.reports.sugar_traces import PlaceLine
from app.web.alarms import sweet_places
from app.web.checked import Asking, books_to_check, checks_on
from app.web.frame import Link
from app.web.open_shift import OpenShift
from app.web.requests import Form
from app.web.seal import Seal, seal_of

REASONS = (
    "decimal point slipped",
    "figures exchanged",
    "read from the wrong line",
    "typed into the wrong box",
    "instrument found off, read again",
    "tested again",
    "result came later",
)
OTHER = "other"


def reason_words(reason: str) -> str:
    """Return a reason as pages say it: as it was written, unless the ledger itself offered it."""
    if file := file_in(reason):
        return _("brought in from {file}", file=file)
    if back := taken_back_in(reason):
        return _("import of event {number} taken back: {reason}", number=back[0], reason=back[1])
    return _(reason) if reason in {LATE, COMPLETED, *REASONS} else reason


def whence(result: Entry | None) -> str:
    """Return "instrument" or "file" of a result that nobody typed; else nothing."""
    if result is None or result.state == VOID:
        return ""
    if result.instrument != "none":
        return "instrument"
    return "file" if file_in(result.reason) else ""


@dataclass(frozen=True)
class LateWords:
    """What the sheet of a shift long over asks once: why results come late, and who saw them."""

    ended: str
    reason: str = ""
    observed_by: str = ""


@dataclass(frozen=True)
class ShiftPage:
    """Everything the page of a shift prints."""

    shift: OpenShift
    hours: str
    sheet: Sheet
    account: tuple[Section, ...]
    earlier: Link | None
    later: Link | None
    may_type: bool
    seal: Seal
    due: Due
    checks: Asking
    note: str = ""
    late: LateWords | None = None
    station: str = ""
    doubts: tuple[Doubt, ...] = ()
    sweet: tuple[PlaceLine, ...] = ()
    lacks: Mapping[str, str] = field(default_factory=dict)
    reasons: tuple[str, ...] = (*REASONS, OTHER)
    states: Mapping[str, str] = field(default_factory=lambda: STATES)

    @property
    def tables(self) -> tuple[Table, ...]:
        """The boxes as they are laid out: of all stations, or of one."""
        return self.sheet.tables_of_station(self.station) if self.station else self.sheet.tables

    @property
    def begins_with(self) -> Cell | None:
        """The box that has the keyboard first: the first that is due and empty, if any is."""
        if self.troubled or self.seal.shift.signature:
            return None
        shown = [c for c in self.due.missing if self.station in ("", c.measure.station)]
        return shown[0] if shown else None

    def address_of(self, cell: Cell) -> str:
        """Return where the box of a result is, on this page or on that of its station."""
        if self.station in ("", cell.measure.station):
            return f"#{cell.key}"
        return f"?station={cell.measure.station}#{cell.key}"

    @property
    def troubled(self) -> list[Cell]:
        """The cells that were not saved because something was wrong."""
        return [cell for cell in self.sheet.cells.values() if cell.trouble]

    @property
    def problems(self) -> list[tuple[str, str]]:
        """What is wrong, in words, and the address of the box it is wrong in."""
        return [
            (said_of(cell, cell.trouble.message), f"#{cell.key}")
            for cell in self.troubled
            if cell.trouble
        ]

    def said(self, cells: Sequence[Cell]) -> str:
        """Return what is said once `cells` were answered: what is wrong, is kept, and is asked."""
        wrong = [said_of(cell, cell.trouble.message) for cell in cells if cell.trouble]
        kept = [cell for cell in cells if not cell.trouble]
        said = [_kept_all(kept)] if len(kept) > 1 else [_kept(cell) for cell in kept]
        keys = {cell.key for cell in kept}
        asked = [
            question.raised.check.title
            for question in self.checks.open
            if keys & {cell.key for cell in question.raised.cells}
        ]
        checks = []
        if asked:
            titles = ", ".join(_(title) for title in dict.fromkeys(asked))
            checks = [_("Checks ask: {titles}", titles=titles)]
        return ". ".join([*wrong, *said, *checks]).replace("..", ".")


def _kept_all(cells: Sequence[Cell]) -> str:
    saved = ngettext("{count} result saved", "{count} results saved", len(cells))
    outside = sum(bool(cell.outside) for cell in cells)
    if not outside:
        return saved
    return ngettext(
        "{saved}, {count} outside the usual", "{saved}, {count} outside the usual", outside,
        saved=saved,
    )  # fmt: skip


def _kept(cell: Cell) -> str:
    if cell.result is None:
        return _("{result} is empty", result=cell.title)
    if cell.outside:
        return _("{result} saved, {outside}", result=cell.title, outside=cell.outside)
    return _("{result} saved", result=cell.title)


def _late(shift: OpenShift, now: datetime, form: Form) -> LateWords | None:
    ends = shift.mill.clock.shift_bounds(shift.day, shift.number)[1]
    if now <= ends + LATE_AFTER:
        return None
    said = moment(ends, shift.mill.clock)
    return LateWords(said, form.get("late_reason", ""), form.get("observed_by", ""))


def shift_page(  # noqa: PLR0913  what was tried is named part by part
    connection: Connection,
    shift: OpenShift,
    by: Person,
    now: datetime,
    *,
    attempts: Mapping[str, Attempt] | None = None,
    saved: Iterable[str] = (),
    note: str = "",
    form: Form | None = None,
    station: str = "",
    before: Mapping[str, str] | None = None,
) -> ShiftPage:
    """Return the page of a shift, or of one station of it.

    `form` is what was sent, of which late words are kept; `before` is what may be carried over.
    """
    results = book.sheet(connection, shift.season, shift.day, shift.number)
    books = books_to_check(connection, shift)
    account = tuple(running_account(books, shift.day, shift.number))
    filling = filling_of(shift, results, books, attempts or {}, frozenset(saved))
    sheet = sheet_of(shift.measures, replace(filling, before=before or {}))
    seal = seal_of(connection, shift, by)
    doubts = tuple(doubts_on(connection, shift.mill, shift.season, shift.bounds, now))
    return ShiftPage(
        shift,
        shift.hours,
        sheet,
        account,
        _neighbour(shift, -1, now),
        _neighbour(shift, +1, now),
        may_type=seal.open_to(by),
        seal=seal,
        due=due_of(sheet, now, shift.mill.clock),
        checks=checks_on(connection, shift, sheet, results, books, doubts),
        note=note,
        late=_late(shift, now, form or {}),
        station=station,
        doubts=doubts,
        lacks={
            measure: lacking_words(GIVEN_BY[measure], records)
            for measure, records in lacking_on(
                connection, shift.season, shift.day, shift.number
            ).items()
        },
        sweet=sweet_places(
            connection, shift.mill, shift.season, shift.plan, shift.day, shift.number
        ),
    )


def carried_over(connection: Connection, shift: OpenShift) -> dict[str, str]:
    """Return what may be entered again as it was in the shift before, as typed, by place."""
    names = {measure.name for measure in shift.measures if measure.may_be_carried}
    day, number = _step(shift, -1)
    if not names or day not in shift.season:
        return {}
    entries = book.sheet(connection, shift.season, day, number).values()
    return {entry.key: entry.typed for entry in entries if entry.measure in names}


def filling_of(
    shift: OpenShift,
    results: Mapping[str, Entry],
    books: SeasonBooks,
    attempts: Mapping[str, Attempt] | None = None,
    saved: frozenset[str] = frozenset(),
) -> Filling:
    """Return what goes into the cells of a shift, with what follows from its readings."""
    return Filling(
        shift.mill.clock,
        shift.bounds,
        results,
        attempts or {},
        books.results_of_readings(shift.day, shift.number),
        books.readings_without_result(shift.day, shift.number),
        saved,
        booked=books.booked_on(shift.day, shift.number),
    )


def said_of(cell: Cell, message: str) -> str:
    """Return `message` with the title of its box, unless it names it by itself."""
    named = _(cell.measure.title) in message
    return message if named else f"{cell.title}: {message}"


def _neighbour(shift: OpenShift, step: int, now: datetime) -> Link | None:
    clock = shift.mill.clock
    day, number = _step(shift, step)
    if day not in shift.season or clock.shift_bounds(day, number)[0] > now:
        return None
    title = _("Shift {number} of {day}", number=number, day=long_day(day))
    return Link(title, f"/shifts/{day}/{number}")


def _step(shift: OpenShift, step: int) -> tuple[date, int]:
    """Return the day and number of the shift `step` after this."""
    days, before = divmod(shift.number - 1 + step, shift.mill.clock.shifts_a_day)
    return shift.day + timedelta(days=days), before + 1
