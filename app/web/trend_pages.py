"""Further trends: season against season, the largest causes first, time, mills and molasses."""

from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Annotated

from fastapi import APIRouter, HTTPException, Query, Request, Response

from app.exports.following import values_of
from app.language import _
from app.ledger import mills
from app.ledger.records import begins_on
from app.plant.books.stops import BOOK as STOPS
from app.reports.mill_trend import mill_trend
from app.reports.molasses_trend import molasses_trend
from app.reports.pareto import Pareto, hours_by, hours_by_cause, pol_by_place
from app.reports.season_trend import MOST_SEASONS, OfSeason, season_trend
from app.reports.series import Place, places_of, things
from app.reports.table import KEY_FIGURES
from app.reports.time_weeks import time_weeks
from app.web.periods import Asked, Find, Finder
from app.web.requests import Viewer, render
from app.web.typed_days import FIRST, LAST, read_days

router = APIRouter(prefix="/trends")

Name = Annotated[str, Query(max_length=40)]
Typed = Annotated[str, Query(max_length=20)]
_WEEK = timedelta(days=7)
USUAL = "overall_recovery"
_FURTHER = ("sugar_on_cane", "reduced_extraction", "imbibition_on_fibre", "crushing_rate")
FIGURES_OF_SEASONS = (*KEY_FIGURES, *_FURTHER)


@dataclass
class StopsForm:
    """The days that were typed, and what is wrong with them."""

    first: str
    last: str
    wrong: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class StopsPage:
    """What is largest first over some days of a season."""

    first: date
    last: date
    season: str
    causes: Pareto
    stations: Pareto
    machines: Pareto
    losses: Pareto
    doubt: str
    begins: date | None
    address: str


@router.get("/season")
def season_against_others(
    request: Request, find: Find, _by: Viewer, of: str = USUAL, to: str = ""
) -> Response:
    """Show a figure of this season against earlier seasons, week by week of the season."""
    known = things()
    thing = known.get(of)
    if thing is None or not thing.opens:
        raise HTTPException(404, _("No figure is called {name}.", name=of))
    mill = mills.the_mill(find.connection)
    found = []
    for season in mills.seasons(find.connection, mill):
        try:
            asked = find.season(season.name)
        except HTTPException:  # of which nothing is entered yet
            continue
        found.append(OfSeason(season.name, asked.books, asked.days))
        if len(found) == MOST_SEASONS:
            break
    if not found:
        raise HTTPException(404, _("Nothing is entered yet."))
    names = dict.fromkeys((*FIGURES_OF_SEASONS, thing.name))
    return render(
        request, "trends/season.html", thing=thing, to_date=to == "date",
        trend=season_trend(thing, found, to_date=to == "date"),
        choices=[known[name] for name in names],
    )  # fmt: skip


@router.get("/stops")
def stops_and_losses(
    request: Request, find: Find, _by: Viewer, first: Typed = "", last: Typed = ""
) -> Response:
    """Show hours stopped and pol lost over some days, the largest first: the last four weeks."""
    form = StopsForm(first.strip(), last.strip())
    typed = {name: text for name, text in ((FIRST, form.first), (LAST, form.last)) if text}
    days, page = read_days(typed, form.wrong), None
    if not form.wrong:
        page = _stops(find, days.get(FIRST), days.get(LAST))
    if page:
        form.first, form.last = f"{page.first}", f"{page.last}"
    elif not form.wrong:
        form.wrong[FIRST] = _("Nothing is entered in these days")
    status = 422 if form.wrong else 200
    return render(request, "trends/stops.html", status, page=page, form=form)


def _stops(find: Finder, first: date | None, last: date | None) -> StopsPage | None:
    """Return what is largest over some days, or None where nothing is entered in them."""
    mill = mills.the_mill(find.connection)
    season = mills.season_of(find.connection, mill, last) if last else None
    asked = find.season(season.name) if season else _newest(find)
    last = min(last or asked.days[-1], asked.days[-1])
    if last < asked.season.first_day:
        return None
    first = max(first or last - 4 * _WEEK + timedelta(days=1), asked.season.first_day)
    period = asked.books.between(first, last)
    if first > last or not period.last:
        return None
    records = [
        said for _record, said in values_of(find.connection, mill, asked.season, STOPS, first, last)
    ]
    losses, doubt = pol_by_place(asked.books, period)
    return StopsPage(
        first, last, asked.season.name, hours_by_cause(asked.books, period),
        hours_by(records, "station"), hours_by(records, "place"), losses, doubt,
        begins_on(find.connection, asked.season, STOPS), _address(asked, first, last),
    )  # fmt: skip


def _address(asked: Asked, first: date, last: date) -> str:
    """Return where the figures of some days open: of a day, of a whole season; else nowhere."""
    if first == last:
        return f"/days/{first}"
    return asked.address if (first, last) == (asked.days[0], asked.days[-1]) else ""


@router.get("/time")
def time_account(request: Request, find: Find, _by: Viewer, season: Name = "") -> Response:
    """Show the time account of a season week by week."""
    asked, weeks = _weeks(find, season)
    page = time_weeks(asked.books, weeks)
    return render(
        request, "trends/time.html", page=page, season=asked.season.name, seasons=_seasons(find)
    )


@router.get("/mills")
def mill_by_mill(request: Request, find: Find, _by: Viewer, season: Name = "") -> Response:
    """Show the tandem mill by mill: how brix falls, and what each extracts."""
    asked, weeks = _weeks(find, season)
    whole = Place(
        asked.title, asked.title, asked.address, asked.days[0], asked.days[-1], asked.period
    )
    page = mill_trend(asked.books, weeks, whole)
    return render(
        request, "trends/mills.html", page=page, season=asked.season.name, seasons=_seasons(find)
    )


@router.get("/molasses")
def final_molasses(
    request: Request, find: Find, _by: Viewer, season: Name = "", per: str = "week"
) -> Response:
    """Show the purity of final molasses against its target."""
    asked = find.season(season) if season else _newest(find)
    each = "day" if per == "day" else "week"
    page = molasses_trend(asked.books, places_of(asked.books, each, asked.days))
    return render(
        request, "trends/molasses.html", page=page, per=each, season=asked.season.name,
        seasons=_seasons(find),
    )  # fmt: skip


def _weeks(find: Finder, season: str) -> tuple[Asked, list[Place]]:
    asked = find.season(season) if season else _newest(find)
    return asked, places_of(asked.books, "week", asked.days)


def _newest(find: Finder) -> Asked:
    """Return the newest season that has an entry."""
    for name in _seasons(find):
        try:
            return find.season(name)
        except HTTPException:  # of which nothing is entered yet
            continue
    raise HTTPException(404, _("Nothing is entered yet."))


def _seasons(find: Finder) -> list[str]:
    mill = mills.the_mill(find.connection)
    return [season.name for season in mills.seasons(find.connection, mill)]
