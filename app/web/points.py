"""Where the points of overall recovery went in a period, against target or another period."""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Annotated

from fastapi import APIRouter, Depends, Request, Response

from app.exports.points import csv_of_points
from app.figures.closing import FIGURES_ASKED as OF_BALANCES
from app.figures.points import ASKED
from app.figures.sheets import Period
from app.language import _
from app.ledger import mills
from app.plant.calendar import days_of_week, week_name
from app.reports.balance import judged
from app.reports.dates import short_day
from app.reports.points import Points, Side, points, side_of, target_side
from app.reports.pol_flow import ASKED as OF_FLOW
from app.reports.pol_flow import PolFlow, pol_flow
from app.reports.season_books import SeasonBooks
from app.reports.series import days_entered
from app.web.periods import Asked, Find, Finder, known_words, same_days
from app.web.requests import Day, Viewer, render

router = APIRouter()


def _of_points(find: Find) -> Finder:
    return find.of((*ASKED, *OF_FLOW, *OF_BALANCES))


OfPoints = Annotated[Finder, Depends(_of_points)]

TARGET, BEFORE, LAST_SEASON = "target", "before", "last-season"
AGAINST = {
    "day": {TARGET: "Target", BEFORE: "The day before", LAST_SEASON: "Last season"},
    "week": {TARGET: "Target", BEFORE: "The week before", LAST_SEASON: "Last season"},
    "month": {TARGET: "Target", BEFORE: "The month before", LAST_SEASON: "Last season"},
    "run": {TARGET: "Target", LAST_SEASON: "Last season"},
    "season": {TARGET: "Target", LAST_SEASON: "Last season"},
}


@dataclass(frozen=True)
class PointsPage:
    """A period, what it may be held against, what came of that, and the flow of its pol.

    `none` says why there is no such period to hold it against.
    """

    asked: Asked
    choices: dict[str, str]
    against: str
    points: Points | None
    none: str
    flow: PolFlow
    known: str


@router.get("/days/{day}/points")
def day_points(
    request: Request, find: OfPoints, day: Day, _by: Viewer, against: str = ""
) -> Response:
    """Show where the points of a day went."""
    return _shown(request, _page(find, find.day(day), "day", against))


@router.get("/weeks/{week}/points")
def week_points(
    request: Request, find: OfPoints, week: str, _by: Viewer, against: str = ""
) -> Response:
    """Show where the points of a week went."""
    return _shown(request, _page(find, find.week(week), "week", against))


@router.get("/months/{month}/points")
def month_points(
    request: Request, find: OfPoints, month: str, _by: Viewer, against: str = ""
) -> Response:
    """Show where the points of a month went."""
    return _shown(request, _page(find, find.month(month), "month", against))


@router.get("/runs/{first}/{last}/points")
def run_points(
    request: Request, find: OfPoints, first: Day, last: Day, _by: Viewer, against: str = ""
) -> Response:
    """Show where the points of a run went."""
    return _shown(request, _page(find, find.run(first, last), "run", against))


@router.get("/seasons/{name}/points")
def season_points(
    request: Request, find: OfPoints, name: str, _by: Viewer, against: str = ""
) -> Response:
    """Show where the points of a season went."""
    return _shown(request, _page(find, find.season(name), "season", against))


@router.get("/days/{day}/points.csv")
def day_points_csv(find: OfPoints, day: Day, _by: Viewer, against: str = "") -> Response:
    """Answer with the points and the flow of a day as CSV."""
    return _csv(_page(find, find.day(day), "day", against))


@router.get("/weeks/{week}/points.csv")
def week_points_csv(find: OfPoints, week: str, _by: Viewer, against: str = "") -> Response:
    """Answer with the points and the flow of a week as CSV."""
    return _csv(_page(find, find.week(week), "week", against))


@router.get("/months/{month}/points.csv")
def month_points_csv(find: OfPoints, month: str, _by: Viewer, against: str = "") -> Response:
    """Answer with the points and the flow of a month as CSV."""
    return _csv(_page(find, find.month(month), "month", against))


