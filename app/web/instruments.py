"""Instruments: added and revoked by an administrator; what they write by themselves."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Annotated, Any
from urllib.parse import urlencode

from fastapi import APIRouter, Depends, HTTPException, Request, Response
from fastapi.concurrency import run_in_threadpool
from fastapi.responses import JSONResponse
from sqlalchemy import Connection

from app.ledger import instruments, mills
from app.ledger.instruments import Instrument
from app.ledger.people import Person, filed_name, people
from app.ledger.plan import plan_of
from app.plant.calendar import Clock
from app.plant.measures import MEASURES, Measure
from app.plant.streams import STATIONS
from app.web.forms import WithProblems, body_of
from app.web.instrument_entries import LONGEST_BODY, Unfit, take
from app.web.requests import Form, Now, Once, Reading, Writing, allow, done, keep, render
from app.web.security_log import note

router = APIRouter(prefix="/instruments")

Administrator = Annotated[Person, Depends(allow("administrator"))]

_DONE = {
    "added": "was added. Its token was shown once; if it is lost, revoke it and add another.",
    "revoked": "writes no more. What it wrote stays.",
}


@dataclass(frozen=True)
class InstrumentsPage(WithProblems):
    """Every instrument, the measures one may be let write, and what was and was not done."""

    instruments: list[Instrument]
    clock: Clock
    taken: Mapping[str, Measure]
    typed: Mapping[str, str] = field(default_factory=dict)
    done: str = ""
    token: tuple[Instrument, str] | None = None
    wrong: Mapping[str, str] = field(default_factory=dict)

    @property
    def stations(self) -> dict[str, list[Measure]]:
        """The measures that this mill takes, by the title of their station."""
        found = {
            title: [measure for measure in self.taken.values() if measure.station == name]
            for name, title in STATIONS.items()
        }
        return {title: measures for title, measures in found.items() if measures}

    @property
    def chosen(self) -> set[str]:
        """The measures that were ticked."""
        return {name for name in MEASURES if f"measure:{name}" in self.typed}

    def titles(self, instrument: Instrument) -> str:
        """Return the measures of an instrument in words."""
        return ", ".join(MEASURES[name].title for name in instrument.measures if name in MEASURES)


@router.get("")
def instruments_page(
    request: Request, reading: Reading, now: Now, _by: Administrator, did: str = "", who: str = ""
) -> Response:
    """Show every instrument, with a form for one more."""
    found = instruments.instruments(reading)
    names = [each.person.printed_name for each in found if each.person.username == who]
    said = f"{names[0]} {_DONE[did]}" if names and did in _DONE else ""
    return _page(request, reading, now, done=said)


@router.post("")
def add_instrument(
    request: Request, writing: Writing, form: Form, now: Now, by: Administrator, once: Once
) -> Response:
    """Add an instrument, and show its token."""
    chosen = [name for name in MEASURES if form.get(f"measure:{name}") == "yes"]
    name = form.get("name", "")
    if taken := _is_taken(writing, name):
        return _page(request, writing, now, typed=form, wrong={"name": taken})
    try:
        added, token = instruments.add_instrument(
            writing, name=name, measures=chosen, by=by, at=now
        )
    except ValueError as wrong:
        where = "name" if chosen else "measures"
        return _page(request, writing, now, typed=form, wrong={where: str(wrong)})
    note(request, "token made", instrument=added.person.username)
    keep(once, _address("added", added))  # a form sent again shows no token: it is not kept
    return _page(request, writing, now, token=(added, token))


@router.post("/{username}/revocation")
def revoke(
    request: Request, writing: Writing, form: Form, now: Now, username: str, by: Administrator,
    once: Once,
) -> Response:  # fmt: skip
    """Let an instrument write no more, if it is meant."""
    found = [i for i in instruments.instruments(writing) if i.person.username == username]
    if not found or not found[0].person.active:
        raise HTTPException(404, f"No instrument called {username} writes here.")
    if form.get("sure") != "yes":
        where = f"instrument-{found[0].person.id}"
        words = f"Tick “yes, revoke” beside {found[0].person.printed_name} first"
        return _page(request, writing, now, wrong={where: words})
    instruments.revoke(writing, found[0], by=by, at=now)
    note(request, "token revoked", instrument=username)
    return done(once, _address("revoked", found[0]))


def _is_taken(connection: Connection, name: str) -> str:
    """Say why an instrument may not have a name; empty where it may."""
    words = name.split()
    filed = filed_name("-".join(words))
    if filed == "none":  # which stands in exports for what a person typed
        return "An instrument may not be called “none”"
    if any(other.username == filed for other in people(connection)):
        return f"There is already an instrument or somebody called {' '.join(words)}"
    return ""


def _address(what: str, instrument: Instrument) -> str:
    return f"/instruments?{urlencode({'did': what, 'who': instrument.person.username})}"


def _page(request: Request, connection: Connection, now: datetime, **said: Any) -> Response:
    mill = mills.the_mill(connection)
    day, _ = mill.clock.shift_at(now)
    taken = plan_of(connection, mill).on(day)
    every = instruments.instruments(connection)
    page = InstrumentsPage(every, mill.clock, taken, **said)
    return render(request, "instruments.html", 422 if page.wrong else 200, page=page)


@router.post("/entries")
async def write_entries(request: Request, now: Now) -> Response:
    """Take what an instrument found, by its token; no cookie is looked at."""
    try:
        body = await body_of(request, LONGEST_BODY)
        async with request.app.state.places:
            return JSONResponse(await run_in_threadpool(take, request, body, now))
    except Unfit as unfit:
        headers = {"WWW-Authenticate": "Bearer"} if unfit.status == 401 else None
        return JSONResponse({"problems": unfit.problems}, unfit.status, headers)
    except HTTPException as refused:
        return JSONResponse({"problems": [refused.detail]}, refused.status_code)
