"""Signing in and out."""

from dataclasses import dataclass
from datetime import datetime
from urllib.parse import quote

from fastapi import APIRouter, Depends, Request, Response
from fastapi.responses import RedirectResponse

from app.database import reading, writing
from app.language import LANGUAGES, _
from app.ledger import sign_ins
from app.ledger.people import ROLES, Person
from app.web.frame import cookie_name, token_of
from app.web.languages import COOKIE
from app.web.requests import Form, Now, Place, Writing, address_of, allow, render
from app.web.security_log import note

router = APIRouter()

WRONG = (
    "The name and password do not fit together, or there were too many tries: "
    "wait a little and type both again."
)
_DONE = {"password": "Your new password is set. Sign in with it."}


@router.get("/sign-in")
def sign_in_page(request: Request, next: str = "/", done: str = "") -> Response:
    """Ask for a name and a password."""
    return _page(request, "", next, done=_(_DONE.get(done, "")))


@router.post("/sign-in")
def sign_in(request: Request, form: Form, now: Now, _at: Place) -> Response:
    """Begin a sign-in, and go on to where the person was going."""
    username, onward = form.get("username", ""), form.get("next", "/")
    begun = begin(request, username, form.get("password", ""), now)
    if begun is None:
        return _page(request, username, onward, error=_(WRONG))
    return with_cookie(request, RedirectResponse(within(onward), 303), begun)


@router.post("/sign-in/language")
def choose_language(request: Request, form: Form) -> Response:
    """Speak to whoever has not signed in in a language, until they have."""
    answer = RedirectResponse(f"/sign-in?next={quote(within(form.get('next', '/')))}", 303)
    return with_language(request, answer, form.get("language"))


@dataclass(frozen=True)
class Begun:
    """A sign-in that has begun: its token, whose it is, and the secret of their forms."""

    token: str
    person: Person
    secret: str


def begin(request: Request, username: str, password: str, now: datetime) -> Begun | None:
    """Return a new sign-in, in place of the one before; None for a wrong password."""
    engine, address = request.app.state.engine, address_of(request)
    with reading(engine) as connection:  # no lock: a password takes long to check
        found = sign_ins.who_knows(connection, username, password, address, now)
    with writing(engine) as connection:
        token = sign_ins.let_in(connection, found, username, password, address, now)
        found_again = sign_ins.person_of(connection, token, now) if token else None
        if token:
            sign_ins.sign_out(connection, token_of(request))
    note(request, "signed in" if token else "sign-in failed", username=username)
    return Begun(token, *found_again) if token and found_again else None


def with_cookie(request: Request, answer: Response, begun: Begun) -> Response:
    """Give a browser the token of its sign-in, and the language that the person chose."""
    _give(request, answer, cookie_name(request.app.state.settings), begun.token)
    return with_language(request, answer, begun.person.language)


def with_language(request: Request, answer: Response, language: str | None) -> Response:
    """Give a browser the language to ask in, where one is offered and was chosen."""
    if language and language in LANGUAGES:
        _give(request, answer, COOKIE, language)
    return answer


def _give(request: Request, answer: Response, name: str, text: str) -> None:
    secure = request.app.state.settings.secure_cookies
    answer.set_cookie(name, text, httponly=True, samesite="lax", secure=secure)


@router.post("/sign-out", dependencies=[Depends(allow(*ROLES))])
def sign_out(request: Request, writing: Writing) -> Response:
    """End the sign-in of this browser."""
    settings = request.app.state.settings
    sign_ins.sign_out(writing, token_of(request))
    note(request, "signed out")
    answer = RedirectResponse("/sign-in", 303)
    for cookie in (cookie_name(settings), COOKIE):  # whoever comes next speaks their own
        answer.delete_cookie(cookie, secure=settings.secure_cookies)
    return answer


def within(address: str) -> str:
    """Return `address` where it is one of ours, else the first page."""
    ours = address.startswith("/") and not address.startswith(("//", "/\\"))
    return address if ours and address.isprintable() else "/"


def _page(
    request: Request, username: str, onward: str, *, error: str = "", done: str = ""
) -> Response:
    return render(
        request, "sign_in.html", 422 if error else 200,
        username=username, onward=onward, error=error, done=done,
        demo_people=request.app.state.demo_people,
    )  # fmt: skip
