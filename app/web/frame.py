"""What surrounds a page: who is signed in, and where they may go."""

import hashlib
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime, timedelta

from fastapi import Request
from sqlalchemy import Connection
from sqlalchemy.exc import OperationalError

from app.database import reading, writing
from app.language import _
from app.ledger.mills import season_of, seasons, the_mill
from app.ledger.people import Person
from app.ledger.sign_ins import holder_of, person_of, seen
from app.plant.calendar import week_name
from app.settings import Settings

_NOTED_EVERY = timedelta(minutes=1)


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


def cookie_name(settings: Settings) -> str:
    """Return the name of the cookie that holds a sign-in."""
    return "__Host-ledger" if settings.secure_cookies else "ledger"


def token_of(request: Request) -> str:
    """Return what the cookie of a sign-in holds."""
    return request.cookies.get(cookie_name(request.app.state.settings), "")


def frame_of(request: Request) -> Frame | None:
    """Return what surrounds a page for who is signed in, if anyone is.

    Whose sign-in is locked or over is noted as the request's `locked`.
    """
    state, token = request.app.state, token_of(request)
    if not token:
        return None
    now = state.clock()
    with reading(state.engine) as connection:
        found = person_of(connection, token, now)
        if found is None:
            request.state.locked = holder_of(connection, token)
            return None
        frame = Frame(found[0], found[1], *_surroundings(connection, now))
    _note(request, token, now)
    return frame


def locked_of(request: Request) -> Person | None:
    """Return whose sign-in is locked or over, where a request showed one."""
    found: Person | None = getattr(request.state, "locked", None)
    return found


def _note(request: Request, token: str, now: datetime) -> None:
    # not at every page: reading should not wait for those who write
    state, holder = request.app.state, hashlib.sha256(token.encode()).hexdigest()
    noted: dict[str, datetime] = state.noted
    if holder in noted and now - noted[holder] < _NOTED_EVERY:
        return
    recent = {who: at for who, at in noted.copy().items() if now - at < _NOTED_EVERY}
    state.noted = recent | {holder: now}
    with suppress(OperationalError, TimeoutError), writing(state.engine) as connection:
        seen(connection, token, now)


def _surroundings(connection: Connection, now: datetime) -> tuple[str, tuple[Link, ...]]:
    try:
        mill = the_mill(connection)
    except LookupError:
        return "", ()
    day, number = mill.clock.shift_at(now)
    links = [Link(_("Today"), "/")]
    season = season_of(connection, mill, day)
    if season:
        yesterday = day - timedelta(days=1)
        links += [Link(_("Shift"), f"/shifts/{day}/{number}"), Link(_("Books"), "/books")]
        links += [Link(_("Yesterday"), f"/days/{yesterday}")] * (yesterday in season)
        links += [Link(_("Week"), f"/weeks/{week_name(day)}")]
    latest = season or next(iter(seasons(connection, mill)), None)
    links += [Link(_("Season"), f"/seasons/{latest.name}")] if latest else []
    links += [Link(_("Trail"), "/trail")]
    links += [Link(_("Manual"), "/manual"), Link(_("Uncertainty"), "/uncertainty")]
    # the pages of the plant lead on to people and keeping, for those who may
    links += [Link(_("Bench"), "/bench"), Link(_("Plant"), "/plant")]
    return mill.name, tuple(links)
