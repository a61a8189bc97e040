"""What the page of one shift holds, and what a cell says when it was not saved."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from typing import Annotated

from fastapi import Depends, HTTPException
from sqlalchemy import Connection

from app.ledger import book
from app.ledger.book import Conflict, Entry, NeedsReason, Typed
from app.ledger.mills import Mill, Season, convention_rows, equipment, season_of, the_mill
from app.ledger.people import Person
from app.plant.measures import Measure
from app.plant.streams import Equipment, streams_in_use
from app.plant.typed import STATES
from app.reports.dates import long_day, moment
from app.reports.lines import Section
from app.reports.season_books import SeasonBooks
from app.reports.sheet import Attempt, Cell, Filling, Sheet, Trouble, measures_of_shift, sheet_of
from app.reports.shift import running_account
from app.web.periods import books_of
from app.web.requests import Day, Form, Link, Now, Reading, Writing

REASONS = (
    "decimal point slipped",
    "figures exchanged",
    "read from the wrong line",
    "typed into the wrong box",
    "instrument found off, read again",
    "tested again",
)
OTHER = "other"


@dataclass(frozen=True)
class OpenShift:
    """A shift that has begun: one that may be filled."""

    mill: Mill
    season: Season
    day: date
    number: int
    equipment: Equipment

    @property
    def address(self) -> str:
        """Where its sheet is."""
        return f"/shifts/{self.day}/{self.number}"

    @property
    def measures(self) -> tuple[Measure, ...]:
        """What is taken on it."""
        streams = streams_in_use(self.equipment)
        return measures_of_shift(streams, self.mill.clock, self.day, self.number)


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
    note: str = ""
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
            (said_of(cell.measure, cell.trouble.message), f"#{cell.measure.name}")
            for cell in self.troubled
            if cell.trouble
        ]

    def said(self, cell: Cell) -> str:
        """Return what is said once `cell` was answered."""
        if cell.trouble:
            return said_of(cell.measure, cell.trouble.message)
        if cell.result is None:
            return f"{cell.measure.title} is empty"
        return f"{cell.measure.title} saved" + (f", {cell.outside}" if cell.outside else "")


def _shift_to_read(reading: Reading, now: Now, day: Day, number: int) -> OpenShift:
    return open_shift(reading, day, number, now)


def _shift_to_write(writing: Writing, now: Now, day: Day, number: int) -> OpenShift:
    return open_shift(writing, day, number, now)


ShiftToRead = Annotated[OpenShift, Depends(_shift_to_read)]
ShiftToWrite = Annotated[OpenShift, Depends(_shift_to_write)]


def open_shift(connection: Connection, day: date, number: int, now: datetime) -> OpenShift:
    """Return a shift; refuses one that no season holds or that has not begun."""
    mill = the_mill(connection)
    season = season_of(connection, mill, day)
    if season is None:
        raise HTTPException(404, f"{long_day(day)} is in no season of this mill.")
    if not 1 <= number <= mill.shifts_a_day:
        raise HTTPException(404, f"Shifts of this mill are numbered 1 to {mill.shifts_a_day}.")
    begins, _ = mill.clock.shift_bounds(day, number)
    if begins > now:
        raise HTTPException(
            404, f"This shift has not begun. It begins on {moment(begins, mill.clock)}."
        )
    rows = convention_rows(connection, mill)
    return OpenShift(mill, season, day, number, equipment(mill, rows, day))


def shift_page(
    connection: Connection,
    shift: OpenShift,
    by: Person,
    now: datetime,
    *,
    attempts: Mapping[str, Attempt] | None = None,
    saved: Iterable[str] = (),
    note: str = "",
) -> ShiftPage:
    """Return the page of a shift."""
    results = book.sheet(connection, shift.season, shift.day, shift.number)
    books = books_of(connection, shift.mill, shift.season, only=shift.day)
    account = tuple(running_account(books, shift.day, shift.number))
    filling = filling_of(shift, results, books, attempts or {}, frozenset(saved))
    return ShiftPage(
        shift,
        _hours(shift),
        sheet_of(shift.measures, filling),
        account,
        _neighbour(shift, -1, now),
        _neighbour(shift, +1, now),
        may_type=by.role == "chemist",
        note=note,
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
        results,
        book.usual,
        attempts or {},
        books.results_of_readings(shift.day, shift.number),
        books.readings_without_result(shift.day, shift.number),
        saved,
    )


def said_of(measure: Measure, message: str) -> str:
    """Return `message` with the title of its measure, unless it names it by itself."""
    stream, _, _ = measure.title.partition(",")
    return message if message.startswith(stream) else f"{measure.title}: {message}"


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


def typed_cells(form: Form, measures: Iterable[Measure]) -> list[Typed]:
    """Return the cells that a form holds."""
    return [
        Typed(
            name,
            form[f"result:{name}"],
            _number(form.get(f"based_on:{name}", "")),
            _reason(form, name),
        )
        for name in (measure.name for measure in measures)
        if f"result:{name}" in form
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
        failure = failures.get(cell.measure)
        standing = results.get(cell.measure)
        if failure:
            kept[cell.measure] = Attempt(cell.typed, _trouble(failure, cell, form, shift))
        elif _differs(cell, standing):
            kept[cell.measure] = Attempt(cell.typed)
    return kept


def _differs(cell: Typed, standing: Entry | None) -> bool:
    if standing is None:
        return bool(cell.typed.strip())
    return cell.based_on == standing.id and cell.typed.strip() != standing.typed.strip()


def _trouble(failure: Exception, cell: Typed, form: Form, shift: OpenShift) -> Trouble:
    name = cell.measure
    chosen = {"choice": form.get(f"reason:{name}", ""), "words": form.get(f"words:{name}", "")}
    if isinstance(failure, Conflict):
        return Trouble(
            _both(failure.standing, cell, shift), True, **chosen, theirs=failure.standing.typed
        )
    if isinstance(failure, NeedsReason):
        return Trouble(_why(failure.standing, cell, chosen["choice"]), True, **chosen)
    return Trouble(f"{failure}.", any(chosen.values()), **chosen)


def _both(standing: Entry, cell: Typed, shift: OpenShift) -> str:
    theirs, mine = standing.typed or "nothing", cell.typed.strip() or "nothing"
    when = moment(standing.recorded_at, shift.mill.clock)
    return f"{standing.recorded_name} wrote {theirs} here on {when}. You typed {mine}."


def _why(standing: Entry, cell: Typed, choice: str) -> str:
    if choice == OTHER:
        return "Say the other reason in words."
    theirs, mine = standing.typed or "nothing", cell.typed.strip()
    return f"Correct {theirs} to {mine}: why?" if mine else f"Take {theirs} out: why?"
