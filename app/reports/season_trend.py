"""A figure of this season against earlier seasons, week by week of the season."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from app.figures.sheets import Period
from app.language import _
from app.pictures.lines import Series, lines
from app.pictures.sizes import Drawn
from app.reports.numbers import printed
from app.reports.season_books import SeasonBooks
from app.reports.series import Thing, values_of

MOST_SEASONS = 4  # lines that are still told apart


@dataclass(frozen=True)
class OfSeason:
    """A season's books, with its days that are over."""

    name: str
    books: SeasonBooks
    days: Sequence[date]


@dataclass(frozen=True)
class WeekRow:
    """One week of the season: its number from 1, and of each season its value and its address."""

    number: int
    cells: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class SeasonTrend:
    """The seasons, newest first, over one axis of weeks."""

    seasons: tuple[str, ...]
    rows: tuple[WeekRow, ...]
    picture: Drawn


def season_trend(thing: Thing, seasons: Sequence[OfSeason], *, to_date: bool) -> SeasonTrend:
    """Return a figure week by week, or to date at the end of each week.

    Week 1 is the calendar week that a season begins in, so that each number is that of the week's
    own page.
    """
    columns = [_weeks(season, to_date=to_date) for season in seasons]
    found = [
        values_of(season.books, thing.name, [period for _address, period in weeks])
        for season, weeks in zip(seasons, columns, strict=True)
    ]
    most = max((len(values) for values in found), default=0)
    shown = [
        Series(
            season.name,
            [
                None if n >= len(values) or values[n] is None
                else round(values[n] or 0.0, thing.decimals) for n in range(most)
            ],
        )
        for season, values in zip(seasons, found, strict=True)
    ]  # fmt: skip
    rows = tuple(
        WeekRow(
            n + 1,
            tuple(
                (printed(values[n], thing.decimals), weeks[n][0]) if n < len(values) else ("", "")
                for values, weeks in zip(found, columns, strict=True)
            ),
        )
        for n in range(most)
    )
    places = [f"{n + 1}" for n in range(most)]
    return SeasonTrend(
        tuple(season.name for season in seasons), rows, lines(places, shown, _(thing.unit))
    )


def _weeks(season: OfSeason, *, to_date: bool) -> list[tuple[str, Period]]:
    """Return the weeks of a season from its first, also those in which it stood still."""
    if not season.days:
        return []
    monday = season.days[0] - timedelta(days=season.days[0].weekday())
    found = []
    while monday <= season.days[-1]:
        last = min(monday + timedelta(days=6), season.days[-1])
        begins = date.min if to_date else monday
        address = f"/days/{last}" if to_date else f"/weeks/{monday:%G-W%V}"
        found.append((address, season.books.between(begins, last)))
        monday += timedelta(days=7)
    return found
