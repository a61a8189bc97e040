"""Puts the application together: engine, clock, pages, routes and error pages."""

import asyncio
import logging
import secrets
from collections.abc import AsyncIterator, Callable, Mapping
from contextlib import asynccontextmanager
from datetime import timedelta

from fastapi import FastAPI, Request, Response
from fastapi.exceptions import RequestValidationError
from fastapi.responses import PlainTextResponse, RedirectResponse
from fastapi.staticfiles import StaticFiles
from jinja2 import Environment, FileSystemLoader, StrictUndefined, pass_context
from sqlalchemy.exc import DBAPIError
from starlette.exceptions import HTTPException
from starlette.types import ASGIApp

from app.database import AT_MOST, open_database
from app.demo import demo_season
from app.exports.paper import can_print
from app.keeping.folder import Folder
from app.keeping.sending import Sending
from app.keeping.watch import Watch
from app.language import LANGUAGES, _, chosen, one_or_many, share
from app.locks import Busy
from app.reports import dates
from app.reports.books import said_in
from app.reports.checks import title_of_check
from app.reports.lines import title_of
from app.reports.mathml import mathml
from app.reports.numbers import as_read, printed, unrounded, with_numbers
from app.reports.sources import source_words
from app.settings import Settings, shared
from app.web import (
    account,
    api,
    api_document,
    api_manual,
    approval,
    archive,
    balance,
    bench,
    books,
    certificate,
    figures,
    imports,
    instruments,
    issues,
    manual,
    notes,
    paste,
    people,
    places,
    plant,
    points,
    record_of_book,
    refused,
    report_files,
    report_of_book,
    report_paper,
    reports,
    retests,
    roles,
    shifts,
    sign_in,
    signing,
    status,
    today,
    trail,
    trend_pages,
    trends,
    uncertainty,
    unlock,
)
from app.web.forms import SECRET
from app.web.frame import frame_of
from app.web.languages import Spoken
from app.web.problems import asks_as_a_program, problem
from app.web.requests import Locked, Place, render, wants_fragment
from app.web.safety import SAFE, Safety
from app.web.security_log import Noting, note, open_log
from app.web.shift_page import reason_words, whence
from app.web.uploads import Uploads

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


class Ledger(FastAPI):
    """The application, every answer of it made safe, also that it failed."""

    def build_middleware_stack(self) -> ASGIApp:
        """Return all that answers; what is added as middleware would not see failures."""
        settings = self.state.settings
        inside = super().build_middleware_stack()
        hosts, encrypted = settings.host_names, settings.secure_cookies
        safe = Safety(inside, hosts=hosts, encrypted=encrypted)
        return Noting(Spoken(safe, settings.language))


def create_app(settings: Settings) -> FastAPI:
    """Return the application that serves the ledger of `settings`."""
    app = Ledger(
        title="Mill Chemistry Ledger",
        docs_url=None,
        redoc_url=None,
        openapi_url=None,
        telemetry={"auto_configure": False},
        lifespan=_watched,
    )
    app.state.settings = settings
    app.state.engine = open_database(settings.database_url)
    app.state.clock = settings.running_clock()
    invented = settings.demo or settings.clock is not None
    app.state.watch = Watch(app.state.engine, lambda: app.state.clock(), invented=invented)
    app.state.templates = _templates()
    open_log(settings.security_log)
    app.state.places = asyncio.Semaphore(AT_MOST)  # no more connections than that at once
    app.state.printing = asyncio.Semaphore(1)
    app.state.noted = {}
    app.state.pace, app.state.refusals = api.Pace(), {}
    app.state.uploads = Uploads()
    app.state.watch.folder = _folder(app)
    app.state.sending = Sending(
        app.state.engine, settings, clock=lambda: app.state.clock(),
        closed=lambda: app.state.watch.closed,
    )  # fmt: skip
    app.state.demo_people = demo_season().PEOPLE if settings.demo else ()
    app.mount("/static", StaticFiles(directory=shared("static")), name="static")
    for module in (
        sign_in, unlock, account, today, report_files, report_paper, shifts, places, retests,
        notes, paste, signing, reports, points, balance, archive, approval, issues, trail, figures,
        roles, api_manual, manual, uncertainty, bench, people, plant, imports, instruments, api,
        api_document, record_of_book, certificate, books, report_of_book, trends, trend_pages,
        refused,
    ):  # fmt: skip
        app.include_router(module.router)
    app.include_router(status.router)
    app.add_api_route("/health", health)
    app.add_exception_handler(HTTPException, _refused)
    app.add_exception_handler(RequestValidationError, _unknown_address)
    app.add_exception_handler(Locked, unlock.ask_to_unlock)
    for error in (DBAPIError, Busy):
        app.add_exception_handler(error, _not_written)
    app.add_exception_handler(Exception, _failed)
    roles.access_of(app)  # fails for a route that does not say who may use it
    return app


def _folder(app: FastAPI) -> Folder | None:
    """Return the folder in which instruments lay files, if there is one."""
    state = app.state
    if state.settings.folder is None:
        return None
    return Folder(
        state.engine, state.settings.folder, clock=lambda: state.clock(),
        closed=lambda: state.watch.closed, refusals=state.refusals,
        language=state.settings.language, back=timedelta(days=state.settings.instrument_days),
    )  # fmt: skip


@asynccontextmanager
async def _watched(app: FastAPI) -> AsyncIterator[None]:
    state = app.state
    working = [state.watch]
    working += [state.watch.folder] if state.watch.folder else []
    working += [state.sending] if state.sending.ways else []
    for each in working:
        each.start()
    yield
    for each in reversed(working):
        each.stop()


def _templates() -> Environment:
    templates = Environment(
        loader=FileSystemLoader(shared("templates")),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        extensions=["jinja2.ext.i18n"],
    )
    templates.policies["ext.i18n.trimmed"] = True
    templates.install_gettext_callables(_, one_or_many, newstyle=True)  # type: ignore[attr-defined]
    templates.globals["share"] = share
    templates.globals["may_print"] = can_print()
    filters: Mapping[str, Callable[..., object]] = {
        "translated": _translated, "printed": printed, "unrounded": unrounded, "as_read": as_read,
        "share": share, "mathml": mathml, "cited": source_words, "long_day": dates.long_day,
        "short_day": dates.short_day, "moment": dates.moment, "clock_time": dates.clock_time,
        "closed": dates.closed, "calendar_day": dates.calendar_day,
        "title_of": title_of, "title_of_check": title_of_check, "said_in": said_in,
        "reason_words": reason_words, "whence": whence,
    }  # fmt: skip
    templates.filters |= {name: _each_time(said) for name, said in filters.items()}
    templates.globals["language"] = chosen
    templates.globals["languages"] = LANGUAGES
    templates.globals["form_key"] = lambda: secrets.token_urlsafe(24)
    return templates


def _translated(words: str) -> str:
    return with_numbers(_(words)) if words else words


def _each_time(said: Callable[..., object]) -> Callable[..., object]:
    """Return a filter for each printing: of a constant, one language would be compiled in."""
    return pass_context(lambda _context, *given: said(*given))


def health(request: Request, _at: Place) -> Response:
    """Say that the ledger is well; 503 names what ails it, one to a line."""
    ails = request.app.state.watch.ails()
    said = "\n".join(f"{name}: {problem}" for name, problem in ails.items())
    return PlainTextResponse(said or "ok", 503 if ails else 200)


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
