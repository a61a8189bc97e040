"""Instruments: added and revoked by an administrator; what they write by themselves."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Annotated, Any
from urllib.parse import urlencode

from fastapi import APIRouter, Depends, HTTPException, Request, Response
from sqlalchemy import Connection

from app.language import _
from app.ledger import instruments, mills
from app.ledger.instruments import Instrument
from app.ledger.people import Person, filed_name, people
from app.ledger.plan import plan_of
from app.plant.books import BOOKS
from app.plant.calendar import Clock
from app.plant.measures import MEASURES, Measure
from app.plant.streams import STATIONS
from app.web.api import write_results
from app.web.forms import WithProblems
from app.web.requests import Form, Now, Once, Reading, Writing, allow, done, keep, render
from app.web.security_log import note

router = APIRouter(prefix="/instruments")

Administrator = Annotated[Person, Depends(allow("administrator"))]

_DONE = {
    "added": "{name} was added. Its token was shown once; if it is lost, revoke it and add "
    "another.",
    "revoked": "{name} writes no more. What it wrote stays.",
}


@dataclass(frozen=True)
class InstrumentsPage(WithProblems):
    """Every instrument, what one may be let write, and what was and was not done.

    `today` is how much each wrote on the day that runs, `refusals` when and why each was refused
    last, both by its id; `folder` is where they lay files.
    """

    instruments: list[Instrument]
    clock: Clock
    taken: Mapping[str, Measure]
    typed: Mapping[str, str] = field(default_factory=dict)
    today: Mapping[int, int] = field(default_factory=dict)
    refusals: Mapping[int, tuple[datetime, str]] = field(default_factory=dict)
    folder: Path | None = None
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

    @property
    def books(self) -> list[tuple[str, str, bool]]:
        """The other books: name, title, and whether it was ticked."""
        return [(b.name, b.title, f"book:{b.name}" in self.typed) for b in BOOKS.values()]

    def titles(self, instrument: Instrument) -> str:
        """Return what an instrument may write in words."""
        found = [MEASURES[name].title for name in instrument.measures if name in MEASURES]
        found += [BOOKS[name].title for name in instrument.books if name in BOOKS]
        return "; ".join(_(title) for title in found)


@router.get("")
def instruments_page(
    request: Request, reading: Reading, now: Now, _by: Administrator, did: str = "", who: str = ""
) -> Response:
    """Show every instrument, with a form for one more."""
    found = instruments.instruments(reading)
    names = [each.person.printed_name for each in found if each.person.username == who]
    said = _(_DONE[did], name=names[0]) if names and did in _DONE else ""
    return _page(request, reading, now, done=said)


@router.post("")
def add_instrument(
    request: Request, writing: Writing, form: Form, now: Now, by: Administrator, once: Once
) -> Response:
    """Add an instrument, and show its token."""
    chosen = [name for name in MEASURES if form.get(f"measure:{name}") == "yes"]
    books = [name for name in BOOKS if form.get(f"book:{name}") == "yes"]
    name = form.get("name", "")
    if taken := _is_taken(writing, name):
        return _page(request, writing, now, typed=form, wrong={"name": taken})
    try:
        added, token = instruments.add_instrument(
            writing, name=name, measures=chosen, books=books, by=by, at=now
        )
    except ValueError as wrong:
        where = "name" if chosen or books else "measures"
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
        raise HTTPException(404, _("No instrument called {name} writes here.", name=username))
    if form.get("sure") != "yes":
        where = f"instrument-{found[0].person.id}"
        words = _("Tick “yes, revoke” beside {name} first", name=found[0].person.printed_name)
        return _page(request, writing, now, wrong={where: words})
    instruments.revoke(writing, found[0], by=by, at=now)
    note(request, "token revoked", instrument=username)
    return done(once, _address("revoked", found[0]))


def _is_taken(connection: Connection, name: str) -> str:
    """Say why an instrument may not have a name; empty where it may."""
    words = name.split()
    filed = filed_name("-".join(words))
    if filed == "none":  # which stands in exports for what a person typed
        return _("An instrument may not be called “none”")
    if any(other.username == filed for other in people(connection)):
        return _("There is already an instrument or somebody called {name}", name=" ".join(words))
    return ""


def _address(what: str, instrument: Instrument) -> str:
    return f"/instruments?{urlencode({'did': what, 'who': instrument.person.username})}"


def _page(request: Request, connection: Connection, now: datetime, **said: Any) -> Response:
    mill = mills.the_mill(connection)
    day = mill.clock.shift_at(now)[0]
    taken = plan_of(connection, mill).on(day)
    state = request.app.state
    page = InstrumentsPage(
        instruments.instruments(connection),
        mill.clock,
        taken,
        today=instruments.written_since(connection, mill.clock.shift_bounds(day, 1)[0]),
        refusals=state.refusals,
        folder=state.settings.folder,
        **said,
    )
    return render(request, "instruments.html", 422 if page.wrong else 200, page=page)


router.add_api_route("/entries", write_results, methods=["POST"])  # where instruments sent before
