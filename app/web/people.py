"""The people who may sign in."""

from typing import Annotated

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


@router.get("/people")
def people_page(request: Request, reading: Reading, _by: Administrator) -> Response:
    """Show everybody, with a form for one more."""
    return _page(request, reading, _EMPTY)


@router.post("/people")
def add_person(
    request: Request, writing: Writing, form: Form, now: Now, _by: Administrator
) -> Response:
    """Add a person."""
    typed = {name: form.get(name, "") for name in _EMPTY}
    try:
        with writing.begin_nested():
            people.add_person(writing, **typed, password=form.get("password", ""), at=now)
    except IntegrityError:
        error = f"There is already somebody with the user name {typed['username'].strip()}"
        return _page(request, writing, typed, error, 422)
    except ValueError as wrong:
        return _page(request, writing, typed, str(wrong), 422)
    return RedirectResponse("/people", 303)


@router.post("/people/{username}/deactivation")
def deactivate(writing: Writing, username: str, by: Administrator) -> Response:
    """Keep a person from signing in; what they wrote stays theirs."""
    person = next((p for p in people.people(writing) if p.username == username), None)
    if person is None:
        raise HTTPException(404, f"There is nobody with the user name {username}.")
    if person.id == by.id:
        raise HTTPException(403, "You cannot deactivate yourself: another administrator can.")
    people.deactivate(writing, person)
    return RedirectResponse("/people", 303)


def _page(
    request: Request,
    connection: Connection,
    typed: dict[str, str],
    error: str = "",
    status: int = 200,
) -> Response:
    everybody = people.people(connection)
    return render(
        request, "people.html", status, people=everybody, typed=typed, error=error, roles=ROLES
    )