@router.get("/runs/{first}/{last}/points.csv")
def run_points_csv(
    find: OfPoints, first: Day, last: Day, _by: Viewer, against: str = ""
) -> Response:
    """Answer with the points and the flow of a run as CSV."""
    return _csv(_page(find, find.run(first, last), "run", against))


@router.get("/seasons/{name}/points.csv")
def season_points_csv(find: OfPoints, name: str, _by: Viewer, against: str = "") -> Response:
    """Answer with the points and the flow of a season as CSV."""
    return _csv(_page(find, find.season(name), "season", against))


def _shown(request: Request, page: PointsPage) -> Response:
    suspect = judged(page.asked.books, page.asked.period).verdict
    return render(
        request, "reports/points.html", page=page, suspect=suspect, address=page.asked.address
    )


def _csv(page: PointsPage) -> Response:
    name = page.asked.address.strip("/").replace("/", "-")
    return Response(
        csv_of_points(name, page.against, page.points, page.flow),
        media_type="text/csv; charset=utf-8",
        headers={"Content-Disposition": f'attachment; filename="{name}-points-{page.against}.csv"'},
    )


def _page(find: Finder, asked: Asked, kind: str, wished: str) -> PointsPage:
    """Return the page of a period; what is wished for and not offered is answered by target."""
    choices = AGAINST[kind]
    against = wished if wished in choices else TARGET
    # first, as the uncertainties of the flow are among those of the change
    name = _name(asked.books, asked.period)
    now = side_of(name, asked.books, asked.period, asked.season.name)
    flow = pol_flow(asked.books, asked.period)
    known = known_words(find, asked.mill)
    before, none = _side_before(find, asked, kind, against)
    if before is None:
        return PointsPage(asked, choices, against, None, none, flow, known)
    shared = points(before, now, flow.cane.value or 0.0)
    return PointsPage(asked, choices, against, shared, "", flow, known)


def _side_before(find: Finder, asked: Asked, kind: str, against: str) -> tuple[Side | None, str]:
    """Return what a period is held against, or why there is no such thing."""
    if against == TARGET:
        return target_side(mills.targets(find.connection, asked.mill, asked.days[-1])), ""
    if against == BEFORE:
        first, last = _span_before(asked, kind)
        books, season = asked.books, asked.season
        period = books.between(first, min(last, asked.days[0] - timedelta(days=1)))
        none = _("The season holds nothing before this.")
    else:
        found = find.season_before(asked)
        if found is None:
            return None, _("The ledger holds no season before this one.")
        season, books = found, find.books(asked.mill, found)
        period = books.between(*same_days(asked, found))
        none = _("Season {name} holds nothing of these days.", name=found.name)
    if period.last == period.first:
        return None, none
    name = _name(books, period)
    if against == LAST_SEASON:
        name = _("Season {name}, {days}", name=season.name, days=name)
    return side_of(name, books, period, season.name), ""


def _span_before(asked: Asked, kind: str) -> tuple[date, date]:
    """Return the days of the period before: the last day that has entries, week or month."""
    first = asked.days[0]
    if kind == "week":
        monday = days_of_week(week_name(first))[0]
        return monday - timedelta(days=7), monday - timedelta(days=1)
    if kind == "month":
        last = first.replace(day=1) - timedelta(days=1)
        return last.replace(day=1), last
    held = max((day for day in days_entered(asked.books) if day < first), default=date.min)
    return held, held


def _name(books: SeasonBooks, period: Period) -> str:
    """Return how a side is called: its day, its whole month, or its first and last day."""
    first, last = books.days[period.first], books.days[period.last - 1]
    # kept on one line in the head of a column
    begins, ends = (short_day(day).replace(" ", "\u00a0") for day in (first, last))
    return begins if first == last else _("{first} to {last}", first=begins, last=ends)
