"""Figures: all of a period by station, and each opened down to the sheets behind it."""

from collections.abc import Iterable, Mapping
from dataclasses import replace

from fastapi import APIRouter, HTTPException, Request, Response

from app.figures import FIGURES
from app.language import _
from app.ledger.entries import Entry, entries_of_shift
from app.ledger.sampled import counts_of
from app.plant.calendar import Clock
from app.plant.typed import LEFT_OUT
from app.reports.behind import Node
from app.reports.figure import NO_COUNTS, NO_TESTS, figure_report
from app.reports.places import sample_title
from app.reports.stations import by_station
from app.web.periods import Asked, Find, Finder
from app.web.requests import Day, Viewer, render

router = APIRouter()


@router.get("/shifts/{day}/{number}/figures")
def all_of_shift(request: Request, find: Find, day: Day, number: int, _by: Viewer) -> Response:
    """Show every figure of one shift."""
    return _all(request, find.shift(day, number))


@router.get("/days/{day}/figures")
def all_of_day(request: Request, find: Find, day: Day, _by: Viewer) -> Response:
    """Show every figure of one day."""
    return _all(request, find.day(day))


@router.get("/weeks/{week}/figures")
def all_of_week(request: Request, find: Find, week: str, _by: Viewer) -> Response:
    """Show every figure of a week."""
    return _all(request, find.week(week))


@router.get("/months/{month}/figures")
def all_of_month(request: Request, find: Find, month: str, _by: Viewer) -> Response:
    """Show every figure of a month."""
    return _all(request, find.month(month))


@router.get("/runs/{first}/{last}/figures")
def all_of_run(request: Request, find: Find, first: Day, last: Day, _by: Viewer) -> Response:
    """Show every figure of a run."""
    return _all(request, find.run(first, last))


@router.get("/seasons/{season}/figures")
def all_of_season(request: Request, find: Find, season: str, _by: Viewer) -> Response:
    """Show every figure of a season."""
    return _all(request, find.season(season))


@router.get("/shifts/{day}/{number}/figures/{name}")
def of_shift(
    request: Request, find: Find, day: Day, number: int, name: str, _by: Viewer
) -> Response:
    """Open a figure of one shift."""
    asked = find.shift(day, number)
    written = entries_of_shift(find.connection, asked.season, day, number)
    return _opened(request, find, name, asked, tests=_tests(written, asked.mill.clock))


@router.get("/days/{day}/figures/{name}")
def of_day(request: Request, find: Find, day: Day, name: str, _by: Viewer) -> Response:
    """Open a figure of one day."""
    return _opened(request, find, name, find.day(day))


@router.get("/days/{day}/week-to-date/figures/{name}")
def of_week_to_date(request: Request, find: Find, day: Day, name: str, _by: Viewer) -> Response:
    """Open a figure of the week up to a day."""
    asked = find.day(day)
    title = _("Week to {title}", title=asked.title)
    week = replace(asked, period=asked.books.week_to(day), title=title)
    return _opened(request, find, name, week, f"{asked.address}/week-to-date")


@router.get("/days/{day}/to-date/figures/{name}")
def of_season_to_date(request: Request, find: Find, day: Day, name: str, _by: Viewer) -> Response:
    """Open a figure of the season up to a day."""
    asked = find.day(day)
    title = _("Season to {title}", title=asked.title)
    season = replace(asked, period=asked.books.to(day), title=title)
    return _opened(request, find, name, season, f"{asked.address}/to-date")


@router.get("/weeks/{week}/figures/{name}")
def of_week(request: Request, find: Find, week: str, name: str, _by: Viewer) -> Response:
    """Open a figure of a week."""
    return _opened(request, find, name, find.week(week))


@router.get("/months/{month}/figures/{name}")
def of_month(request: Request, find: Find, month: str, name: str, _by: Viewer) -> Response:
    """Open a figure of a month."""
    return _opened(request, find, name, find.month(month))


@router.get("/runs/{first}/{last}/figures/{name}")
def of_run(request: Request, find: Find, first: Day, last: Day, name: str, _by: Viewer) -> Response:
    """Open a figure of a run."""
    return _opened(request, find, name, find.run(first, last))


@router.get("/seasons/{season}/figures/{name}")
def of_season(request: Request, find: Find, season: str, name: str, _by: Viewer) -> Response:
    """Open a figure of a season."""
    return _opened(request, find, name, find.season(season))


def _all(request: Request, asked: Asked) -> Response:
    return render(
        request,
        "figures/stations.html",
        stations=by_station(asked.books, asked.period),
        period=asked.title,
        address=asked.address,
        page_address=asked.address,
    )


def _tests(written: Iterable[Entry], clock: Clock) -> dict[str, tuple[Node, ...]]:
    """Return the samples and tests of a sheet, by measure, of those that have several."""
    stands = {entry.place: entry for entry in written}
    found: dict[str, tuple[Node, ...]] = {}
    for place in sorted(stands):
        entry = stands[place]
        text = entry.typed or _("(emptied)")
        if entry.state == LEFT_OUT:
            text = _("{result}, left out", result=text)
        title = sample_title(place, entry.observed_at, clock)
        node = Node(title, text, entry.unit, entered=entry.key)
        found[place.measure] = (*found.get(place.measure, ()), node)
    return {measure: nodes for measure, nodes in found.items() if len(nodes) > 1}


def _opened(
    request: Request,
    find: Finder,
    name: str,
    asked: Asked,
    address: str = "",
    tests: Mapping[str, tuple[Node, ...]] = NO_TESTS,
) -> Response:
    if name not in FIGURES:
        raise HTTPException(404, _("No figure is called {name}.", name=name))
    days = [shift.day for shift in asked.books.shifts[asked.period.first : asked.period.last]]
    counts = counts_of(find.connection, asked.season, days[0], days[-1]) if days else NO_COUNTS
    return render(
        request,
        "figures/figure.html",
        page=figure_report(asked.books, name, asked.period, tests, counts),
        period=asked.title,
        address=address or asked.address,
        page_address=asked.address,
        shift=asked.address.startswith("/shifts/"),
    )
