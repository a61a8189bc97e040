"""What an instrument sends: JSON, one result or a list, written as first entries, all or none."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import date, datetime
from typing import Annotated, Any

from fastapi import Request
from pydantic import BaseModel, ConfigDict, Field, TypeAdapter, ValidationError
from sqlalchemy import Connection

from app.database import reading, writing
from app.ledger import book, instruments
from app.ledger.book import Closed, Conflict, Typed
from app.ledger.cells import LONGEST_TEXT
from app.ledger.entries import Entry, entries_of_shift
from app.ledger.instruments import Instrument
from app.ledger.people import Person
from app.plant.measures import MEASURES
from app.web.open_shift import OpenShift, open_shift
from app.web.requests import Day

Shift = tuple[date, int]

LONGEST_BODY = 50_000  # bytes
MOST_RESULTS = 100


class Sent(BaseModel):
    """One result as an instrument sends it."""

    model_config = ConfigDict(extra="forbid", strict=True)

    day: Annotated[Day, Field(strict=False)]
    shift: int
    measure: str
    typed: Annotated[str, Field(min_length=1, max_length=LONGEST_TEXT)]


_SENT: TypeAdapter[list[Sent]] = TypeAdapter(Annotated[list[Sent], Field(max_length=MOST_RESULTS)])
_ONE: TypeAdapter[Sent] = TypeAdapter(Sent)


class Unfit(Exception):
    """Nothing was written: the status of the answer, and what was wrong."""

    def __init__(self, status: int, *problems: str) -> None:
        super().__init__(*problems)
        self.status, self.problems = status, problems


def take(request: Request, body: bytes, now: datetime) -> dict[str, Any]:
    """Write what an instrument sends and return the ids of its entries; Unfit says what is wrong.

    What it sent before is answered as then, whatever became of it since.
    """
    shown = _shown(request)
    if closed := request.app.state.watch.closed:
        raise Unfit(503, closed)
    shifts = _by_shift(shown, _read(body))
    with writing(request.app.state.engine) as connection:
        instruments.used(connection, shown, now)
        ids = {
            (day, number, name): key
            for (day, number), cells in shifts.items()
            for name, key in _write(connection, shown, day, number, cells, now).items()
        }
    return {
        "entries": [
            {"day": f"{s.day}", "shift": s.shift, "measure": s.measure,
             "entry": ids[s.day, s.shift, s.measure]}
            for cells in shifts.values() for s in cells.values()
        ]
    }  # fmt: skip


def _shown(request: Request) -> Instrument:
    kind, _, token = request.headers.get("authorization", "").partition(" ")
    with reading(request.app.state.engine) as connection:
        shown = (
            instruments.shown_by(connection, token.strip()) if kind.lower() == "bearer" else None
        )
    if shown is None:
        raise Unfit(401, "This token is of no instrument that may write here")
    return shown


def _read(body: bytes) -> Sequence[Sent]:
    try:
        if body.lstrip().startswith(b"["):
            return _SENT.validate_json(body)
        return [_ONE.validate_json(body)]
    except ValidationError as wrong:
        said = [
            f"{'.'.join(str(part) for part in error['loc']) or 'the body'}: {error['msg']}"
            for error in wrong.errors(include_url=False, include_input=False)
        ]
        raise Unfit(422, *said[:10]) from None


def _by_shift(instrument: Instrument, sent: Sequence[Sent]) -> Mapping[Shift, Mapping[str, Sent]]:
    unknown = [s.measure for s in sent if s.measure not in MEASURES]
    if unknown:
        raise Unfit(422, *(f"There is no measure called {name[:60]}" for name in unknown))
    others = [s.measure for s in sent if s.measure not in instrument.measures]
    if others:
        raise Unfit(403, *(f"This instrument may not write {name}" for name in others))
    shifts: defaultdict[Shift, dict[str, Sent]] = defaultdict(dict)
    for each in sent:
        cells = shifts[each.day, each.shift]
        if each.measure in cells:
            raise Unfit(422, f"{each.measure} is there twice for one shift")
        cells[each.measure] = each
    return shifts


def _write(
    connection: Connection,
    instrument: Instrument,
    day: date,
    number: int,
    cells: Mapping[str, Sent],
    now: datetime,
) -> dict[str, int]:
    """Write the first entries of a shift and return the ids of all that was sent, by measure."""
    shift, name = open_shift(connection, day, number, now), instrument.person.printed_name
    taken = {measure.name: measure for measure in shift.measures}
    if missing := cells.keys() - taken.keys():
        raise Unfit(422, *(f"Shift {number} of {day} has no {each}" for each in sorted(missing)))
    if several := sorted(name for name in cells if taken[name].every):
        words = "is sampled several times a shift: an instrument writes results of whole shifts"
        raise Unfit(422, *(f"{name} {words}" for name in several))
    before = _written(connection, shift, instrument.person)
    new = [
        Typed(measure, sent.typed)
        for measure, sent in cells.items()
        if measure not in before or before[measure].typed != sent.typed
    ]
    if not new:
        return {measure: before[measure].id for measure in cells}
    try:
        failures = book.record_sheet(
            connection, season=shift.season, day=day, number=number, cells=new,
            by=instrument.person, at=now, instrument=name,
        )  # fmt: skip
    except Closed as closed:
        raise Unfit(403, str(closed)) from None
    if failures:
        status = 409 if any(isinstance(f, Conflict) for f in failures.values()) else 422
        raise Unfit(status, *(f"{measure}: {why}" for measure, why in failures.items()))
    stands = book.sheet(connection, shift.season, day, number)
    fresh = {cell.measure for cell in new}
    return {m: (stands if m in fresh else before)[m].id for m in cells}


def _written(connection: Connection, shift: OpenShift, by: Person) -> dict[str, Entry]:
    """Return what an instrument itself wrote on a shift, by measure."""
    entries = entries_of_shift(connection, shift.season, shift.day, shift.number)
    return {entry.measure: entry for entry in entries if entry.recorded_by == by.id}
