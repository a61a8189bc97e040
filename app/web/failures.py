"""What is answered where something could not be done: error pages, and words for programs."""

import logging
import secrets
from collections.abc import Mapping

from fastapi import FastAPI, Request, Response
from fastapi.exceptions import RequestValidationError
from fastapi.responses import PlainTextResponse, RedirectResponse
from sqlalchemy.exc import DBAPIError
from starlette.exceptions import HTTPException

from app.language import _
from app.locks import Busy
from app.web.forms import SECRET
from app.web.frame import frame_of
from app.web.problems import asks_as_a_program, problem
from app.web.requests import render, wants_fragment
from app.web.safety import SAFE
from app.web.security_log import note

_log = logging.getLogger("uvicorn.error")

_SAYS = {
    401: "Sign in first",
    403: "You may not do this",
    404: "There is no such page",
    405: "There is no such page",
    413: "That is too much at once",
    415: "The ledger cannot read this",
    428: "This page is out of date",
    500: "Something went wrong here",
    501: "This is not installed here",
    502: "Nobody knows whether this was saved",
    503: "Nothing was saved",
    507: "Nothing was saved",
}
_COULD_NOT = "The ledger could not do this"


def answer_failures(app: FastAPI) -> None:
    """Let an application answer, in words, what it refuses and where it fails."""
    app.add_exception_handler(HTTPException, _refused)
    app.add_exception_handler(RequestValidationError, _unknown_address)
    for error in (DBAPIError, Busy):
        app.add_exception_handler(error, _not_written)
    app.add_exception_handler(Exception, _failed)


def _refused(request: Request, refusal: Exception) -> Response:
    assert isinstance(refusal, HTTPException)  # noqa: S101  how handlers are typed
    headers = refusal.headers or {}
    if "Location" in headers:
        return RedirectResponse(headers["Location"], refusal.status_code)
    stock = refusal.detail in ("Not Found", "Method Not Allowed")
    detail = "" if stock else refusal.detail
    return _error_page(request, refusal.status_code, detail, headers)


def _unknown_address(request: Request, _error: Exception) -> Response:
    return _error_page(request, 404, "")


_NO_ROOM = ("disk is full", "No space left")
_NO_ROOM_ERRORS = ("SQLITE_IOERR_WRITE", "SQLITE_IOERR_SHMSIZE")  # "disk I/O error", like others
_NO_TURN = ("locked", "lock timeout")


def _not_written(request: Request, error: Exception) -> Response:
    """Say why the database did not take something, where that is for now only."""
    said = getattr(error, "orig", error)  # without what was typed
    error_name = getattr(said, "sqlite_errorname", "")
    if error_name in _NO_ROOM_ERRORS or any(words in str(said) for words in _NO_ROOM):
        detail = _(
            "The disk of the ledger is full. Tell your administrator, and send it again then."
        )
        return _error_page(request, 507, detail)
    if isinstance(error, Busy) or any(words in str(said) for words in _NO_TURN):
        detail = _("Somebody else was writing for too long. Send it again.")
        return _error_page(request, 503, detail)
    lost = isinstance(error, DBAPIError) and error.connection_invalidated
    if lost and request.method not in SAFE:
        detail = _("The connection to the database broke. Send it again: it counts once.")
        return _error_page(request, 502, detail)
    return _failed(request, error)


def _failed(request: Request, error: Exception) -> Response:
    reference = secrets.token_hex(4)
    _log.error("%s %s failed (%s)", request.method, request.url.path, reference, exc_info=error)
    note(request, "failed", reference=reference, error=type(error).__name__)
    said = _("Nothing was saved. Tell your administrator: {reference}.", reference=reference)
    return _error_page(request, 500, said)


def _error_page(
    request: Request, status: int, detail: str, headers: Mapping[str, str] | None = None
) -> Response:
    title = _(_SAYS.get(status, _COULD_NOT))
    title = _("This is not there") if status == 404 and detail else title
    if asks_as_a_program(request):
        return problem(status, [detail or title], headers)
    if wants_fragment(request):
        return PlainTextResponse(detail or title, status, headers)
    unsaved = _unsaved(request) if status >= 500 else {}
    if status != 500 and not hasattr(request.state, "frame"):
        request.state.frame = frame_of(request)
    page = render(request, "error.html", status, title=title, detail=detail, unsaved=unsaved)
    page.headers.update(headers or {})
    return page


def _unsaved(request: Request) -> dict[str, str]:
    """Return what was typed into a form that could not be kept, so that it can be sent again."""
    form = getattr(request.state, "form", {})
    return {name: text for name, text in form.items() if name not in SECRET}
