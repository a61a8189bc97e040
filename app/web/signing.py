"""Signing a shift that was entered, and opening one again."""

from dataclasses import dataclass, field
from datetime import datetime
from typing import Annotated, Any

from fastapi import APIRouter, Depends, HTTPException, Request, Response
from sqlalchemy import Connection

from app.exports.checks import Checks
from app.exports.doubts import doubts_on
from app.language import _
from app.ledger import book, signing
from app.ledger.book import Closed, Typed
from app.ledger.booked import counts_on_shift, unfinished
from app.ledger.cells import Refused
from app.ledger.entries import Entry
from app.ledger.going_on import open_on
from app.ledger.people import Person
from app.ledger.records import Record
from app.ledger.signed import Signature
from app.ledger.signing import MAY_REOPEN, MAY_SIGN, Gaps
from app.plant.books import BOOKS
from app.plant.samples import place_of
from app.plant.typed import NUMBER, STATES, VOID
from app.reports.books import record_name
from app.reports.cells import Cell
from app.reports.dates import moment
from app.reports.instruments import Doubt
from app.reports.places import place_title
from app.reports.sheet import Sheet, sheet_of
from app.web.checked import books_to_check, checks_on
from app.web.forms import WithProblems
from app.web.open_shift import OpenShift, ShiftToRead, ShiftToWrite
from app.web.periods import books_of
from app.web.places import sampled_at
from app.web.requests import (
    Form,
    Now,
    Once,
    Reading,
    SignedAgain,
    Viewer,
    Writing,
    allow,
    done,
    render,
)
from app.web.seal import Seal, seal_of
from app.web.shift_page import filling_of

router = APIRouter(prefix="/shifts/{day}/{number}")

Signer = Annotated[Person, Depends(allow(*MAY_SIGN))]
Opener = Annotated[Person, Depends(allow(*MAY_REOPEN))]

NOT_TYPED = "Type your password"
NOT_CONFIRMED = "This is not your password, or there were too many tries: wait a little"
_DONE = {
    "signed": "The shift is signed.",
    "reopened": "The shift is open again.",
    "filled": "Every blank result has a state now.",
}


@dataclass(frozen=True)
class Named:
    """A result that is not a number: its key and title, its state, and why, as far as said."""

    key: str
    title: str
    state: str
    reason: str


@dataclass(frozen=True)
class SigningPage(WithProblems):
    """What signing a shift asks: what is blank, what has no number, checks, and what went wrong."""

    shift: OpenShift
    seal: Seal
    results: int
    blank: tuple[Cell, ...]
    named: tuple[Named, ...]
    checks: Checks
    records: int = 0
    unfinished: tuple[Record, ...] = ()
    going_on: int = 0
    runs_until: str = ""
    doubts: tuple[Doubt, ...] = ()
    typed: dict[str, str] = field(default_factory=dict)
    wrong: dict[str, str] = field(default_factory=dict)
    not_done: str = ""
    done: str = ""
    states: tuple[str, ...] = tuple(STATES.values())

    def title_of(self, record: Record) -> str:
        """Return what a record is called, and when, what and where it was."""
        book = BOOKS[record.book]
        return f"{_(book.one).capitalize()} {record_name(book, record.fields)}"

    @property
    def remarks(self) -> list[tuple[str, str]]:
        """What the signer remarked of results that are not numbers."""
        signature = self.seal.shift.signature
        return remarks_of(signature, self.shift) if signature else []


@router.get("/signature")
def signing_page(
    request: Request, by: Viewer, shift: ShiftToRead, reading: Reading, did: str = ""
) -> Response:
    """Show how a shift is signed, and what signing it asks."""
    return _page(request, reading, shift, by, done=_(_DONE.get(did, "")))


@router.post("/signature")
def sign(  # noqa: PLR0913, PLR0917
    request: Request, by: Signer, again: SignedAgain, shift: ShiftToWrite, writing: Writing,
    form: Form, now: Now, once: Once,
) -> Response:  # fmt: skip
    """Sign that a shift was entered, with the password typed again."""
    if not again:
        return _not_signed(request, writing, shift, by, form, {"password": unconfirmed(form)})
    sheet, _results, checks, _doubts = _sheet(writing, shift, now)
    asked = {question.about: question for question in checks.open}
    try:
        signing.sign_shift(
            writing, shift.season, shift.day, shift.number,
            blank=[cell.key for cell in sheet.missing],
            remarks={
                name.removeprefix("remark:"): text
                for name, text in form.items() if name.startswith("remark:")
            },
            answers={a: form.get(f"answer:{q.name}", "") for a, q in asked.items()}, by=by, at=now,
        )  # fmt: skip
    except Gaps as gaps:
        wrong = {
            f"blank-{key}": _("{title} is blank", title=_title(shift, key)) for key in gaps.blank
        }
        wrong |= {
            f"remark-{key}": _("{title}: say why there is no number", title=_title(shift, key))
            for key in gaps.unexplained
        }
        wrong |= {
            f"answer-{asked[about].name}": _(
                "{title}: say what you saw", title=_(asked[about].raised.check.title)
            )
            for about in gaps.unanswered
        }
        wrong |= {
            f"record-{record.id}": _(
                "{book}: a record is not finished", book=_(BOOKS[record.book].title)
            )
            for record in gaps.unfinished
        }
        return _not_signed(request, writing, shift, by, form, wrong)
    except Refused as refused:
        return _not_signed(request, writing, shift, by, form, {"password": str(refused)})
    return done(once, f"{shift.address}/signature?did=signed")


