"""The people who may sign in."""

from dataclasses import dataclass, field
from typing import Annotated
from urllib.parse import urlencode

from fastapi import APIRouter, Depends, HTTPException, Request, Response
from fastapi.responses import RedirectResponse
from sqlalchemy import Connection
from sqlalchemy.exc import IntegrityError

from app.ledger import people
from app.ledger.people import ROLES, Person
from app.web.requests import Form, Now, Reading, Writing, allow, render

router = APIRouter()

Administrator = Annotated[Person, Depends(allow("administrator"))]

_EMPTY = {"username": "", "printed_name": "", "role": "chemist"}
_DONE = {
    "added": "was added and may sign in.",
    "deactivated": "was deactivated and is signed out.",
    "activated": "may sign in again, with the password from before.",
}


@dataclass(frozen=True)
class PeoplePage:
    """Everybody, what was done, and what was not: a heading, why, and the box it is about."""

    people: list[Person]
    typed: dict[str, str] = field(default_factory=lambda: dict(_EMPTY))
    done: str = ""
    not_done: str = ""
    error: str = ""
    where: str = "#username"
    roles: tuple[str, ...] = ROLES


@router.get("/people")
def people_page(
    request: Request, reading: Reading, _by: Administrator, done: str = "", who: str = ""
) -> Response:
    """Show everybody, with a form for one more."""
    everybody = people.people(reading)
    names = [person.printed_name for person in everybody if person.username == who]
    note = f"{names[0]} {_DONE[done]}" if names and done in _DONE else ""
    return render(request, "people.html", page=PeoplePage(everybody, done=note))


@router.post("/people")
def add_person(
    request: Request, writing: Writing, form: Form, now: Now, by: Administrator
) -> Response:
    """Add a person."""
    typed = {name: form.get(name, "") for name in _EMPTY}
    try:
        with writing.begin_nested():
            added = people.add_person(
                writing, **typed, password=form.get("password", ""), by=by, at=now
            )
    except IntegrityError:
        error = f"There is already somebody with the user name {typed['username'].strip()}"
        return _not_added(request, writing, typed, error)
    except ValueError as wrong:
        return _not_added(request, writing, typed, str(wrong))
    return _done("added", added)


@router.post("/people/{username}/deactivation")
def deactivate(
    request: Request, writing: Writing, form: Form, now: Now, username: str, by: Administrator
) -> Response:
    """Keep a person from signing in, if it is meant; what they wrote stays theirs."""
    person = _named(writing, username)
    if person.id == by.id:
        raise HTTPException(403, "You cannot deactivate yourself: another administrator can.")
    if form.get("sure") != "yes":
        error = f"Tick “yes, deactivate” beside {person.printed_name} first"
        return _not_changed(request, writing, "Nobody was deactivated", error, person)
    people.deactivate(writing, person, by=by, at=now)
    return _done("deactivated", person)


@router.post("/people/{username}/activation")
def activate(
    request: Request, writing: Writing, now: Now, username: str, by: Administrator
) -> Response:
    """Let a person who was deactivated sign in again."""
    person = _named(writing, username)
    try:
        people.activate(writing, person, by=by, at=now)
    except ValueError as wrong:
        return _not_changed(request, writing, "Nobody was activated", str(wrong), person)
    return _done("activated", person)


def _named(connection: Connection, username: str) -> Person:
    person = next((p for p in people.people(connection) if p.username == username), None)
    if person is None:
        raise HTTPException(404, f"There is nobody with the user name {username}.")
    return person


def _done(what: str, person: Person) -> Response:
    return RedirectResponse(f"/people?{urlencode({'done': what, 'who': person.username})}", 303)


def _not_added(
    request: Request, connection: Connection, typed: dict[str, str], error: str
) -> Response:
    page = PeoplePage(people.people(connection), typed, not_done="Nobody was added", error=error)
    return render(request, "people.html", 422, page=page)


def _not_changed(
    request: Request, connection: Connection, not_done: str, error: str, person: Person
) -> Response:
    everybody, where = people.people(connection), f"#person-{person.id}"
    page = PeoplePage(everybody, not_done=not_done, error=error, where=where)
    return render(request, "people.html", 422, page=page)
