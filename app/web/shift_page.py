"""What the page of one shift holds, and what a cell says when it was not saved."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from sqlalchemy import Connection

from app.ledger import book
from app.ledger.book import LATE_AFTER, Conflict, Late, NeedsReason, Typed
from app.ledger.entries import Entry
from app.ledger.people import Person
from app.plant.samples import Place
from app.plant.typed import STATES
from app.reports.cells import Attempt, Cell, Trouble
from app.reports.dates import long_day, moment
from app.reports.lines import Section
from app.reports.season_books import SeasonBooks
from app.reports.sheet import Filling, Sheet, sheet_of
from app.reports.shift import running_account
from app.web.frame import Link
from app.web.open_shift import OpenShift
from app.web.periods import books_of
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
    note: str = ""
    late: LateWords | None = None
    reasons: tuple[str, ...] = (*REASONS, OTHER)
    states: Mapping[str, str] = field(default_factory=lambda: STATES)

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

    def said(self, cell: Cell) -> str:
        """Return what is said once `cell` was answered."""
        if cell.trouble:
            return said_of(cell, cell.trouble.message)
        if cell.result is None:
            return f"{cell.title} is empty"
        return f"{cell.title} saved" + (f", {cell.outside}" if cell.outside else "")


def _late(shift: OpenShift, now: datetime, form: Form) -> LateWords | None:
    _, ends = shift.mill.clock.shift_bounds(shift.day, shift.number)
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
) -> ShiftPage:
    """Return the page of a shift; `form` is what was sent, of which late words are kept."""
    results = book.sheet(connection, shift.season, shift.day, shift.number)
    books = books_of(connection, shift.mill, shift.season, only=shift.day, plan=shift.plan)
    account = tuple(running_account(books, shift.day, shift.number))
    filling = filling_of(shift, results, books, attempts or {}, frozenset(saved))
    seal = seal_of(connection, shift, by)
    return ShiftPage(
        shift,
        _hours(shift),
        sheet_of(shift.measures, filling),
        account,
        _neighbour(shift, -1, now),
        _neighbour(shift, +1, now),
        may_type=seal.open_to(by),
        seal=seal,
        note=note,
        late=_late(shift, now, form or {}),
    )


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
    )


def said_of(cell: Cell, message: str) -> str:
    """Return `message` with the title of its box, unless it names it by itself."""
    stream, _, _ = cell.title.partition(",")
    return message if message.startswith(stream) else f"{cell.title}: {message}"


def _hours(shift: OpenShift) -> str:
    clock = shift.mill.clock
    begins, ends = (clock.local(at) for at in clock.shift_bounds(shift.day, shift.number))
    return f"{begins:%H:%M} to {ends:%H:%M}"


def _neighbour(shift: OpenShift, step: int, now: datetime) -> Link | None:
    clock = shift.mill.clock
    days, before = divmod(shift.number - 1 + step, clock.shifts_a_day)
    day, number = shift.day + timedelta(days=days), before + 1
    if day not in shift.season or clock.shift_bounds(day, number)[0] > now:
        return None
    return Link(f"Shift {number} of {long_day(day)}", f"/shifts/{day}/{number}")


def typed_cells(form: Form, places: Iterable[Place]) -> list[Typed]:
    """Return the cells of those places that a form holds."""
    return [
        Typed(
            place.measure,
            form[f"result:{key}"],
            _number(form.get(f"based_on:{key}", "")),
            _reason(form, key),
            form.get("late_reason", ""),
            form.get("observed_by", ""),
            place.sample,
            place.determination,
            carried=form.get(f"carried:{key}") == "yes",
        )
        for place, key in ((place, place.key) for place in places)
        if f"result:{key}" in form
    ]


def _number(text: str) -> int | None:
    return int(text) if text.isdecimal() and len(text) < 19 else None


def _reason(form: Form, name: str) -> str:
    choice, words = form.get(f"reason:{name}", "").strip(), form.get(f"words:{name}", "").strip()
    if choice == OTHER:
        return words
    return f"{choice}: {words}" if choice and words else choice or words


def attempts(
    shift: OpenShift,
    form: Form,
    cells: Iterable[Typed],
    failures: Mapping[str, Exception],
    results: Mapping[str, Entry],
) -> dict[str, Attempt]:
    """Return what was typed and is not saved: all that failed, and all that differs."""
    kept = {}
    for cell in cells:
        failure = failures.get(cell.key)
        standing = results.get(cell.key)
        if failure:
            kept[cell.key] = Attempt(cell.typed, _trouble(failure, cell, form, shift))
        elif _differs(cell, standing):
            kept[cell.key] = Attempt(cell.typed)
    return kept


def _differs(cell: Typed, standing: Entry | None) -> bool:
    if standing is None:
        return bool(cell.typed.strip())
    return cell.based_on == standing.id and cell.typed.strip() != standing.typed.strip()


def _trouble(failure: Exception, cell: Typed, form: Form, shift: OpenShift) -> Trouble:
    name = cell.key
    chosen = {"choice": form.get(f"reason:{name}", ""), "words": form.get(f"words:{name}", "")}
    if isinstance(failure, Conflict):
        return Trouble(
            _both(failure.standing, cell, shift), True, **chosen, theirs=failure.standing.typed
        )
    if isinstance(failure, NeedsReason):
        return Trouble(_why(failure.standing, cell, chosen["choice"]), True, **chosen)
    if isinstance(failure, Late):
        return Trouble("This shift is long over: say above the sheet why it comes late.")
    return Trouble(f"{failure}.", any(chosen.values()), **chosen)


def _both(standing: Entry, cell: Typed, shift: OpenShift) -> str:
    theirs, mine = standing.typed or "nothing", cell.typed.strip() or "nothing"
    when = moment(standing.recorded_at, shift.mill.clock)
    return f"{standing.recorded_name} wrote {theirs} here on {when}. You typed {mine}."


def _why(standing: Entry | None, cell: Typed, choice: str) -> str:
    if choice == OTHER:
        return "Say the other reason in words."
    if standing is None:
        return f"The shift is signed: why is {cell.typed.strip()} entered now?"
    theirs, mine = standing.typed or "nothing", cell.typed.strip()
    return f"Correct {theirs} to {mine}: why?" if mine else f"Take {theirs} out: why?"
