"""What routes share: connections, the form, who is signed in, and how a page is answered.

A connection is opened last: once the form is here, and once who sent it may send it. Whoever sends
half a form, or may not send it, thus keeps nobody waiting.
"""

import hashlib
import re
import secrets
from collections.abc import AsyncIterator, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Annotated, Any
from urllib.parse import parse_qsl, quote

from fastapi import Depends, HTTPException, Request
from fastapi.concurrency import run_in_threadpool
from fastapi.dependencies.models import Dependant
from fastapi.responses import HTMLResponse
from pydantic import BeforeValidator
from sqlalchemy import Connection
from starlette.requests import ClientDisconnect

from app.database import reading, writing
from app.ledger.mills import season_of, seasons, the_mill
from app.ledger.people import ROLES, Person, person_of, seen
from app.plant.calendar import week_name
from app.settings import Settings
from app.web.safety import SAFE

_FORM = "application/x-www-form-urlencoded"
_MOST_FIELDS = 1000
_LONGEST_FORM = 1_000_000  # bytes
_NOTED_EVERY = timedelta(minutes=10)


def _written_day(text: object) -> object:
    # a bare number would be taken for seconds since 1970; at either end of time clocks run over
    if not re.fullmatch(r"\d{4}-\d{2}-\d{2}", str(text), re.ASCII):
        raise ValueError("a day is written like 2026-07-14")
    if not "0002" <= str(text) < "9999":
        raise ValueError("no season holds this day")
    return text


Day = Annotated[date, BeforeValidator(_written_day)]


def _now(request: Request) -> datetime:
    return request.app.state.clock()


async def _form(request: Request) -> Mapping[str, str]:
    if request.method in SAFE:
        return {}
    if request.headers.get("content-type", "").partition(";")[0].strip().lower() != _FORM:
        raise HTTPException(415, f"The ledger takes forms only, sent as {_FORM}.")
    text = (await _body(request)).decode(errors="replace")
    try:
        sent = dict(parse_qsl(text, keep_blank_values=True, max_num_fields=_MOST_FIELDS))
    except ValueError:
        raise HTTPException(413, "This form has more boxes than any of the ledger’s.") from None
    if any("\0" in field for pair in sent.items() for field in pair):
        raise HTTPException(400, "This form holds a character that no text can hold.")
    return sent


async def _body(request: Request) -> bytes:
    body = b""
    try:
        async for piece in request.stream():
            body += piece
            if len(body) > _LONGEST_FORM:
                raise HTTPException(413, "This form is longer than any of the ledger’s.")
    except ClientDisconnect:
        raise HTTPException(400, "The form did not arrive whole.") from None
    return body


Now = Annotated[datetime, Depends(_now)]
Form = Annotated[Mapping[str, str], Depends(_form)]


@dataclass(frozen=True)
class Link:
    """A place to go: its words and its address."""

    title: str
    address: str


@dataclass(frozen=True)
class Frame:
    """What surrounds every page of a signed-in person."""

    person: Person
    token: str
    mill: str
    links: tuple[Link, ...]


async def _frame(request: Request, _whole: Form) -> Frame | None:
    async with request.app.state.places:
        request.state.frame = await run_in_threadpool(frame_of, request)
    return request.state.frame


Surrounded = Annotated[Frame | None, Depends(_frame)]


@dataclass(frozen=True)
class Allow:
    """Lets only people of some roles pass, and only forms that we gave them."""

    roles: tuple[str, ...]

    async def __call__(self, request: Request, form: Form, frame: Surrounded) -> Person:
        """Return who asks; answers with sign-in, or with a refusal, where they may not."""
        if frame is None:
            raise _sign_in_first(request)
        if request.method not in SAFE and not _ours(form, frame):
            raise HTTPException(403, "This page is out of date. Load it again, then save.")
        if frame.person.role not in self.roles:
            raise HTTPException(
                403, f"This is for the {' or '.join(self.roles)}; you are the {frame.person.role}."
            )
        return frame.person


def allow(*roles: str) -> Allow:
    """Return the dependency that lets people of `roles` pass, and gives who it is."""
    if not roles or set(roles) - set(ROLES):
        raise ValueError(f"a role is one of {ROLES}")
    return Allow(roles)


Viewer = Annotated[Person, Depends(allow(*ROLES))]


