"""Signing in and out."""

from fastapi import APIRouter, Depends, Request, Response
from fastapi.responses import RedirectResponse

from app.database import reading, writing
from app.ledger import people
from app.ledger.people import ROLES
from app.web.requests import Form, Now, Place, Writing, allow, cookie_name, render

router = APIRouter()

WRONG = (
    "The name and password do not fit together, or there were too many tries: "
    "wait a little and type both again."
)


@router.get("/sign-in")
def sign_in_page(request: Request, next: str = "/") -> Response:
    """Ask for a name and a password."""
    return _page(request, "", next)


@router.post("/sign-in")
def sign_in(request: Request, form: Form, now: Now, _at: Place) -> Response:
    """Begin a sign-in, and go on to where the person was going."""
    settings, engine = request.app.state.settings, request.app.state.engine
    username, onward = form.get("username", ""), form.get("next", "/")
    address = request.client.host if request.client else ""
    with reading(engine) as connection:  # no lock: a password takes long to check
        found = people.who_knows(connection, username, form.get("password", ""), address, now)
    with writing(engine) as connection:
        token = people.let_in(connection, found, username, address, now)
        if token:
            people.sign_out(connection, request.cookies.get(cookie_name(settings), ""))
    if token is None:
        return _page(request, username, onward, WRONG, 422)
    answer = RedirectResponse(_within(onward), 303)
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
    name = cookie_name(request.app.state.settings)
    people.sign_out(writing, request.cookies.get(name, ""))
    answer = RedirectResponse("/sign-in", 303)
    answer.delete_cookie(name, secure=request.app.state.settings.secure_cookies)
    return answer


def _within(address: str) -> str:
    """Return `address` where it is one of ours, else the first page."""
    ours = address.startswith("/") and not address.startswith(("//", "/\\"))
    return address if ours and address.isprintable() else "/"


def _page(
    request: Request, username: str, onward: str, error: str = "", status: int = 200
) -> Response:
    demo_people = request.app.state.demo_people
    return render(
        request, "sign_in.html", status,
        username=username, onward=onward, error=error, demo_people=demo_people,
    )  # fmt: skip