@router.post("/blanks")
def fill_blanks(
    request: Request, by: Signer, shift: ShiftToWrite, writing: Writing, form: Form, now: Now,
    once: Once,
) -> Response:  # fmt: skip
    """Give every due result that is blank one named state, for a reason."""
    state, reason = form.get("state", ""), form.get("reason", "")
    wrong = {} if reason.strip() else {"reason": _("Say in words why there is no number")}
    if state not in STATES.values():
        wrong["state"] = _("Choose what they are")
    if wrong:
        return _not_signed(request, writing, shift, by, form, wrong, _("No blank was filled"))
    short = next(text for text, words in STATES.items() if words == state)
    cells = [
        Typed(
            cell.measure.name, short, cell.result.id if cell.result else None, reason, reason,
            sample=cell.place.sample,
        )
        for cell in blank_of(writing, shift)
    ]  # fmt: skip
    try:
        failures = book.record_sheet(
            writing, season=shift.season, day=shift.day, number=shift.number, cells=cells, by=by,
            at=now,
        )  # fmt: skip
    except Closed as closed:
        raise HTTPException(403, f"{closed}.") from None
    if failures:
        wrong = {"reason": f"{next(iter(failures.values()))}"}
        return _not_signed(request, writing, shift, by, form, wrong, _("No blank was filled"))
    return done(once, f"{shift.address}/signature?did=filled")


@router.post("/reopening")
def reopen(
    request: Request, by: Opener, shift: ShiftToWrite, writing: Writing, form: Form, now: Now,
    once: Once,
) -> Response:  # fmt: skip
    """Open a signed shift again, for a reason."""
    try:
        signing.reopen(
            writing, shift.season, shift.day, shift.number, reason=form.get("why", ""), by=by,
            at=now,
        )  # fmt: skip
    except Refused as refused:
        wrong = {"why": str(refused)}
        return _not_signed(request, writing, shift, by, form, wrong, _("The shift was not opened"))
    return done(once, f"{shift.address}/signature?did=reopened")


def unconfirmed(form: Form) -> str:
    """Say why a password typed again does not stand for its person."""
    return _(NOT_CONFIRMED if form.get("password") else NOT_TYPED)


def blank_of(connection: Connection, shift: OpenShift) -> tuple[Cell, ...]:
    """Return the results due on a shift that are neither there nor follow from readings."""
    results = book.sheet(connection, shift.season, shift.day, shift.number)
    books = books_of(connection, shift.mill, shift.season, only=shift.day, plan=shift.plan)
    return sheet_of(shift.measures, filling_of(shift, results, books)).missing


def remarks_of(signature: Signature, shift: OpenShift) -> list[tuple[str, str]]:
    """Return what a signer remarked of results, by their titles."""
    return [(_title(shift, key), words) for key, words in signature.remarks.items()]


def _title(shift: OpenShift, key: str) -> str:
    """Return what a place is a result of, with its time where it is one sample of several."""
    place = place_of(key)
    return place_title(place, sampled_at(shift, place, ()), shift.mill.clock)


def _sheet(
    connection: Connection, shift: OpenShift, now: datetime
) -> tuple[Sheet, dict[str, Entry], Checks, tuple[Doubt, ...]]:
    results = book.sheet(connection, shift.season, shift.day, shift.number)
    books = books_to_check(connection, shift)
    sheet = sheet_of(shift.measures, filling_of(shift, results, books))
    doubts = tuple(doubts_on(connection, shift.mill, shift.season, shift.bounds, now))
    return sheet, results, checks_on(connection, shift, sheet, results, books, doubts), doubts


def _page(
    request: Request, connection: Connection, shift: OpenShift, by: Person, **said: Any
) -> Response:
    now = request.app.state.clock()
    sheet, results, checks, doubts = _sheet(connection, shift, now)
    page = SigningPage(
        shift,
        seal_of(connection, shift, by),
        sum(entry.state == NUMBER for entry in results.values()),
        sheet.missing,
        tuple(
            Named(key, _title(shift, key), entry.state, entry.reason or "")
            for key, entry in results.items()
            if entry.state not in (NUMBER, VOID)
        ),
        checks,
        sum(counts_on_shift(connection, shift.season, shift.day, shift.number).values()),
        unfinished(connection, shift.season, shift.day, shift.number),
        open_on(connection, shift.season, shift.day, shift.number),
        _runs_until(shift, now),
        doubts,
        **said,
    )
    status = 422 if page.wrong else 200
    return render(request, "signing/shift.html", status, page=page)


def _runs_until(shift: OpenShift, now: datetime) -> str:
    ends = shift.mill.clock.shift_bounds(shift.day, shift.number)[1]
    return moment(ends, shift.mill.clock) if now < ends else ""


def _not_signed(
    request: Request,
    connection: Connection,
    shift: OpenShift,
    by: Person,
    form: Form,
    wrong: dict[str, str],
    not_done: str = "",
) -> Response:
    typed = {name: text for name, text in form.items() if name != "password"}
    return _page(
        request,
        connection,
        shift,
        by,
        typed=typed,
        wrong=wrong,
        not_done=not_done or _("The shift was not signed"),
    )
