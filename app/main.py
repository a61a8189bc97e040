"""Puts the application together: engine, clock, pages and routes."""

import asyncio
import secrets
from collections.abc import AsyncIterator, Callable, Mapping
from contextlib import asynccontextmanager
from datetime import timedelta

from fastapi import FastAPI, Request, Response
from fastapi.responses import PlainTextResponse
from fastapi.staticfiles import StaticFiles
from jinja2 import Environment, FileSystemLoader, StrictUndefined, pass_context
from starlette.types import ASGIApp

from app.database import AT_MOST, open_database
from app.demo import demo_season
from app.exports.paper import can_print
from app.keeping.folder import Folder
from app.keeping.sending import Sending
from app.keeping.watch import Watch
from app.language import LANGUAGES, _, chosen, one_or_many, share
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
    comparison,
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
    runs,
    season_end,
    season_return,
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
    what_if,
)
from app.web.failures import answer_failures
from app.web.languages import Spoken
from app.web.requests import Locked, Place
from app.web.safety import Safety
from app.web.security_log import Noting, open_log
from app.web.shift_page import reason_words, whence
from app.web.uploads import Uploads


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
        what_if, season_end, season_return, runs, comparison, refused,
    ):  # fmt: skip
        app.include_router(module.router)
    app.include_router(status.router)
    app.add_api_route("/health", health)
    app.add_exception_handler(Locked, unlock.ask_to_unlock)
    answer_failures(app)
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
        "closed": dates.closed, "calendar_day": dates.calendar_day, "zone_words": dates.zone_words,
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
    if sending := request.app.state.sending.ails:
        ails["sending"] = sending
    said = "\n".join(f"{name}: {problem}" for name, problem in ails.items())
    return PlainTextResponse(said or "ok", 503 if ails else 200)
