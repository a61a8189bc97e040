"""What routes share: connections, the form, who is signed in, and how a page is answered."""

import secrets
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Annotated, Any
from urllib.parse import quote

from fastapi import Depends, HTTPException, Request
from fastapi.responses import HTMLResponse
from sqlalchemy import Connection

from app.database import reading, writing
from app.ledger.mills import season_of, seasons, the_mill
from app.ledger.people import ROLES, Person, person_of, seen
from app.plant.calendar import week_name
from app.settings import Settings
from app.web.safety import SAFE

_MOST_FIELDS = 1000
_NOTED_EVERY = timedelta(minutes=10)


def _reading(request: Request) -> Iterator[Connection]:
    with reading(request.app.state.engine) as connection:
        yield connection


def _writing(request: Request) -> Iterator[Connection]:
    with writing(request.app.state.engine) as connection:
        yield connection


def _now(request: Request) -> datetime:
    return request.app.state.clock()


async def _form(request: Request) -> Mapping[str, str]:
    if request.method in SAFE:
        return {}
    sent = await request.form(max_files=0, max_fields=_MOST_FIELDS)
    return {name: value for name, value in sent.items() if isinstance(value, str)}


# "function": a change is kept before its answer says so, not after
Reading = Annotated[Connection, Depends(_reading, scope="function")]
Writing = Annotated[Connection, Depends(_writing, scope="function")]
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


@dataclass(frozen=True)
class Allow:
    """Lets only people of some roles pass, and only forms that we gave them."""

    roles: tuple[str, ...]

    def __call__(self, request: Request, form: Form) -> Person:
        """Return who asks; answers with sign-in, or with a refusal, where they may not."""
        frame = frame_of(request)
        if frame is None:
            raise _sign_in_first(request)
        request.state.frame = frame
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


def _ours(form: Mapping[str, str], frame: Frame) -> bool:
    return secrets.compare_digest(form.get("token", "").encode(), frame.token.encode())


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
    noted: dict[str, datetime] = request.app.state.noted
    if now - noted.get(token, now - _NOTED_EVERY) >= _NOTED_EVERY:
        with writing(request.app.state.engine) as connection:
            seen(connection, token, now)
        noted[token] = now


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
    links += [Link("Figures", "/figures")]
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
