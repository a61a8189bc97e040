"""The sheet of a shift: shown, and saved box by box or as a whole."""

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Annotated

from fastapi import APIRouter, Depends, HTTPException, Request, Response
from fastapi.responses import RedirectResponse
from sqlalchemy import Connection

from app.database import reading
from app.language import _
from app.ledger import book
from app.ledger.book import Closed, Typed
from app.ledger.people import Person
from app.ledger.signing import MAY_SIGN
from app.plant.measures import MEASURES, Measure
from app.plant.readings import READINGS
from app.plant.streams import STATIONS
from app.plant.typed import NUMBER
from app.reports.cells import Cell
from app.web.open_shift import OpenShift, ShiftToRead, ShiftToWrite, open_shift
from app.web.requests import (
    Day,
    Form,
    Now,
    Place,
    Reading,
    Viewer,
    Writing,
    allow,
    render,
    to_write,
)
from app.web.shift_form import attempts, typed_cells
from app.web.shift_page import ShiftPage, carried_over, shift_page

router = APIRouter(prefix="/shifts/{day}/{number}")

Chemist = Annotated[Person, Depends(allow(*MAY_SIGN))]

Failures = Mapping[str, Exception]


def _station(station: str = "") -> str:
    """Return the one station that a sheet is shown for, empty for all."""
    if station and station not in STATIONS:
        raise HTTPException(404, _("There is no such station."))
    return station


Station = Annotated[str, Depends(_station)]


@router.get("")
def show_sheet(
    request: Request,
    by: Viewer,
    shift: ShiftToRead,
    connection: Reading,
    now: Now,
    station: Station,
    saved: str | None = None,
) -> Response:
    """Show the sheet of a shift, or the part of one station."""
    note = "" if saved is None else _("Saved. This is what the ledger holds.")
    before = carried_over(connection, shift)
    page = shift_page(connection, shift, by, now, note=note, station=station, before=before)
    return render(request, "shifts/sheet.html", page=page)


@router.post("")
def save_sheet(
    request: Request,
    by: Chemist,
    form: Form,
    shift: ShiftToWrite,
    writing: Writing,
    now: Now,
    station: Station,
) -> Response:
    """Save a whole sheet, or nothing of it."""
    cells = typed_cells(form, shift.places)
    failures = _record(writing, shift, cells, by, now, whole=True)
    if not failures:
        of_station = f"&station={station}" if station else ""
        return RedirectResponse(f"{shift.address}?saved{of_station}", 303)
    results = book.sheet(writing, shift.season, shift.day, shift.number)
    kept = attempts(shift, form, cells, failures, results)
    page = shift_page(writing, shift, by, now, attempts=kept, form=form, station=station)
    return render(request, "shifts/sheet.html", _status(failures), page=page)


@router.post("/cells")
def save_cells(
    request: Request, by: Chemist, form: Form, now: Now, day: Day, number: int, _at: Place
) -> Response:
    """Save boxes, each for itself, and answer with them and what follows from them."""
    with to_write(request) as connection:
        shift = open_shift(connection, day, number, now)
        cells = typed_cells(form, shift.places)
        if not cells:
            raise HTTPException(404, _("This shift has no such box."))
        failures = _record(connection, shift, cells, by, now, whole=False)
    # others wait for who writes, so what follows from it is worked out after that
    with reading(request.app.state.engine) as connection:
        results = book.sheet(connection, shift.season, day, number)
        kept = attempts(shift, form, cells, failures, results)
        saved = [cell.key for cell in cells if cell.key not in failures]
        page = shift_page(connection, shift, by, now, attempts=kept, saved=saved, form=form)
    measures = {cell.measure: MEASURES[cell.measure] for cell in cells}
    answer = render(
        request,
        "shifts/_answer.html",
        _status(failures),
        page=page,
        sent=[page.sheet.cells[cell.key] for cell in cells],
        follows=_following(measures, page),
        made=[made for made in page.sheet.made.values() if made.measure.name in measures],
    )
    answer.headers["X-Fragment"] = "sheet"
    return answer


def _record(
    writing: Connection,
    shift: OpenShift,
    cells: Sequence[Typed],
    by: Person,
    now: datetime,
    *,
    whole: bool,
) -> Failures:
    try:
        return book.record_sheet(
            writing,
            season=shift.season,
            day=shift.day,
            number=shift.number,
            cells=cells,
            by=by,
            at=now,
            whole=whole,
        )
    except Closed as closed:
        raise HTTPException(403, f"{closed}.") from None


def _following(measures: Mapping[str, Measure], page: ShiftPage) -> list[Cell]:
    """Return the boxes that changed with `measures`: what follows from them, purity last.

    A box that somebody may be typing in is left alone: only what follows from readings that stand,
    or from the one just taken out, is given anew.
    """
    cells, names = page.sheet.cells, []
    for measure in measures.values():
        stream = f"{measure.stream}_"
        results = [
            result
            for result, readings in READINGS.items()
            if result.startswith(stream)
            and result in cells
            and any(name == measure.name or _stands(cells.get(name)) for name in readings)
        ]
        purity = f"{stream}purity"
        names += results
        if purity in cells and (results or measure.prop in ("brix", "pol")):
            names.append(purity)
    found = [cells[name] for name in dict.fromkeys(names) if name not in measures]
    return [cell for cell in found if cell.derived or not cell.result]


def _stands(cell: Cell | None) -> bool:
    return cell is not None and cell.result is not None and cell.result.state == NUMBER


def _status(failures: Failures) -> int:
    if not failures:
        return 200
    return 409 if any(isinstance(f, book.Conflict) for f in failures.values()) else 422
