"""The people who may sign in."""

from dataclasses import dataclass, field
from typing import Annotated
from urllib.parse import urlencode

from fastapi import APIRouter, Depends, HTTPException, Request, Response
from sqlalchemy import Connection

from app.language import _
from app.ledger import people
from app.ledger.people import INSTRUMENT, ROLES, Person
from app.web.requests import Form, Now, Once, Reading, Writing, allow, done, keep, render
from app.web.security_log import note

router = APIRouter()

Administrator = Annotated[Person, Depends(allow("administrator"))]

_EMPTY = {"username": "", "printed_name": "", "role": "chemist"}
_DONE = {
    "added": "{name} was added. The code was shown once; if it is lost, give a new one.",
    "code": "{name} has a new code. It was shown once; if it is lost, give another.",
    "role": "{name} has another role now.",
    "deactivated": "{name} was deactivated and is signed out.",
    "activated": "{name} may sign in again, with the password from before.",
}


@dataclass(frozen=True)
class PeoplePage:
    """Everybody, what was done, and what was not: a heading, why, and the box it is about.

    `code` is one just given, with whose it is: it is on this page and nowhere else. `address` is
    where a password is set with it.
    """

    people: list[Person]
    typed: dict[str, str] = field(default_factory=lambda: dict(_EMPTY))
    done: str = ""
    code: tuple[Person, str] | None = None
    address: str = ""
    not_done: str = ""
    error: str = ""
    where: str = "#username"
    roles: tuple[str, ...] = ROLES


@router.get("/people")
def people_page(
    request: Request, reading: Reading, _by: Administrator, done: str = "", who: str = ""
) -> Response:
    """Show everybody, with a form for one more."""
    everybody = _people(reading)
    names = [person.printed_name for person in everybody if person.username == who]
    said = _(_DONE[done], name=names[0]) if names and done in _DONE else ""
    return render(request, "people.html", page=PeoplePage(everybody, done=said))


@router.post("/people")
def add_person(
    request: Request, writing: Writing, form: Form, now: Now, by: Administrator, once: Once
) -> Response:
    """Add a person, and show the code with which they set a password."""
    typed = {name: form.get(name, "") for name in _EMPTY}
    try:
        added = people.add_person(writing, **typed, by=by, at=now)
    except ValueError as wrong:
        page = PeoplePage(_people(writing), typed, not_done=_("Nobody was added"), error=str(wrong))
        return render(request, "people.html", 422, page=page)
    note(request, "person added", person=added.username, role=added.role)
    return _give_code(request, writing, added, by, now, once, "added")


@router.post("/people/{username}/code")
def give_code(
    request: Request, writing: Writing, now: Now, username: str, by: Administrator, once: Once
) -> Response:
    """Give a person a new code with which they set a password."""
    person = _named(writing, username)
    if not person.active:
        raise HTTPException(
            422, _("{name} is deactivated: activate them first.", name=person.printed_name)
        )
    return _give_code(request, writing, person, by, now, once, "code")


@router.post("/people/{username}/role")
def change_role(
    request: Request, writing: Writing, form: Form, now: Now, username: str, by: Administrator,
    once: Once,
) -> Response:  # fmt: skip
    """Give a person another role."""
    person, role = _named(writing, username), form.get("role", "")
    if person.id == by.id:
        raise HTTPException(403, _("You cannot change your own role: another administrator can."))
    try:
        people.change_role(writing, person, role, by=by, at=now)
    except ValueError as wrong:
        return _not_changed(request, writing, _("No role was changed"), str(wrong), person)
    note(request, "role changed", person=person.username, role=role)
    return _done(once, "role", person)


@router.post("/people/{username}/deactivation")
def deactivate(
    request: Request, writing: Writing, form: Form, now: Now, username: str, by: Administrator,
    once: Once,
) -> Response:  # fmt: skip
    """Keep a person from signing in, if it is meant; what they wrote stays theirs."""
    person = _named(writing, username)
    if person.id == by.id:
        raise HTTPException(403, _("You cannot deactivate yourself: another administrator can."))
    if form.get("sure") != "yes":
        error = _("Tick “yes, deactivate” beside {name} first", name=person.printed_name)
        return _not_changed(request, writing, _("Nobody was deactivated"), error, person)
    people.deactivate(writing, person, by=by, at=now)
    note(request, "deactivated", person=person.username)
    return _done(once, "deactivated", person)


@router.post("/people/{username}/activation")
def activate(
    request: Request, writing: Writing, now: Now, username: str, by: Administrator, once: Once
) -> Response:
    """Let a person who was deactivated sign in again."""
    person = _named(writing, username)
    try:
        people.activate(writing, person, by=by, at=now)
    except ValueError as wrong:
        return _not_changed(request, writing, _("Nobody was activated"), str(wrong), person)
    note(request, "activated", person=person.username)
    return _done(once, "activated", person)


def _people(connection: Connection) -> list[Person]:
    return [person for person in people.people(connection) if person.role != INSTRUMENT]


def _named(connection: Connection, username: str) -> Person:
    person = people.person_named(connection, username)
    if person is None or person.role == INSTRUMENT:
        raise HTTPException(404, _("There is nobody with the user name {name}.", name=username))
    return person


def _give_code(
    request: Request,
    writing: Connection,
    person: Person,
    by: Person,
    now: Now,
    once: Once,
    what: str,
) -> Response:
    code = people.give_code(writing, person, by=by, at=now)
    note(request, "code given", person=person.username)
    keep(once, _address(what, person))  # a form sent again shows no code: it is not kept
    address = f"{request.base_url}set-password"
    page = PeoplePage(_people(writing), code=(person, code), address=address)
    return render(request, "people.html", page=page)


def _done(once: Once, what: str, person: Person) -> Response:
    return done(once, _address(what, person))


def _address(what: str, person: Person) -> str:
    return f"/people?{urlencode({'done': what, 'who': person.username})}"


def _not_changed(
    request: Request, connection: Connection, not_done: str, error: str, person: Person
) -> Response:
    everybody, where = _people(connection), f"#person-{person.id}"
    page = PeoplePage(everybody, not_done=not_done, error=error, where=where)
    return render(request, "people.html", 422, page=page)
