"""Reports as PDF: the page of each, set on paper; of an issue, a copy of what was issued."""

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from functools import partial
from typing import NamedTuple

from fastapi import APIRouter, HTTPException, Request, Response
from fastapi.concurrency import run_in_threadpool
from sqlalchemy import Connection

from app.database import reading
from app.exports.paper import KIND, NotInstalled, can_print, copy_of_issue, pdf_of
from app.language import _
from app.ledger import issues
from app.ledger.issues import REPORT
from app.ledger.mills import Mill
from app.web.open_shift import open_shift
from app.web.periods import Asked, Finder, known_words
from app.web.reports import show_day, show_month, show_run, show_season, show_week
from app.web.requests import Day, Now, Viewer
from app.web.season_return import show_return
from app.web.shifts import show_sheet

router = APIRouter()


class Paper(NamedTuple):
    """What is set on paper, once nothing of the ledger is asked any more, and its file's name."""

    set: Callable[[], bytes]
    name: str


async def _pdf(request: Request, made: Callable[[Connection], Paper]) -> Response:
    if not can_print():
        raise _not_installed()

    def read() -> Paper:
        with reading(request.app.state.engine) as connection:
            return made(connection)

    state = request.app.state
    async with state.places:
        paper = await run_in_threadpool(read)
    try:
        async with state.printing:  # who waits for it holds neither a thread nor a connection
            content = await run_in_threadpool(paper.set)
    except (NotInstalled, OSError):  # a library of the system lacks
        raise _not_installed() from None
    headers = {"Content-Disposition": f'inline; filename="{paper.name}.pdf"'}
    return Response(content, media_type=KIND, headers=headers)


def _not_installed() -> HTTPException:
    return HTTPException(
        501,
        _(
            "What makes PDF is not installed with this ledger: tell your administrator. Its page "
            "prints the same from your browser."
        ),
    )


def _paper(page: Response, foot: str, name: str) -> Paper:
    return Paper(partial(pdf_of, bytes(page.body).decode(), foot), name)


def _foot(title: str, mill: Mill, find: Finder, status: str) -> str:
    return f"{mill.name} · {title} · {status}\n{known_words(find, mill)}"


def _of_period(find: Finder, asked: Asked, page: Response) -> Paper:
    made = issues.issues_of(find.connection, asked.season, asked.days[0])
    issued = made[-1].name if made and asked.address.startswith("/days/") else ""
    status = _("DRAFT, not issued")
    if issued:
        status = _("As known now: NOT THE ISSUE ITSELF, {name}", name=issued)
    foot = _foot(asked.title, asked.mill, find, status)
    name = asked.address.strip("/").replace("/", "-")
    return _paper(page, foot, f"{name}-{'as-known-now' if issued else 'draft'}")


async def _pdf_of(
    request: Request,
    now: datetime,
    found: Callable[[Finder], Asked],
    show: Callable[[Request, Finder, Asked], Response],
    beneath: str = "",
) -> Response:
    """Answer with a report of the period that is found; `beneath` is what its address ends in."""

    def made(connection: Connection) -> Paper:
        find = Finder(connection, now)
        asked = found(find)
        page = show(request, find, asked)
        return _of_period(find, replace(asked, address=f"{asked.address}{beneath}"), page)

    return await _pdf(request, made)


@router.get("/days/{day}.pdf")
async def day_pdf(request: Request, day: Day, now: Now, _by: Viewer) -> Response:
    """Answer with the morning report of a day as PDF."""
    return await _pdf_of(request, now, lambda find: find.day(day), show_day)


@router.get("/weeks/{week}.pdf")
async def week_pdf(request: Request, week: str, now: Now, _by: Viewer) -> Response:
    """Answer with a week as PDF."""
    return await _pdf_of(request, now, lambda find: find.week(week), show_week)


@router.get("/months/{month}.pdf")
async def month_pdf(request: Request, month: str, now: Now, _by: Viewer) -> Response:
    """Answer with a month as PDF."""
    return await _pdf_of(request, now, lambda find: find.month(month), show_month)


@router.get("/runs/{first}/{last}.pdf")
async def run_pdf(request: Request, first: Day, last: Day, now: Now, _by: Viewer) -> Response:
    """Answer with a run as PDF."""
    return await _pdf_of(request, now, lambda find: find.run(first, last), show_run)


@router.get("/seasons/{name}.pdf")
async def season_pdf(request: Request, name: str, now: Now, _by: Viewer) -> Response:
    """Answer with a season as PDF."""
    return await _pdf_of(request, now, lambda find: find.season(name), show_season)


@router.get("/seasons/{name}/return.pdf")
async def return_pdf(request: Request, name: str, now: Now, _by: Viewer) -> Response:
    """Answer with the return of a season as PDF."""
    return await _pdf_of(request, now, lambda find: find.season(name), show_return, "/return")


@router.get("/shifts/{day}/{number}.pdf")
async def shift_pdf(request: Request, day: Day, number: int, now: Now, by: Viewer) -> Response:
    """Answer with the sheet of a shift as PDF."""

    def made(connection: Connection) -> Paper:
        find, shift = Finder(connection, now), open_shift(connection, day, number, now)
        page = show_sheet(request, by, shift, connection, now, "")
        status = _("As known now") if shift.bounds[1] <= now else _("DRAFT, not over yet")
        foot = _foot(shift.title, shift.mill, find, status)
        return _paper(page, foot, shift.address.strip("/").replace("/", "-"))

    return await _pdf(request, made)


@router.get("/days/{day}/issues/{number}/report.pdf")
async def issue_pdf(request: Request, day: Day, number: int, now: Now, _by: Viewer) -> Response:
    """Answer with a copy of an issued report as PDF, made of the bytes that were issued."""

    def made(connection: Connection) -> Paper:
        asked = Finder(connection, now).day(day)
        every = issues.issues_of(connection, asked.season, day)
        issue = next((each for each in every if each.number == number), None)
        found = issues.file_of(connection, issue, REPORT) if issue else None
        if issue is None or found is None:
            raise HTTPException(404, _("No such report was issued."))
        superseded = "" if issue is every[-1] else "-superseded"
        copy = partial(copy_of_issue, issue, asked.mill.name, *found)
        return Paper(copy, f"{day}-issue-{number}-issued{superseded}-copy")

    return await _pdf(request, made)
