"""When the season ends and with how much sugar."""

from datetime import date, timedelta
from typing import Annotated

from fastapi import APIRouter, Depends, Request, Response

from app.exports.season_end import csv_of_forecast
from app.ledger import mills
from app.reports.season_end import ASKED, SeasonEnd, season_end
from app.web.periods import Asked, Find, Finder, known_words
from app.web.requests import Viewer, render

router = APIRouter()
_DAY = timedelta(days=1)


def _of_forecast(find: Find) -> Finder:
    return find.of(ASKED)


OfForecast = Annotated[Finder, Depends(_of_forecast)]


@router.get("/seasons/{name}/forecast")
def forecast(request: Request, find: OfForecast, name: str, _by: Viewer) -> Response:
    """Show when a season likely ends, and with how much sugar."""
    asked = find.season(name)
    return render(
        request, "reports/forecast.html", page=_page(find, asked), season=asked.season,
        known=known_words(find, asked.mill),
    )  # fmt: skip


@router.get("/seasons/{name}/forecast.csv")
def forecast_csv(find: OfForecast, name: str, _by: Viewer) -> Response:
    """Answer with the forecast as CSV: each day told of, with the ends of its band."""
    asked = find.season(name)
    return Response(
        csv_of_forecast(asked.season.name, _page(find, asked)),
        media_type="text/csv; charset=utf-8",
        headers={"Content-Disposition": f'attachment; filename="seasons-{name}-forecast.csv"'},
    )


def _page(find: Finder, asked: Asked) -> SeasonEnd:
    ended, last = asked.season.last_day, asked.days[-1]
    if ended and (ended <= last or ended < asked.mill.clock.shift_at(find.now)[0]):
        return SeasonEnd(last, asked.days[0], ended=True)
    return season_end(asked.books, asked.days, _estimated(find, asked))


def _estimated(find: Finder, asked: Asked) -> tuple[date, date]:
    """Return the days from which an estimate is one of this season, up to today."""
    every = mills.seasons(find.connection, asked.mill)
    before = [s for s in every if s.first_day < asked.season.first_day]
    after = [s for s in every if s.first_day > asked.season.first_day]
    since, until = date.min, asked.mill.clock.shift_at(find.now)[0]
    if before:
        since = (before[0].last_day or asked.season.first_day - _DAY) + _DAY
    return since, min(until, after[-1].first_day - _DAY) if after else until
