"""What the sheet of a shift is asked, as its pages need it."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field

from sqlalchemy import Connection

from app.exports.checks import Checks, Question, checks_of
from app.exports.doubts import reaching
from app.figures.sheets import Period
from app.ledger import book
from app.ledger.entries import Entry
from app.ledger.notes import Note, notes_of
from app.plant.samples import Place
from app.reports.checks import LOOKS_BACK, figures_asked, periods_of
from app.reports.instruments import Doubt
from app.reports.season_books import SeasonBooks
from app.reports.sheet import Filling, Sheet, sheet_of
from app.web.open_shift import OpenShift
from app.web.periods import books_of


@dataclass(frozen=True)
class Asking(Checks):
    """What a sheet is asked, with what was typed into answers and what is wrong with it."""

    typed: Mapping[str, str] = field(default_factory=dict)
    wrong: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class DayChecks:
    """What the sheets of a day were asked, the largest first, each with its shift; and notes."""

    questions: tuple[tuple[OpenShift, Question], ...]
    notes: tuple[tuple[OpenShift, Note], ...]

    @property
    def open(self) -> int:
        """How many are not answered yet."""
        return sum(question.answer is None for _, question in self.questions)


def books_to_check(connection: Connection, shift: OpenShift) -> SeasonBooks:
    """Return the books of a shift, with the days before that its results are held against."""
    books = books_of(
        connection, shift.mill, shift.season, only=shift.day, plan=shift.plan,
        days_before=LOOKS_BACK,
    )  # fmt: skip
    # before any figure is worked out, so that all are at once
    books.need(figures_asked(shift.day, shift.number, shift.mill.shifts_a_day))
    return books


def checks_on(
    connection: Connection,
    shift: OpenShift,
    sheet: Sheet,
    standing: Mapping[str, Entry],
    books: SeasonBooks,
    doubts: Iterable[Doubt],
) -> Asking:
    """Return what the sheet of a shift is asked, and what was noted on it."""
    place = shift.day, shift.number
    found = checks_of(connection, shift.mill, shift.season, place, sheet, standing, books, doubts)
    return Asking(found.questions, found.notes)


def checks_of_day(
    connection: Connection, shifts: Iterable[OpenShift], books: SeasonBooks,
    doubts: Collection[Doubt],
) -> DayChecks:  # fmt: skip
    """Return what the sheets of some shifts of a day are asked; `doubts` are those around it."""
    questions, notes = [], []
    shifts = list(shifts)
    books.work_out(period for shift in shifts for period in _periods(books, shift))
    for shift in shifts:
        standing = book.sheet(connection, shift.season, shift.day, shift.number)
        follows = books.results_of_readings(shift.day, shift.number)
        booked = books.booked_on(shift.day, shift.number)
        filling = Filling(shift.mill.clock, shift.bounds, standing, follows=follows, booked=booked)
        sheet = sheet_of(shift.measures, filling)
        here = reaching(doubts, shift.bounds)
        found = checks_on(connection, shift, sheet, standing, books, here)
        questions += [(shift, question) for question in found.questions]
        notes += [(shift, note) for note in found.notes]
    questions.sort(key=lambda asked: asked[1].raised.rank)
    return DayChecks(tuple(questions), tuple(notes))


def _periods(books: SeasonBooks, shift: OpenShift) -> Iterable[Period]:
    place = shift.day, shift.number
    return periods_of(books, place, shift.mill.shifts_a_day).values()


def notes_about(
    connection: Connection, shift: OpenShift, place: Place, entries: Iterable[int]
) -> tuple[Note, ...]:
    """Return what was said of a result, and in answer to checks that asked about its entries."""
    said, about = notes_of(connection, shift.season, shift.day, shift.day), frozenset(entries)
    return tuple(
        note
        for note in said
        if note.number == shift.number and (note.place == place or note.entries & about)
    )
