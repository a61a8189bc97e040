"""Puts the application together: engine, clock, pages, routes and error pages."""

import asyncio
import logging
import secrets
from collections.abc import Mapping

from fastapi import FastAPI, Request, Response
from fastapi.exceptions import RequestValidationError
from fastapi.responses import PlainTextResponse, RedirectResponse
from fastapi.staticfiles import StaticFiles
from jinja2 import Environment, FileSystemLoader, StrictUndefined
from sqlalchemy import text
from starlette.exceptions import HTTPException
from starlette.types import ASGIApp

from app.database import AT_MOST, open_database
from app.demo import demo_season
from app.reports import dates
from app.reports.mathml import mathml
from app.reports.numbers import printed
from app.settings import Settings, shared
from app.web import bench, figures, manual, people, reports, shifts, sign_in, today, uncertainty
from app.web.requests import Reading, frame_of, is_htmx, render
from app.web.safety import Safety

_log = logging.getLogger("uvicorn.error")

_SAYS = {
    403: "You may not do this",
    404: "There is no such page",
    405: "There is no such page",
    413: "That is too much at once",
    415: "The ledger cannot read this",
    500: "Something went wrong here",
}


class Ledger(FastAPI):
    """The application, every answer of it made safe, also that it failed."""

    def build_middleware_stack(self) -> ASGIApp:
        """Return all that answers; what is added as middleware would not see failures."""
        return Safety(super().build_middleware_stack())


def create_app(settings: Settings) -> FastAPI:
    """Return the application that serves the ledger of `settings`."""
    app = Ledger(
        title="Mill Chemistry Ledger",
        docs_url=None,
        redoc_url=None,
        openapi_url=None,
        telemetry={"auto_configure": False},
    )
    app.state.settings = settings
    app.state.engine = open_database(settings.database_url)
    app.state.clock = settings.running_clock()
    app.state.templates = _templates()
    app.state.places = asyncio.Semaphore(AT_MOST)  # no more connections than that at once
    app.state.noted = {}
    app.state.demo_people = demo_season().PEOPLE if settings.demo else ()
    app.mount("/static", StaticFiles(directory=shared("static")), name="static")
    for module in (sign_in, today, shifts, reports, figures, manual, uncertainty, bench, people):
        app.include_router(module.router)
    app.add_api_route("/health", health)
    app.add_exception_handler(HTTPException, _refused)
    app.add_exception_handler(RequestValidationError, _unknown_address)
    app.add_exception_handler(Exception, _failed)
    return app


def _templates() -> Environment:
    templates = Environment(
        loader=FileSystemLoader(shared("templates")),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    templates.filters["printed"] = printed
    templates.filters["mathml"] = mathml
    templates.filters["long_day"] = dates.long_day
    templates.filters["short_day"] = dates.short_day
    templates.filters["moment"] = dates.moment
    templates.filters["clock_time"] = dates.clock_time
    return templates


def health(reading: Reading) -> Response:
    """Say that the ledger can be read."""
    reading.execute(text("SELECT 1"))
    return PlainTextResponse("ok")


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


def _failed(request: Request, error: Exception) -> Response:
    reference = secrets.token_hex(4)
    _log.error("%s %s failed (%s)", request.method, request.url.path, reference, exc_info=error)
    return _error_page(request, 500, f"Nothing was saved. Tell your administrator: {reference}.")


def _error_page(
    request: Request, status: int, detail: str, headers: Mapping[str, str] | None = None
) -> Response:
    title = _SAYS.get(status, "The ledger could not do this")
    if is_htmx(request):
        return PlainTextResponse(detail or title, status, headers)
    if status != 500 and not hasattr(request.state, "frame"):
        request.state.frame = frame_of(request)
    page = render(request, "error.html", status, title=title, detail=detail)
    page.headers.update(headers or {})
    return page
