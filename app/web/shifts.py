"""The sheet of a shift: shown, saved cell by cell or as a whole, and the trail of a cell."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Annotated

from fastapi import APIRouter, Depends, HTTPException, Request, Response
from fastapi.responses import RedirectResponse
from sqlalchemy import Connection

from app.ledger import book
from app.ledger.book import Closed
from app.ledger.chain import numbers_of
from app.ledger.entries import Entry
from app.ledger.people import Person
from app.ledger.signing import MAY_SIGN
from app.plant.measures import MEASURES, Measure
from app.plant.readings import READINGS
from app.plant.samples import Place
from app.plant.typed import NUMBER
from app.reports.cells import Cell
from app.reports.numbers import printed
from app.web.open_shift import OpenShift, ShiftToRead, ShiftToWrite
from app.web.periods import books_of
from app.web.requests import Form, Now, Reading, Viewer, Writing, allow, is_htmx, render
from app.web.shift_page import (
    ShiftPage,
    attempts,
    shift_page,
    typed_cells,
)

router = APIRouter(prefix="/shifts/{day}/{number}")

Chemist = Annotated[Person, Depends(allow(*MAY_SIGN))]

Failures = Mapping[str, Exception]


@router.get("")
def show_sheet(
    request: Request,
    by: Viewer,
    shift: ShiftToRead,
    reading: Reading,
    now: Now,
    saved: str | None = None,
) -> Response:
    """Show the sheet of a shift."""
    note = "" if saved is None else "Saved. This is what the ledger holds."
    page = shift_page(reading, shift, by, now, note=note)
    return render(request, "shifts/sheet.html", page=page)


@router.post("")
def save_sheet(
    request: Request, by: Chemist, form: Form, shift: ShiftToWrite, writing: Writing, now: Now
) -> Response:
    """Save a whole sheet, or nothing of it."""
    page, failures = _save(writing, shift, shift.places, form, by, now)
    if not failures:
        return RedirectResponse(f"{shift.address}?saved", 303)
    return render(request, "shifts/sheet.html", _status(failures), page=page)


@router.post("/cells/{key}")
def save_cell(
    request: Request,
    by: Chemist,
    form: Form,
    shift: ShiftToWrite,
    writing: Writing,
    now: Now,
    key: str,
) -> Response:
    """Save one cell, and answer with it: saved, or with what was typed and what is wrong."""
    taken = _taken(shift, key)
    if f"result:{key}" not in form:
        raise HTTPException(422, f"{MEASURES[taken.measure].title} is not in this form.")
    page, failures = _save(writing, shift, (taken,), form, by, now)
    status = _status(failures)
    if is_htmx(request):
        cell, follows = page.sheet.cells[key], _following(MEASURES[taken.measure], page)
        return render(request, "shifts/_saved.html", status, page=page, cell=cell, follows=follows)
    if failures:
        return render(request, "shifts/sheet.html", status, page=page)
    return RedirectResponse(f"{shift.address}?saved", 303)


@dataclass(frozen=True)
class TrailPage:
    """Everything ever written in one cell, and the readings that its result follows from now."""

    shift: OpenShift
    measure: Measure
    entries: tuple[Entry, ...]
    follows: str = ""
    readings: tuple[Measure, ...] = ()
    events: Mapping[int, int] = field(default_factory=dict)


@router.get("/cells/{measure}")
def show_trail(
    request: Request, _by: Viewer, shift: ShiftToRead, reading: Reading, measure: str
) -> Response:
    """Show everything ever written in one cell."""
    if measure not in MEASURES:
        raise HTTPException(404, "There is no such measure.")
    entries = book.trail(reading, shift.season, shift.day, shift.number, measure)
    books = books_of(reading, shift.mill, shift.season, only=shift.day, plan=shift.plan)
    follows = books.results_of_readings(shift.day, shift.number).get(measure)
    page = TrailPage(
        shift,
        MEASURES[measure],
        tuple(entries),
        printed(follows, MEASURES[measure].decimals),
        tuple(MEASURES[name] for name in READINGS.get(measure, ())),
        numbers_of(reading, "entry", [entry.id for entry in entries]),
    )
    return render(request, "shifts/trail.html", page=page)


def _save(
    writing: Connection,
    shift: OpenShift,
    places: tuple[Place, ...],
    form: Form,
    by: Person,
    now: datetime,
) -> tuple[ShiftPage, Failures]:
    cells = typed_cells(form, places)
    day, number = shift.day, shift.number
    try:
        failures = book.record_sheet(
            writing, season=shift.season, day=day, number=number, cells=cells, by=by, at=now
        )
    except Closed as closed:
        raise HTTPException(403, f"{closed}.") from None
    if not failures:
        saved = [cell.key for cell in cells]
        return shift_page(writing, shift, by, now, saved=saved, form=form), failures
    results = book.sheet(writing, shift.season, day, number)
    kept = attempts(shift, form, cells, failures, results)
    return shift_page(writing, shift, by, now, attempts=kept, form=form), failures


def _taken(shift: OpenShift, key: str) -> Place:
    found = next((place for place in shift.places if place.key == key), None)
    if found is None:
        raise HTTPException(404, "This shift has no such box.")
    return found


def _following(measure: Measure, page: ShiftPage) -> tuple[Cell, ...]:
    """Return the cells that changed with `measure`: what follows from it, purity last.

    A box that somebody may be typing in is left alone: only what follows from readings that stand,
    or from the one just taken out, is given anew.
    """
    cells = page.sheet.cells
    stream = f"{measure.stream}_"
    names = [
        result
        for result, readings in READINGS.items()
        if result.startswith(stream)
        and result in cells
        and any(name == measure.name or _stands(cells.get(name)) for name in readings)
    ]
    if names or measure.prop in ("brix", "pol"):
        names += [name for name in (f"{stream}purity",) if name in cells]
    found = (cells[name] for name in dict.fromkeys(names) if name != measure.name)
    return tuple(cell for cell in found if cell.derived or not cell.result)


def _stands(cell: Cell | None) -> bool:
    return cell is not None and cell.result is not None and cell.result.state == NUMBER


def _status(failures: Failures) -> int:
    if not failures:
        return 200
    return 409 if any(isinstance(f, book.Conflict) for f in failures.values()) else 422