def allowances(dependant: Dependant) -> Iterator[Allow]:
    """Yield who a route lets pass, wherever among its dependencies it says so."""
    if isinstance(dependant.call, Allow):
        yield dependant.call
    for inner in dependant.dependencies:
        yield from allowances(inner)


async def _place(request: Request, form: Form, frame: Surrounded) -> AsyncIterator[None]:
    # a route's arguments come in any order, so what it allows is asked here too;
    # waiting for a place takes no thread, which those who have one need to come to an end
    for allowed in allowances(request.scope["route"].dependant):
        await allowed(request, form, frame)
    async with request.app.state.places:
        yield


# "function": a change is kept before its answer says so, not after
Place = Annotated[None, Depends(_place, scope="function")]


def _reading(request: Request, _at: Place) -> Iterator[Connection]:
    with reading(request.app.state.engine) as connection:
        yield connection


def _writing(request: Request, _at: Place) -> Iterator[Connection]:
    with writing(request.app.state.engine) as connection:
        yield connection


Reading = Annotated[Connection, Depends(_reading, scope="function")]
Writing = Annotated[Connection, Depends(_writing, scope="function")]


def _ours(form: Mapping[str, str], frame: Frame) -> bool:
    sent = form.get("token", "").encode(errors="replace")
    return secrets.compare_digest(sent, frame.token.encode())


def _sign_in_first(request: Request) -> HTTPException:
    if request.method in SAFE:
        address = request.url.path
        where = "/sign-in" if address == "/" else f"/sign-in?next={quote(address)}"
        return HTTPException(303, headers={"Location": where})
    return HTTPException(403, "You are signed out. Sign in again in another window, then save.")


def cookie_name(settings: Settings) -> str:
    """Return the name of the cookie that holds a sign-in."""
    return "__Host-ledger" if settings.secure_cookies else "ledger"


def frame_of(request: Request) -> Frame | None:
    """Return what surrounds a page for who is signed in, if anyone is."""
    state = request.app.state
    token = request.cookies.get(cookie_name(state.settings), "")
    if not token:
        return None
    now = state.clock()
    with reading(state.engine) as connection:
        found = person_of(connection, token, now)
        if found is None:
            return None
        frame = Frame(found[0], found[1], *_surroundings(connection, found[0], now))
    _note(request, token, now)
    return frame


def _note(request: Request, token: str, now: datetime) -> None:
    # not at every page: reading should not wait for those who write
    state, holder = request.app.state, hashlib.sha256(token.encode()).hexdigest()
    noted: dict[str, datetime] = state.noted
    if holder in noted and now - noted[holder] < _NOTED_EVERY:
        return
    with writing(state.engine) as connection:
        seen(connection, token, now)
    recent = {who: at for who, at in noted.copy().items() if now - at < _NOTED_EVERY}
    state.noted = recent | {holder: now}


def _surroundings(
    connection: Connection, person: Person, now: datetime
) -> tuple[str, tuple[Link, ...]]:
    try:
        mill = the_mill(connection)
    except LookupError:
        return "", ()
    day, number = mill.clock.shift_at(now)
    links = [Link("Today", "/")]
    season = season_of(connection, mill, day)
    if season:
        yesterday = day - timedelta(days=1)
        links += [Link("Open shift", f"/shifts/{day}/{number}")]
        links += [Link("Yesterday’s report", f"/days/{yesterday}")] * (yesterday in season)
        links += [Link("Week", f"/weeks/{week_name(day)}")]
    latest = season or next(iter(seasons(connection, mill)), None)
    links += [Link("Season", f"/seasons/{latest.name}")] if latest else []
    links += [Link("Manual", "/manual"), Link("Uncertainty", "/uncertainty")]
    links += [Link("Bench", "/bench")]
    links += [Link("People", "/people")] * (person.role == "administrator")
    return mill.name, tuple(links)


def is_htmx(request: Request) -> bool:
    """Tell whether htmx asks, which wants a fragment."""
    return "HX-Request" in request.headers


def render(request: Request, template: str, status: int = 200, **names: Any) -> HTMLResponse:
    """Answer with a page or fragment; `names` are what its template needs."""
    state = request.app.state
    page = state.templates.get_template(template).render(
        frame=getattr(request.state, "frame", None),
        here=request.url.path,
        demo=state.settings.demo,
        **names,
    )
    return HTMLResponse(page, status)
