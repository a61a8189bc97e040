"""Approving a day, and opening it again."""

from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Annotated, Any

from fastapi import APIRouter, Depends, HTTPException, Request, Response
from sqlalchemy import Connection

from app.exports.doubts import doubts_around
from app.language import _
from app.ledger import mills, signing
from app.ledger.cells import Refused
from app.ledger.imported import files_of_days
from app.ledger.mills import Mill, Season
from app.ledger.people import Person
from app.ledger.signed import DaySigned, signed_day
from app.ledger.signing import MAY_APPROVE, MAY_REOPEN
from app.ledger.trail import Asked, told
from app.plant.calendar import Clock
from app.reports.dates import long_day
from app.web.checked import books_to_check, checks_of_day
from app.web.forms import WithProblems
from app.web.open_shift import OpenShift, open_shift
from app.web.requests import (
    Day,
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
from app.web.seal import words_of
from app.web.signing import blank_of, remarks_of, unconfirmed
from app.web.told import Line, line_of

router = APIRouter(prefix="/days/{day}")

Approver = Annotated[Person, Depends(allow(*MAY_APPROVE))]
Opener = Annotated[Person, Depends(allow(*MAY_REOPEN))]

_DONE = {"approved": "The day is approved.", "reopened": "The day is open again."}


@dataclass(frozen=True)
class ShiftLine:
    """How a shift of the day stands, how many due results are blank, what its signer remarked.

    Each remark is there once, with the titles of the results that it is about.
    """

    number: int
    words: str
    blank: int
    remarks: list[tuple[str, list[str]]]


@dataclass(frozen=True)
class ApprovalPage(WithProblems):
    """How a day and its shifts are signed, what is `unanswered`; what went wrong with a form.

    `files` are those that something of the day was brought in from.
    """

    day: date
    clock: Clock
    signed: DaySigned
    words: str
    shifts: list[ShiftLine]
    unanswered: int
    why_not: str
    later: list[Line]
    may_approve: bool
    may_reopen: bool
    files: str = ""
    typed: dict[str, str] = field(default_factory=dict)
    wrong: dict[str, str] = field(default_factory=dict)
    not_done: str = ""
    done: str = ""


@router.get("/approval")
def approval_page(
    request: Request, by: Viewer, reading: Reading, now: Now, day: Day, did: str = ""
) -> Response:
    """Show how a day and its shifts are signed."""
    return _page(request, reading, now, day, by, done=_(_DONE.get(did, "")))


@router.post("/approval")
def approve(  # noqa: PLR0913, PLR0917  its parts come from different hands
    request: Request, by: Approver, again: SignedAgain, writing: Writing, form: Form, now: Now,
    day: Day, once: Once,
) -> Response:  # fmt: skip
    """Approve a day that is over, with the password typed again."""
    mill, season = _held(writing, day)
    wrong = ""
    if not again:
        wrong = unconfirmed(form)
    elif mill.clock.shift_bounds(day, mill.shifts_a_day)[1] > now:
        wrong = _("This day is not over yet")
    else:
        try:
            signing.approve_day(writing, season, day, shifts_a_day=mill.shifts_a_day, by=by, at=now)
        except Refused as refused:
            wrong = str(refused)
    if wrong:
        said = {"wrong": {"password": wrong}, "not_done": _("The day was not approved")}
        return _page(request, writing, now, day, by, **said)
    return done(once, f"/days/{day}/approval?did=approved")


@router.post("/reopening")
def reopen(
    request: Request, by: Opener, writing: Writing, form: Form, now: Now, day: Day, once: Once
) -> Response:
    """Open an approved day again, for a reason."""
    season = _held(writing, day)[1]
    try:
        signing.reopen(writing, season, day, None, reason=form.get("why", ""), by=by, at=now)
    except Refused as refused:
        said: dict[str, Any] = {"wrong": {"why": str(refused)}, "typed": dict(form)}
        said["not_done"] = _("The day was not opened")
        return _page(request, writing, now, day, by, **said)
    return done(once, f"/days/{day}/approval?did=reopened")


def _held(connection: Connection, day: date) -> tuple[Mill, Season]:
    mill = mills.the_mill(connection)
    season = mills.season_of(connection, mill, day)
    if season is None:
        raise HTTPException(404, _("{day} is in no season of this mill.", day=long_day(day)))
    return mill, season


def _page(
    request: Request, connection: Connection, now: Now, day: date, by: Person, **said: Any
) -> Response:
    mill, season = _held(connection, day)
    state = signed_day(connection, season, day, mill.shifts_a_day)
    lines, begun = [], []
    for number, shift in state.shifts.items():
        if mill.clock.shift_bounds(day, number)[0] > now:
            continue
        opened = open_shift(connection, day, number, now)
        begun.append(opened)
        blank = blank_of(connection, opened)
        said_of = _by_words(remarks_of(shift.signature, opened)) if shift.signature else []
        words = words_of(shift, mill.clock, "entered")
        lines.append(ShiftLine(number, words, len(blank), said_of))
    page = ApprovalPage(
        day,
        mill.clock,
        state,
        words_of(state.day, mill.clock, "approved"),
        lines,
        _unanswered(connection, begun, now),
        signing.why_not_approved(connection, season, day, state, by),
        [line_of(event, mill.clock) for event in told(connection, Asked(day, after_signing=True))],
        by.role in MAY_APPROVE,
        by.role in MAY_REOPEN,
        files_of_days(connection, season, day, day).get(day, ""),
        **said,
    )
    return render(request, "signing/day.html", 422 if page.wrong else 200, page=page)


def _by_words(remarks: list[tuple[str, str]]) -> list[tuple[str, list[str]]]:
    groups: dict[str, list[str]] = {}
    for title, words in remarks:
        groups.setdefault(words, []).append(title)
    return list(groups.items())


def _unanswered(connection: Connection, begun: list[OpenShift], now: datetime) -> int:
    """Return how many checks of a day, by its shifts that have begun, are not answered."""
    if not begun:
        return 0
    last = begun[-1]
    span = begun[0].bounds[0], last.bounds[1]
    doubts = doubts_around(connection, last.mill, last.season, span, now)
    return checks_of_day(connection, begun, books_to_check(connection, last), doubts).open
