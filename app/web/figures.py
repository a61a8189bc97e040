"""Figures: their list, and each opened for a period down to the sheets behind it."""

from dataclasses import replace
from datetime import timedelta

from fastapi import APIRouter, HTTPException, Request, Response

from app.figures import FIGURES
from app.figures.declare import Figure
from app.ledger import mills
from app.plant.streams import STATIONS
from app.reports.figure import figure_report
from app.web.periods import Asked, Find
from app.web.requests import Day, Now, Reading, Viewer, render

router = APIRouter()

HEADINGS = STATIONS | {"account": "Sugar account and recovery"}


@router.get("/figures")
def figures(request: Request, connection: Reading, now: Now, _: Viewer) -> Response:
    """List every figure with its formula and source."""
    mill = mills.the_mill(connection)
    day, _number = mill.clock.shift_at(now)
    stations: dict[str, list[Figure]] = {}
    shown = [figure for figure in FIGURES.values() if not figure.internal]
    for station, title in HEADINGS.items():
        stations[title] = [figure for figure in shown if figure.station == station]
    return render(
        request,
        "figures/index.html",
        stations={title: found for title, found in stations.items() if found},
        count=len(shown),
        address=f"/days/{day - timedelta(days=1)}",
    )


@router.get("/shifts/{day}/{number}/figures/{name}")
def of_shift(request: Request, find: Find, day: Day, number: int, name: str, _: Viewer) -> Response:
    """Open a figure of one shift."""
    return _opened(request, name, find.shift(day, number))


@router.get("/days/{day}/figures/{name}")
def of_day(request: Request, find: Find, day: Day, name: str, _: Viewer) -> Response:
    """Open a figure of one day."""
    return _opened(request, name, find.day(day))


@router.get("/days/{day}/week-to-date/figures/{name}")
def of_week_to_date(request: Request, find: Find, day: Day, name: str, _: Viewer) -> Response:
    """Open a figure of the week up to a day."""
    asked = find.day(day)
    return _opened(
        request, name,
        replace(asked, period=asked.books.week_to(day), title=f"Week to {asked.title}"),
        f"{asked.address}/week-to-date",
    )  # fmt: skip


@router.get("/days/{day}/to-date/figures/{name}")
def of_season_to_date(request: Request, find: Find, day: Day, name: str, _: Viewer) -> Response:
    """Open a figure of the season up to a day."""
    asked = find.day(day)
    return _opened(
        request, name,
        replace(asked, period=asked.books.to(day), title=f"Season to {asked.title}"),
        f"{asked.address}/to-date",
    )  # fmt: skip


@router.get("/weeks/{week}/figures/{name}")
def of_week(request: Request, find: Find, week: str, name: str, _: Viewer) -> Response:
    """Open a figure of a week."""
    return _opened(request, name, find.week(week))


@router.get("/months/{month}/figures/{name}")
def of_month(request: Request, find: Find, month: str, name: str, _: Viewer) -> Response:
    """Open a figure of a month."""
    return _opened(request, name, find.month(month))


@router.get("/seasons/{season}/figures/{name}")
def of_season(request: Request, find: Find, season: str, name: str, _: Viewer) -> Response:
    """Open a figure of a season."""
    return _opened(request, name, find.season(season))


def _opened(request: Request, name: str, asked: Asked, address: str = "") -> Response:
    if name not in FIGURES:
        raise HTTPException(404, f"No figure is called {name}.")
    return render(
        request,
        "figures/figure.html",
        page=figure_report(asked.books, name, asked.period),
        period=asked.title,
        address=address or asked.address,
        page_address=asked.address,
    )
