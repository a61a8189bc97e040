"""One record of another book: every version of it, corrected or taken out."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime

from fastapi import APIRouter, HTTPException, Request, Response
from sqlalchemy import Connection

from app.language import _
from app.ledger.book import Closed
from app.ledger.cells import Refused
from app.ledger.people import Person
from app.ledger.recording import Draft, Faulty, Stale, write_records
from app.ledger.records import VOID, Record, record_with, trail_of
from app.plant.books.declare import Book
from app.reports.books import (
    BookOfShift,
)
from app.web.books import Chemist, Named, book_of_shift, by_field, typed_fields
from app.web.forms import WithProblems
from app.web.open_shift import OpenShift, open_shift
from app.web.requests import (
    Form,
    Key,
    Now,
    Once,
    Reading,
    Viewer,
    Writing,
    done,
    render,
)
from app.web.seal import Seal, seal_of

router = APIRouter(prefix="/books/{book}/records/{record}")


@dataclass(frozen=True)
class RecordPage(WithProblems):
    """One record: every version of it, and the forms that correct it or take it out."""

    shift: OpenShift
    seal: Seal
    may_type: bool
    of: BookOfShift
    versions: tuple[Record, ...]
    typed: Mapping[str, str]
    wrong: Mapping[str, str] = field(default_factory=dict)
    done: str = ""

    @property
    def book(self) -> Book:
        """The book."""
        return self.of.book

    @property
    def stands(self) -> Record:
        """The last version."""
        return self.versions[-1]

    @property
    def address(self) -> str:
        """Where it is."""
        return f"/books/{self.book.name}/records/{self.stands.id}"

    @property
    def is_void(self) -> bool:
        """Whether it was taken out."""
        return self.stands.state == VOID


@router.get("")
def show_record(
    request: Request, by: Viewer, book: Named, record: Key, reading: Reading, now: Now,
    did: str = "",
) -> Response:  # fmt: skip
    """Show one record with every version of it."""
    said = {"corrected": _("The record is corrected."), "taken-out": _("The record is taken out.")}
    return _record_page(request, reading, book, record, by, now, done=said.get(did, ""))


@router.post("")
def change_record(  # noqa: PLR0913, PLR0917
    request: Request, by: Chemist, book: Named, record: Key, writing: Writing, form: Form, now: Now,
    once: Once,
) -> Response:  # fmt: skip
    """Correct a record, or take it out, for a reason."""
    found = _found(writing, book, record)
    takes_out = form.get("what") == "taken-out"
    draft = Draft(
        book.name, found.day, found.number, typed_fields(form), found.id, form.get("reason", ""),
        void=takes_out,
    )  # fmt: skip
    try:
        with writing.begin_nested():
            season = open_shift(writing, found.day, found.number, now).season
            (written,) = write_records(writing, season, [draft], by=by, at=now)
    except Faulty as faulty:
        return _record_page(request, writing, book, record, by, now, form=form, wrong=faulty.wrong)
    except (Refused, Stale) as why:
        wrong = {"reason": str(why)}
        return _record_page(request, writing, book, record, by, now, form=form, wrong=wrong)
    except Closed as closed:
        raise HTTPException(403, f"{closed}.") from None
    did = "taken-out" if takes_out else "corrected"
    return done(once, f"/books/{book.name}/records/{written}?did={did}")


def _found(connection: Connection, book: Book, record: int) -> Record:
    found = record_with(connection, record)
    if found is None or found.book != book.name:
        raise HTTPException(404, _("There is no such record."))
    return found


def _record_page(  # noqa: PLR0913
    request: Request, connection: Connection, book: Book, record: int, by: Person, now: datetime,
    *, form: Form | None = None, wrong: Mapping[str, str] | None = None, done: str = "",
) -> Response:  # fmt: skip
    found = _found(connection, book, record)
    versions = tuple(trail_of(connection, found))
    shift = open_shift(connection, found.day, found.number, now)
    seal = seal_of(connection, shift, by)
    stands = versions[-1]
    typed = dict(form or {f"field:{name}": text for name, text in stands.fields.items()})
    page = RecordPage(
        shift,
        seal,
        seal.open_to(by) and stands.state != VOID,
        book_of_shift(connection, book, shift, now, stands.id),
        versions,
        typed,
        by_field(wrong or {}),
        done,
    )
    return render(request, "books/record.html", 422 if wrong else 200, page=page)
