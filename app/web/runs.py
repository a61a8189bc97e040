"""Which run: the days that are typed, or one of those between long stops."""

from dataclasses import dataclass, field
from datetime import date
from typing import Annotated

from fastapi import APIRouter, HTTPException, Query, Request, Response
from fastapi.responses import RedirectResponse

from app.language import _
from app.ledger import mills
from app.reports.numbers import unrounded
from app.reports.runs import ASKED, LONG, Run, runs_of
from app.web.periods import Asked, Find, Finder
from app.web.requests import Viewer, render
from app.web.typed_days import FIRST, LAST, read_days

router = APIRouter()

Typed = Annotated[str, Query(max_length=20)]


@dataclass
class RunsPage:
    """The days and hours that were typed, what is wrong with them, and the runs of a season."""

    first: str
    last: str
    hours: str
    season: str = ""
    runs: list[Run] = field(default_factory=list)
    wrong: dict[str, str] = field(default_factory=dict)


@router.get("/runs")
def which_run(
    request: Request, find: Find, _by: Viewer, first: Typed = "", last: Typed = "",
    hours: Typed = "",
) -> Response:  # fmt: skip
    """Lead to the run whose days are typed; else offer those between long stops."""
    page = RunsPage(first.strip(), last.strip(), hours.strip() or unrounded(LONG))
    if page.first or page.last:
        days = _days(page)
        if days and not page.wrong and _there(find, page, *days):
            return RedirectResponse(f"/runs/{days[0]}/{days[1]}", 303)
    longest = _hours(page)
    asked = _newest(find)
    if asked is not None:
        page.season = asked.season.name
        page.runs = runs_of(asked.books, asked.days, longest)
    return render(request, "reports/runs.html", 422 if page.wrong else 200, page=page)


def _days(page: RunsPage) -> tuple[date, date] | None:
    found = read_days({FIRST: page.first, LAST: page.last}, page.wrong)
    return (found[FIRST], found[LAST]) if len(found) == 2 else None


def _there(find: Finder, page: RunsPage, first: date, last: date) -> bool:
    """Tell whether the season holds something of a run, or say beside its days that it does not."""
    try:
        find.of(ASKED).run(first, last)
    except HTTPException as none:
        page.wrong["first"] = f"{none.detail}".removesuffix(".")
    return not page.wrong


def _hours(page: RunsPage) -> float:
    try:
        found = float(page.hours.replace(",", "."))
    except ValueError:
        found = -1.0
    if not 0 <= found <= 24:
        page.wrong["hours"] = _("Type hours, from 0 to 24")
        return LONG
    return found


def _newest(find: Finder) -> Asked | None:
    mill = mills.the_mill(find.connection)
    for season in mills.seasons(find.connection, mill):
        try:
            return find.of(ASKED).season(season.name)
        except HTTPException:  # of which nothing is entered yet
            continue
    return None
