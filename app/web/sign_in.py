"""Signing in and out."""

from datetime import datetime

from fastapi import APIRouter, Depends, Request, Response
from fastapi.responses import RedirectResponse

from app.database import reading, writing
from app.ledger import sign_ins
from app.ledger.people import ROLES
from app.web.frame import cookie_name, token_of
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
    return _page(request, "", next, done=_DONE.get(done, ""))


@router.post("/sign-in")
def sign_in(request: Request, form: Form, now: Now, _at: Place) -> Response:
    """Begin a sign-in, and go on to where the person was going."""
    username, onward = form.get("username", ""), form.get("next", "/")
    token = begin(request, username, form.get("password", ""), now)
    if token is None:
        return _page(request, username, onward, error=WRONG)
    return with_cookie(request, RedirectResponse(within(onward), 303), token)


def begin(request: Request, username: str, password: str, now: datetime) -> str | None:
    """Return the token of a new sign-in, in place of the one before; None for a wrong password."""
    engine, address = request.app.state.engine, address_of(request)
    with reading(engine) as connection:  # no lock: a password takes long to check
        found = sign_ins.who_knows(connection, username, password, address, now)
    with writing(engine) as connection:
        token = sign_ins.let_in(connection, found, username, password, address, now)
        if token:
            sign_ins.sign_out(connection, token_of(request))
    note(request, "signed in" if token else "sign-in failed", username=username)
    return token


def with_cookie(request: Request, answer: Response, token: str) -> Response:
    """Give a browser the token of its sign-in."""
    settings = request.app.state.settings
    answer.set_cookie(
        cookie_name(settings),
        token,
        httponly=True,
        samesite="lax",
        secure=settings.secure_cookies,
    )
    return answer


@router.post("/sign-out", dependencies=[Depends(allow(*ROLES))])
def sign_out(request: Request, writing: Writing) -> Response:
    """End the sign-in of this browser."""
    settings = request.app.state.settings
    sign_ins.sign_out(writing, token_of(request))
    note(request, "signed out")
    answer = RedirectResponse("/sign-in", 303)
    answer.delete_cookie(cookie_name(settings), secure=settings.secure_cookies)
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
