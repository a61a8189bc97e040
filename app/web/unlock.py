"""Unlocking: the same person types the password again, and goes on where they were.

What was typed when the sign-in was found locked is carried along, and only ever given back to the
person who typed it.
"""

from collections.abc import Mapping

from fastapi import APIRouter, Request, Response
from fastapi.responses import JSONResponse, RedirectResponse

from app.language import _
from app.ledger.people import Person
from app.web.forms import SECRET
from app.web.frame import locked_of
from app.web.requests import Form, Locked, Now, Place, Surrounded, render
from app.web.sign_in import begin, with_cookie, within

router = APIRouter()

NOT_THEIRS = "Only whoever typed here can go on here. Another signs in on another page."

_KEPT = "kept:"
WRONG = (
    "This is not your password, or there were too many tries: wait a little and type it again. "
    "An administrator can tell whether you may still sign in."
)


@router.get("/unlock")
def unlock_page(request: Request, frame: Surrounded, _at: Place, next: str = "/") -> Response:
    """Ask the person whose sign-in is locked for the password."""
    locked = locked_of(request)
    if frame or locked is None:
        return RedirectResponse(within(next) if frame else "/sign-in", 303)
    return _page(request, locked.username, locked.printed_name, onward=within(next))


@router.post("/unlock")
def unlock(request: Request, form: Form, frame: Surrounded, now: Now, _at: Place) -> Response:
    """Begin a sign-in of the same person anew, and go on, with what was typed."""
    username, onward = form.get("username", ""), within(form.get("next", "/"))
    typist = frame.person if frame else locked_of(request)
    kept = {}
    if typist and typist.username == username:
        kept = {k.removeprefix(_KEPT): text for k, text in form.items() if k.startswith(_KEPT)}
    in_place = "application/json" in request.headers.get("accept", "")
    if in_place and (refused := _not_in_place(typist, username)):
        return refused
    begun = begin(request, username, form.get("password", ""), now)
    if begun is None:
        if in_place:
            return JSONResponse({"says": _(WRONG)}, 422)
        name = typist.printed_name if typist and typist.username == username else username
        return _page(request, username, name, onward=onward, kept=kept, error=_(WRONG))
    answer: Response = RedirectResponse(onward, 303)
    if in_place:
        answer = JSONResponse({"token": begun.secret})
    elif kept:
        answer = render(request, "send_again.html", kept=kept, onward=onward, token=begun.secret)
    return with_cookie(request, answer, begun)


def _not_in_place(typist: Person | None, username: str) -> Response | None:
    """Refuse who is not known to have typed in a page to go on in it."""
    if typist is None:
        return JSONResponse({"says": _(WRONG)}, 422)
    return None if typist.username == username else JSONResponse({"says": _(NOT_THEIRS)}, 403)


def ask_to_unlock(request: Request, met: Exception) -> Response:
    """Answer a form that met a locked sign-in, without losing what was typed."""
    assert isinstance(met, Locked)  # noqa: S101  how handlers are typed
    person: Person = met.person
    kept = {k: text for k, text in met.form.items() if k not in SECRET | {"token"}}
    answer = _page(
        request, person.username, person.printed_name, onward=met.address, kept=kept, status=401
    )
    answer.headers["WWW-Authenticate"] = "Form"
    return answer


def _page(
    request: Request,
    username: str,
    printed_name: str,
    *,
    onward: str,
    kept: Mapping[str, str] | None = None,
    error: str = "",
    status: int = 200,
) -> Response:
    return render(
        request, "unlock.html", 422 if error else status,
        username=username, printed_name=printed_name, onward=onward,
        kept={f"{_KEPT}{name}": text for name, text in (kept or {}).items()}, error=error,
    )  # fmt: skip
