"""Whether the balance is right: what measurements leave over, and which likeliest reads wrong."""

from typing import Annotated

from fastapi import APIRouter, Depends, Request, Response

from app.figures.closing import FIGURES_ASKED
from app.reports.balance import balance_report
from app.web.periods import Asked, Find, Finder, known_words
from app.web.requests import Day, Viewer, render

router = APIRouter()


def _of_balance(find: Find) -> Finder:
    return find.of(FIGURES_ASKED)


OfBalance = Annotated[Finder, Depends(_of_balance)]


@router.get("/days/{day}/balance")
def of_day(request: Request, find: OfBalance, day: Day, _by: Viewer) -> Response:
    """Show whether the balance of a day is right."""
    return _balance(request, find, find.day(day))


@router.get("/weeks/{week}/balance")
def of_week(request: Request, find: OfBalance, week: str, _by: Viewer) -> Response:
    """Show whether the balance of a week is right."""
    return _balance(request, find, find.week(week))


@router.get("/months/{month}/balance")
def of_month(request: Request, find: OfBalance, month: str, _by: Viewer) -> Response:
    """Show whether the balance of a month is right."""
    return _balance(request, find, find.month(month))


@router.get("/runs/{first}/{last}/balance")
def of_run(request: Request, find: OfBalance, first: Day, last: Day, _by: Viewer) -> Response:
    """Show whether the balance of a run is right."""
    return _balance(request, find, find.run(first, last))


@router.get("/seasons/{name}/balance")
def of_season(request: Request, find: OfBalance, name: str, _by: Viewer) -> Response:
    """Show whether the balance of a season is right."""
    return _balance(request, find, find.season(name))


def _balance(request: Request, find: Finder, asked: Asked) -> Response:
    page = balance_report(asked.books, asked.period)
    return render(
        request, "reports/balance.html", page=page, title=asked.title, address=asked.address,
        known=known_words(find, asked.mill),
    )  # fmt: skip
