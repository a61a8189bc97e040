"""Notes: what is said of a result, and the answers to checks."""

from dataclasses import replace
from typing import Annotated

from fastapi import APIRouter, Depends, HTTPException, Request, Response
from sqlalchemy import Connection

from app.exports.checks import Checks
from app.language import _
from app.ledger import book
from app.ledger.book import Closed
from app.ledger.cells import Refused
from app.ledger.notes import Asks, add_notes
from app.ledger.people import Person
from app.ledger.signing import MAY_SIGN
from app.web.checked import Asking
from app.web.open_shift import OpenShift, ShiftToWrite
from app.web.requests import Form, Now, Once, Writing, allow, done, render, wants_fragment
from app.web.shift_page import shift_page

router = APIRouter(prefix="/shifts/{day}/{number}")

Chemist = Annotated[Person, Depends(allow(*MAY_SIGN))]

CHANGED = "What this check asked about has changed meanwhile: read it again"


@router.post("/notes")
def note(
    request: Request, by: Chemist, shift: ShiftToWrite, writing: Writing, form: Form, now: Now,
    once: Once,
) -> Response:  # fmt: skip
    """Keep a note on a result, or the answer to a check."""
    name, words = form.get("check", ""), form.get("words", "")
    page = shift_page(writing, shift, by, now) if name else None
    try:
        about = _answered(page.checks, form) if page else _result(writing, shift, form)
        add_notes(
            writing, shift.season, shift.day, shift.number, said={about: words}, by=by, at=now
        )
    except Closed as closed:
        raise HTTPException(403, f"{closed}.") from None
    except Refused as refused:
        if wants_fragment(request) or page is None:
            raise HTTPException(422, f"{refused}.") from None
        asking = Asking(
            page.checks.questions, page.checks.notes, {name: words}, {name: str(refused)}
        )
        page = replace(
            page, checks=asking, note=_("The answer was not kept. {refused}.", refused=refused)
        )
        return render(request, "shifts/sheet.html", 422, page=page)
    where = _next(page.checks, name) if page else about.place.key
    return done(once, f"{shift.address}#{where}")


def _answered(checks: Checks, form: Form) -> Asks:
    """Return what a form answers; Refused where that is asked no more, or of other results."""
    for question in checks.questions:
        if (question.name, question.entries) == (form["check"], form.get("entries")):
            return question.about
    raise Refused(_(CHANGED))


def _next(checks: Checks, name: str) -> str:
    """Return the box of the question that is asked next, so that the keyboard goes there."""
    others = [question.name for question in checks.open if question.name != name]
    return f"answer-{others[0]}" if others else "checks"


def _result(connection: Connection, shift: OpenShift, form: Form) -> Asks:
    """Return the result that a note is on, as it stands."""
    place = next((place for place in shift.places if place.key == form.get("key")), None)
    if place is None:
        raise HTTPException(404, _("This shift has no such box."))
    standing = book.sheet(connection, shift.season, shift.day, shift.number).get(place.key)
    return Asks(place, entries=frozenset({standing.id} if standing else ()))
