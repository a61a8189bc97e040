"""What routes share: connections, the form, who may send it, and how a page is answered.

A connection is opened last: once the form is here, and once who sent it may send it. Whoever sends
half a form, or may not send it, thus keeps nobody waiting.
"""

import re
import secrets
from collections.abc import AsyncIterator, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date, datetime
from typing import Annotated, Any
from urllib.parse import quote, urlencode

from fastapi import Depends, HTTPException, Path, Request
from fastapi.concurrency import run_in_threadpool
from fastapi.dependencies.models import Dependant
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from pydantic import BeforeValidator
from sqlalchemy import Connection

from app.database import reading, writing
from app.language import _, either
from app.ledger.answers import AnsweredOtherwise, answer_before, keep_answer
from app.ledger.passwords import hash_of_secret
from app.ledger.people import ROLES, Person
from app.ledger.sign_ins import judge, who_knows
from app.web.forms import form_of
from app.web.frame import Frame, frame_of, locked_of
from app.web.safety import SAFE

_LONGEST_KEY = 100
_THIS_COMPUTER = ("localhost", "127.0.0.1", "::1")  # nobody reads along within it
_NO_RESULTS = ("/sign-in", "/sign-out", "/unlock")  # are let through while nothing may be written
AGAIN = {"X-Sign-In": "again"}  # tells a script that a password would help


def _written_day(text: object) -> object:
    # a bare number would be taken for seconds since 1970; at either end of time clocks run over
    if not re.fullmatch(r"\d{4}-\d{2}-\d{2}", str(text), re.ASCII):
        raise ValueError("a day is written like 2026-07-14")
    if not "0002" <= str(text) < "9999":
        raise ValueError("no season holds this day")
    return text


Day = Annotated[date, BeforeValidator(_written_day)]
Key = Annotated[int, Path(ge=1, lt=2**31)]  # of a row: databases hold no larger one


def _now(request: Request) -> datetime:
    return request.app.state.clock()


async def _form(request: Request) -> Mapping[str, str]:
    request.state.form = {} if request.method in SAFE else await form_of(request)
    return request.state.form


Now = Annotated[datetime, Depends(_now)]
Form = Annotated[Mapping[str, str], Depends(_form)]


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
            raise _sign_in_first(request, form)
        if request.method not in SAFE and not _ours(form, frame):
            raise HTTPException(
                403, _("This page is out of date. Load it again, then save."), headers=AGAIN
            )
        if frame.person.role not in self.roles:
            raise HTTPException(
                403,
                _(
                    "This is for the {roles}; you are the {role}.",
                    roles=either(_(role) for role in self.roles),
                    role=_(frame.person.role),
                ),
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


@contextmanager
def to_write(request: Request) -> Iterator[Connection]:
    """Give a connection that writes while the block runs; refuses while nothing may be written."""
    closed = request.app.state.watch.closed
    if closed and request.url.path not in _NO_RESULTS:
        raise HTTPException(503, closed)
    with writing(request.app.state.engine) as connection:
        yield connection


def _writing(request: Request, _at: Place) -> Iterator[Connection]:
    with to_write(request) as connection:
        yield connection


Reading = Annotated[Connection, Depends(_reading, scope="function")]
Writing = Annotated[Connection, Depends(_writing, scope="function")]


def _ours(form: Mapping[str, str], frame: Frame) -> bool:
    sent = form.get("token", "").encode(errors="replace")
    return secrets.compare_digest(sent, frame.token.encode())


class Locked(Exception):
    """A form met a sign-in that is locked or over: whose it is, and what was sent where."""

    def __init__(self, person: Person, address: str, form: Mapping[str, str]) -> None:
        super().__init__(f"{person.username} unlocks first")
        self.person, self.address, self.form = person, address, form


def _sign_in_first(request: Request, form: Mapping[str, str]) -> Exception:
    locked, address = locked_of(request), request.url.path
    if request.method in SAFE:
        onward = f"{address}?{request.url.query}" if request.url.query else address
        where = "/unlock" if locked else "/sign-in"
        where += "" if onward == "/" else f"?next={quote(onward)}"
        return HTTPException(303, headers={"Location": where})
    if locked and not wants_fragment(request):
        return Locked(locked, address, form)
    words = _("You are signed out. Sign in again in another window, then save.")
    if locked:
        words = _("Your sign-in is locked: unlock it in another window, then save.")
    return HTTPException(401, words, headers=AGAIN | {"WWW-Authenticate": "Form"})


def address_of(request: Request) -> str:
    """Return the network address that asks."""
    return request.client.host if request.client else ""


@dataclass(frozen=True)
class Answering:
    """A form that is answered for the first time, and where that is kept."""

    connection: Connection
    key: str
    digest: str
    at: datetime


def _once(request: Request, form: Form, writing: Writing, now: Now) -> Answering:
    key = form.get("once", "")
    if not 0 < len(key) <= _LONGEST_KEY:
        raise HTTPException(428, _("This page is out of date. Load it again, then send it."))
    frame = getattr(request.state, "frame", None)
    who = frame.person.username if frame else ""
    said = {name: text for name, text in form.items() if name != "token"}
    # of secrets too, so that another password is not taken for the one sent before; it is a hash
    digest = hash_of_secret(urlencode([("", request.url.path), ("", who), *sorted(said.items())]))
    try:
        before = answer_before(writing, key, digest)
    except AnsweredOtherwise:
        raise HTTPException(
            422, _("This form was sent before, with other words in it. Load its page again.")
        ) from None
    if before is not None:
        raise HTTPException(303, headers={"Location": before})
    return Answering(writing, key, digest, now)


Once = Annotated[Answering, Depends(_once)]


def keep(once: Answering, address: str) -> None:
    """Keep that a form was answered: whoever sends it again is sent to `address`."""
    keep_answer(once.connection, once.key, once.digest, address, once.at)


def done(once: Answering, address: str) -> Response:
    """Answer a form that did what it says: go on to `address`, now and when it is sent again."""
    keep(once, address)
    return RedirectResponse(address, 303)


def _signed_again(request: Request, form: Form, frame: Surrounded, now: Now, _at: Place) -> bool:
    engine, address, password = request.app.state.engine, address_of(request), form.get("password")
    if not password or frame is None:
        return False
    name = frame.person.username
    with reading(engine) as connection:  # no lock: a password takes long to check
        found = who_knows(connection, name, password, address, now)
    with writing(engine) as connection:
        return judge(connection, found is not None, name, address, now)


SignedAgain = Annotated[bool, Depends(_signed_again)]


def wants_fragment(request: Request) -> bool:
    """Tell whether a script of ours asks, which wants a part of a page or a few words."""
    return "X-Fragment" in request.headers


def render(request: Request, template: str, status: int = 200, **names: Any) -> HTMLResponse:
    """Answer with a page or fragment; `names` are what its template needs."""
    state = request.app.state
    frame = getattr(request.state, "frame", None)
    page = state.templates.get_template(template).render(
        frame=frame,
        notices=state.watch.notices(frame.person.role if frame else ""),
        here=request.url.path,
        demo=state.settings.demo,
        private=state.settings.secure_cookies or request.url.hostname in _THIS_COMPUTER,
        **names,
    )
    return HTMLResponse(page, status)
