"""What pasting a block into a sheet would write, shown before anything is written."""

from typing import Annotated

from fastapi import APIRouter, Depends, HTTPException, Request, Response

from app.language import _
from app.ledger.cells import Refused, understand
from app.ledger.people import Person
from app.ledger.signing import MAY_SIGN
from app.reports.pasted import (
    CHANGE,
    FILL,
    REFUSE,
    SAME,
    SKIP,
    NotThisBlock,
    Piece,
    laid,
    rows_of,
)
from app.web.open_shift import ShiftToRead
from app.web.requests import Form, Now, Reading, allow, render
from app.web.shift_page import ShiftPage, shift_page

router = APIRouter(prefix="/shifts/{day}/{number}")

Chemist = Annotated[Person, Depends(allow(*MAY_SIGN))]

_NO_BOX = "-"  # before the words for a place of the grid that is no box


@router.post("/paste")
def show_pasted(
    request: Request, by: Chemist, form: Form, shift: ShiftToRead, reading: Reading, now: Now
) -> Response:
    """Show what a block would do to the boxes of a sheet; nothing is written."""
    page = shift_page(reading, shift, by, now, form=form)
    if not page.may_type:
        raise HTTPException(
            403, _("{shift} is signed: nobody of your role writes in it.", shift=shift.title)
        )
    grid = [line.split("\t") for line in form.get("grid", "").split("\n")]
    try:
        rows = rows_of(form.get("block", ""))
        signed = page.seal.shift.signature is not None
        pasted = laid(rows, grid, lambda place, text: _judged(page, place, text), signed=signed)
    except NotThisBlock as why:
        return render(request, "shifts/_paste.html", 422, page=page, pasted=None, why=str(why))
    return render(request, "shifts/_paste.html", page=page, pasted=pasted, why="")


def _judged(page: ShiftPage, place: str, text: str) -> Piece:
    """Say what one text would do, by the rules of the sheet."""
    cell = page.sheet.cells.get(place)
    if cell is None or cell.derived:
        title = cell.title if cell else place.removeprefix(_NO_BOX) or _("beside the table")
        why = _("follows by itself") if cell else _("nothing is typed there")
        return Piece(text, title, REFUSE if text else SKIP, why=why)
    does, why = SKIP, ""
    if text and cell.result and text == cell.result.typed.strip():
        does = SAME
    elif text:
        does, why = _written(page, place, text)
    return Piece(text, cell.title, does, cell, why)


def _written(page: ShiftPage, place: str, text: str) -> tuple[str, str]:
    """Say what a text that is not in its box yet would do there, and what is to be said of it."""
    cell = page.sheet.cells[place]
    try:
        change = understand(cell.measure.name, text, measures=page.shift.plan.every(page.shift.day))
    except Refused as refused:
        return REFUSE, str(refused)
    unusual = "" if change.value is None else cell.measure.side(change.value)
    if cell.result:
        return CHANGE, unusual
    if page.late and not page.late.reason.strip():
        return REFUSE, _("this shift is long over: say above the sheet why it comes late")
    return FILL, unusual
