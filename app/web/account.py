"""One's own account: setting a password with a code, changing it, and where one is signed in."""

from dataclasses import dataclass, field
from typing import Annotated

from fastapi import APIRouter, Depends, Request, Response
from sqlalchemy import Connection

from app.database import reading
from app.language import _
from app.ledger import people, sign_ins
from app.ledger.mills import the_mill
from app.ledger.passwords import hash_of_new, hash_of_secret
from app.ledger.people import Person, site_names
from app.ledger.sign_ins import SignIn
from app.plant.calendar import Clock
from app.web.forms import WithProblems
from app.web.frame import token_of
from app.web.requests import (
    Form,
    Now,
    Once,
    Place,
    Reading,
    SignedAgain,
    Viewer,
    Writing,
    address_of,
    done,
    render,
)
from app.web.security_log import note
from app.web.sign_in import with_language

router = APIRouter()

WRONG_CODE = (
    "The name and code do not fit together, the code was used or is over, or there were too many "
    "tries: wait a little, or ask an administrator for a new code"
)
NOT_YOURS = "This is not your password, or there were too many tries: wait a little"
NOT_ALIKE = "This is not what you typed above"
_DONE = {
    "password": "Your password is changed.",
    "ended": "Your other sign-ins are ended.",
    "language": "Your language is chosen.",
}


@dataclass(frozen=True)
class PasswordPage(WithProblems):
    """The form with which somebody sets a password, and what is wrong with it."""

    username: str = ""
    wrong: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class AccountPage(PasswordPage):
    """Where a person is signed in, and the form that changes their password."""

    clock: Clock | None = None
    here: SignIn | None = None
    others: list[SignIn] = field(default_factory=list)
    done: str = ""


@router.get("/set-password")
def code_page(request: Request, _at: Place, username: str = "") -> Response:
    """Ask for a name, a code and a new password."""
    return render(request, "set_password.html", page=PasswordPage(username))


NewHash = tuple[str, dict[str, str]]  # the hash of a new password, or what is wrong with it


def _hashed_by_code(request: Request, form: Form, now: Now, _at: Place) -> NewHash:
    # before the lock is taken: judging and hashing a password take long
    username, address = form.get("username", ""), address_of(request)
    with reading(request.app.state.engine) as connection:
        if sign_ins.wait_before(connection, username, address, now):
            return "", {}
        who = people.who_has_code(connection, username, form.get("code", ""), now)
        return _new_hash(connection, who, form) if who else ("", {})


def _hashed_of_own(request: Request, form: Form, who: Viewer, _at: Place) -> NewHash:
    with reading(request.app.state.engine) as connection:
        return _new_hash(connection, who, form)


@router.post("/set-password")
def set_password(
    request: Request,
    form: Form,
    now: Now,
    hashed: Annotated[NewHash, Depends(_hashed_by_code)],
    once: Once,
) -> Response:
    """Set a password with a code that an administrator gave."""
    writing, username, address = once.connection, form.get("username", ""), address_of(request)
    person = None
    if not sign_ins.wait_before(writing, username, address, now):
        person = people.who_has_code(writing, username, form.get("code", ""), now)
    right = person is not None
    if not sign_ins.judge(writing, right, username, address, now) or person is None:
        note(request, "code refused", username=username)
        page = PasswordPage(username, {"code": _(WRONG_CODE)})
        return render(request, "set_password.html", 422, page=page)
    new_hash, wrong = hashed
    if wrong or not new_hash:
        return render(request, "set_password.html", 422, page=PasswordPage(username, wrong))
    people.set_password(writing, person, new_hash, at=now)
    note(request, "password set", username=username)
    return done(once, "/sign-in?done=password")


def _new_hash(connection: Connection, person: Person, form: Form) -> NewHash:
    """Return the hash of the new password, or what is wrong with it."""
    password = form.get("new_password", "")
    if password != form.get("again", ""):
        return "", {"again": _(NOT_ALIKE)}
    names = site_names(connection, person.username, person.printed_name)
    try:
        return hash_of_new(password, names), {}
    except ValueError as weak:
        return "", {"new_password": str(weak)}


@router.get("/account")
def account_page(
    request: Request, reading: Reading, now: Now, who: Viewer, did: str = ""
) -> Response:
    """Show who one is, and where one is signed in."""
    return _account(request, reading, now, who, said=_(_DONE.get(did, "")))


@router.post("/account/password")
def change_password(
    request: Request,
    who: Viewer,
    again: SignedAgain,
    hashed: Annotated[NewHash, Depends(_hashed_of_own)],
    writing: Writing,
    now: Now,
    once: Once,
) -> Response:
    """Change one's own password; the old one is asked for, and other sign-ins end."""
    if not again:
        note(request, "password refused")
        return _account(request, writing, now, who, wrong={"password": _(NOT_YOURS)})
    new_hash, wrong = hashed
    if wrong:
        return _account(request, writing, now, who, wrong=wrong)
    people.set_password(writing, who, new_hash, at=now, keeping=token_of(request))
    note(request, "password set", username=who.username)
    return done(once, "/account?did=password")


@router.post("/account/language")
def choose_language(
    request: Request, who: Viewer, writing: Writing, form: Form, now: Now, once: Once
) -> Response:
    """Speak to the person who asks in the language they choose."""
    language = form.get("language", "")
    try:
        people.choose_language(writing, who, language, at=now)
    except ValueError as wrong:
        return _account(request, writing, now, who, wrong={"language": str(wrong)})
    return with_language(request, done(once, "/account?did=language"), language)


@router.post("/account/others")
def end_others(request: Request, who: Viewer, writing: Writing, once: Once) -> Response:
    """End every other sign-in of the person who asks."""
    sign_ins.end_others(writing, who, token_of(request))
    note(request, "other sign-ins ended")
    return done(once, "/account?did=ended")


def _account(
    request: Request,
    connection: Connection,
    now: Now,
    who: Person,
    *,
    said: str = "",
    wrong: dict[str, str] | None = None,
) -> Response:
    mine, here = hash_of_secret(token_of(request)), None
    others = []
    for each in sign_ins.sign_ins_of(connection, who, now):
        if each.id == mine:
            here = each
        else:
            others.append(each)
    clock = the_mill(connection).clock
    page = AccountPage(who.username, wrong or {}, clock, here, others, said)
    return render(request, "account.html", 422 if wrong else 200, page=page)
