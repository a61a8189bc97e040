"""Signing a shift that was entered, and opening one again."""

from dataclasses import dataclass, field
from datetime import datetime
from typing import Annotated, Any

from fastapi import APIRouter, Depends, HTTPException, Request, Response
from sqlalchemy import Connection

from app.ledger import book, signing
from app.ledger.book import Closed, Typed
from app.ledger.cells import Refused
from app.ledger.entries import Entry
from app.ledger.people import Person
from app.ledger.signing import MAY_REOPEN, MAY_SIGN, Gaps
from app.plant.measures import MEASURES, Measure
from app.plant.typed import NUMBER, STATES, VOID
from app.reports.dates import moment
from app.reports.sheet import Sheet, sheet_of
from app.web.forms import WithProblems
from app.web.open_shift import OpenShift, ShiftToRead, ShiftToWrite
from app.web.periods import books_of
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
    """A result that is not a number: its measure, its state, and why, as far as it was said."""

    measure: Measure
    state: str
    reason: str


@dataclass(frozen=True)
class SigningPage(WithProblems):
    """What signing a shift asks: what is still blank, what is explained, and what went wrong."""

    shift: OpenShift
    seal: Seal
    results: int
    blank: tuple[Measure, ...]
    named: tuple[Named, ...]
    runs_until: str = ""
    typed: dict[str, str] = field(default_factory=dict)
    wrong: dict[str, str] = field(default_factory=dict)
    not_done: str = ""
    done: str = ""
    states: tuple[str, ...] = tuple(STATES.values())

    @property
    def remarks(self) -> list[tuple[Measure, str]]:
        """What the signer remarked of results that are not numbers."""
        signature = self.seal.shift.signature
        said = signature.remarks.items() if signature else ()
        return [(MEASURES[name], words) for name, words in said]


@router.get("/signature")
def signing_page(
    request: Request, by: Viewer, shift: ShiftToRead, reading: Reading, did: str = ""
) -> Response:
    """Show how a shift is signed, and what signing it asks."""
    return _page(request, reading, shift, by, done=_DONE.get(did, ""))


@router.post("/signature")
def sign(  # noqa: PLR0913, PLR0917
    request: Request, by: Signer, again: SignedAgain, shift: ShiftToWrite, writing: Writing,
    form: Form, now: Now, once: Once,
) -> Response:  # fmt: skip
    """Sign that a shift was entered, with the password typed again."""
    remarks = {name: form.get(f"remark:{name}", "") for name in MEASURES}
    if not again:
        return _not_signed(request, writing, shift, by, form, {"password": unconfirmed(form)})
    try:
        signing.sign_shift(
            writing, shift.season, shift.day, shift.number,
            blank=[m.name for m in blank_of(writing, shift)], remarks=remarks, by=by, at=now,
        )  # fmt: skip
    except Gaps as gaps:
        wrong = {f"blank-{name}": f"{MEASURES[name].title} is blank" for name in gaps.blank}
        wrong |= {
            f"remark-{name}": f"{MEASURES[name].title}: say why there is no number"
            for name in gaps.unexplained
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
    wrong = {} if reason.strip() else {"reason": "Say in words why there is no number"}
    if state not in STATES.values():
        wrong["state"] = "Choose what they are"
    if wrong:
        return _not_signed(request, writing, shift, by, form, wrong, "No blank was filled")
    stands = book.sheet(writing, shift.season, shift.day, shift.number)
    short = next(text for text, words in STATES.items() if words == state)
    cells = [
        Typed(measure.name, short, stands[measure.name].id if measure.name in stands else None,
              reason, reason)
        for measure in blank_of(writing, shift)
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
        return _not_signed(request, writing, shift, by, form, wrong, "No blank was filled")
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
        return _not_signed(request, writing, shift, by, form, wrong, "The shift was not opened")
    return done(once, f"{shift.address}/signature?did=reopened")


def unconfirmed(form: Form) -> str:
    """Say why a password typed again does not stand for its person."""
    return NOT_CONFIRMED if form.get("password") else NOT_TYPED


def blank_of(connection: Connection, shift: OpenShift) -> list[Measure]:
    """Return the results due on a shift that are neither there nor follow from readings."""
    return [cell.measure for cell in _sheet(connection, shift)[0].missing]


def _sheet(connection: Connection, shift: OpenShift) -> tuple[Sheet, dict[str, Entry]]:
    results = book.sheet(connection, shift.season, shift.day, shift.number)
    books = books_of(connection, shift.mill, shift.season, only=shift.day, plan=shift.plan)
    return sheet_of(shift.measures, filling_of(shift, results, books)), results


def _page(
    request: Request, connection: Connection, shift: OpenShift, by: Person, **said: Any
) -> Response:
    sheet, results = _sheet(connection, shift)
    page = SigningPage(
        shift,
        seal_of(connection, shift, by),
        sum(entry.state == NUMBER for entry in results.values()),
        tuple(cell.measure for cell in sheet.missing),
        tuple(_named(entry) for entry in results.values() if entry.state not in (NUMBER, VOID)),
        _runs_until(shift, request.app.state.clock()),
        **said,
    )
    status = 422 if page.wrong else 200
    return render(request, "signing/shift.html", status, page=page)


def _runs_until(shift: OpenShift, now: datetime) -> str:
    _, ends = shift.mill.clock.shift_bounds(shift.day, shift.number)
    return moment(ends, shift.mill.clock) if now < ends else ""


def _named(entry: Entry) -> Named:
    return Named(MEASURES[entry.measure], entry.state, entry.reason or "")


def _not_signed(
    request: Request,
    connection: Connection,
    shift: OpenShift,
    by: Person,
    form: Form,
    wrong: dict[str, str],
    not_done: str = "The shift was not signed",
) -> Response:
    typed = {name: text for name, text in form.items() if name != "password"}
    return _page(request, connection, shift, by, typed=typed, wrong=wrong, not_done=not_done)
