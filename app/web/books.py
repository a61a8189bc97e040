"""The other books: the records of a shift, one record with what it was, and a report over days."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Annotated

from fastapi import APIRouter, Depends, HTTPException, Request, Response
from sqlalchemy import Connection

from app.exports.following import conventions_for, following
from app.language import _
from app.ledger import booked, mills
from app.ledger.book import Closed
from app.ledger.cells import Refused
from app.ledger.going_on import GoingOn
from app.ledger.people import Person
from app.ledger.recording import Draft, Faulty, write_records
from app.ledger.records import records_of
from app.ledger.referring import Referred
from app.ledger.signing import MAY_SIGN
from app.plant.books import BOOKS
from app.plant.books.declare import Book
from app.plant.calendar import LATE_AFTER
from app.plant.streams import STATIONS
from app.reports.books import (
    BookOfShift,
    books_in_use,
    columns_of,
    given_lines,
    lines_of,
)
from app.reports.marks import to_look_at
from app.web.forms import WithProblems
from app.web.frame import Link
from app.web.marks import GoesOn, begun_as, goes_on, marks_in
from app.web.open_shift import OpenShift, ShiftToRead, ShiftToWrite, open_shift
from app.web.requests import (
    Day,
    Form,
    Now,
    Once,
    Reading,
    Viewer,
    Writing,
    allow,
    done,
    render,
)
from app.web.seal import Seal, seal_of

router = APIRouter(prefix="/books")

Chemist = Annotated[Person, Depends(allow(*MAY_SIGN))]


def _book(book: str) -> Book:
    if book not in BOOKS:
        raise HTTPException(404, _("There is no such book."))
    return BOOKS[book]


Named = Annotated[Book, Depends(_book)]


@dataclass(frozen=True)
class ShiftOfBook(WithProblems):
    """The page of a book on one shift, with the form of a new record."""

    shift: OpenShift
    seal: Seal
    may_type: bool
    is_late: bool
    of: BookOfShift
    typed: Mapping[str, str] = field(default_factory=dict)
    wrong: Mapping[str, str] = field(default_factory=dict)
    done: str = ""
    saved: int = 0
    going_on: tuple[GoesOn, ...] = ()

    @property
    def warned(self) -> tuple[str, ...]:
        """What is to be known of the record that was just written."""
        written = (line for line in self.of.lines if line.record.id == self.saved)
        return next((to_look_at(self.book, line) for line in written), ())

    @property
    def book(self) -> Book:
        """The book."""
        return self.of.book

    @property
    def address(self) -> str:
        """Where it is."""
        return f"/books/{self.book.name}/{self.shift.day}/{self.shift.number}"

    @property
    def asks_why(self) -> bool:
        """Whether a new record says why it comes now."""
        return self.is_late or self.seal.shift.signature is not None


@router.get("")
def show_books(
    request: Request, _by: Viewer, reading: Reading, now: Now, day: Day | None = None,
    shift: int | None = None,
) -> Response:  # fmt: skip
    """Show the books of a shift: of the one that runs, where none is named."""
    mill = mills.the_mill(reading)
    running = mill.clock.shift_at(now)
    opened = open_shift(reading, day or running[0], shift or running[1], now)
    counts = booked.counts_on_shift(reading, opened.season, opened.day, opened.number)
    books = books_in_use(opened.plan, opened.day)
    groups = [
        (
            STATIONS.get(name, _("Laboratory")),
            [(book, counts.get(book.name, 0)) for book in books if book.station == name],
        )
        for name in dict.fromkeys(book.station for book in books)
    ]
    return render(
        request,
        "books/index.html",
        shift=opened,
        groups=groups,
        is_running=(opened.day, opened.number) == running,
        earlier=_step(opened, -1, now),
        later=_step(opened, 1, now),
    )


@router.get("/{book}/{day}/{number}")
def show_shift(  # noqa: PLR0913, PLR0917
    request: Request, by: Viewer, book: Named, shift: ShiftToRead, reading: Reading, now: Now,
    saved: int = 0, of: int = 0,
) -> Response:  # fmt: skip
    """Show the records of a shift.

    The form may complete a record `of` an earlier shift.
    """
    said = _("The record is kept.") if saved else ""
    form = begun(reading, shift, book, of)
    return _shift_page(request, reading, book, shift, by, now, form=form, done=said, saved=saved)


def begun(connection: Connection, shift: OpenShift, book: Book, key: int) -> Form:
    """Return what a form is filled with where it completes a record of an earlier shift."""
    going = GoingOn(connection, shift.season, book).after(shift.day, shift.number) if key else []
    return next((begun_as(book, record) for record in going if record.id == key), {})


@router.post("/{book}/{day}/{number}")
def add_record(  # noqa: PLR0913, PLR0917
    request: Request, by: Chemist, book: Named, shift: ShiftToWrite, writing: Writing, form: Form,
    now: Now, once: Once,
) -> Response:  # fmt: skip
    """Write a record."""
    reasons = (form.get("reason", ""), form.get("late_reason", ""), form.get("observed_by", ""))
    draft = Draft(book.name, shift.day, shift.number, typed_fields(form), None, *reasons)
    try:
        with writing.begin_nested():
            (key,) = write_records(writing, shift.season, [draft], by=by, at=now)
    except Faulty as faulty:
        return _shift_page(request, writing, book, shift, by, now, form=form, wrong=faulty.wrong)
    except Refused as why:
        wrong = {"record": str(why)}
        return _shift_page(request, writing, book, shift, by, now, form=form, wrong=wrong)
    except Closed as closed:
        raise HTTPException(403, f"{closed}.") from None
    return done(once, f"/books/{book.name}/{shift.day}/{shift.number}?saved={key}")


def typed_fields(form: Form) -> dict[str, str]:
    """Return what a form holds of the fields of a record."""
    return {
        name.removeprefix("field:"): text
        for name, text in form.items() if name.startswith("field:")
    }  # fmt: skip


def book_of_shift(
    connection: Connection, book: Book, shift: OpenShift, now: datetime, only: int | None = None
) -> BookOfShift:
    """Return the records of a book on a shift, or `only` one of them."""
    records = records_of(connection, shift.season, shift.day, shift.day, book, shift.number)
    page = booked.page_of(book, records, Referred(connection, shift.season))
    valued = following(book, page, conventions_for(connection, shift.mill, book))
    counted = {record.id: said for record, said in valued}
    every = [(record, counted.get(record.id) or record.values) for record in records]
    marks = marks_in(connection, shift.season, book, every, shift.mill.zone, now)
    shown = [each for each in every if only is None or each[0].id == only]
    lines = lines_of(book, shown, marks)
    return BookOfShift(book, columns_of(book), lines, given_lines(page.giving, page.records))


def _shift_page(  # noqa: PLR0913
    request: Request, connection: Connection, book: Book, shift: OpenShift, by: Person,
    now: datetime, *, form: Form | None = None, wrong: Mapping[str, str] | None = None,
    done: str = "", saved: int = 0,
) -> Response:  # fmt: skip
    seal = seal_of(connection, shift, by)
    page = ShiftOfBook(
        shift,
        seal,
        seal.open_to(by),
        now > shift.bounds[1] + LATE_AFTER,
        book_of_shift(connection, book, shift, now),
        form or {},
        by_field(wrong or {}),
        done,
        saved,
        goes_on(
            connection, shift.season, book, (shift.day, shift.number), shift.mill.clock
        ),
    )  # fmt: skip
    around = [_step(shift, step, now) for step in (-1, 1)]
    return render(
        request, "books/shift.html", 422 if wrong else 200, page=page, earlier=around[0],
        later=around[1],
    )  # fmt: skip


def by_field(wrong: Mapping[str, str]) -> dict[str, str]:
    """Return what is wrong by the address of each field."""
    own = ("reason", "late_reason", "observed_by", "record")
    return {name if name in own else f"field-{name}": words for name, words in wrong.items()}


def _step(shift: OpenShift, step: int, now: datetime) -> Link | None:
    clock = shift.mill.clock
    days, before = divmod(shift.number - 1 + step, clock.shifts_a_day)
    day, number = shift.day + timedelta(days=days), before + 1
    if day not in shift.season or clock.shift_bounds(day, number)[0] > now:
        return None
    return Link(_("Shift {number}", number=number), f"{day}/{number}")
