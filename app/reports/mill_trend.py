"""The tandem mill by mill: how brix falls along it, and what each mill extracts, week by week."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from app.figures import FIGURES
from app.figures.mills import UP_TO
from app.language import _
from app.pictures.lines import Series, lines
from app.pictures.sizes import Drawn
from app.reports.numbers import printed
from app.reports.season_books import SeasonBooks
from app.reports.series import Place, figures_over, values_of

WEEKS = 3  # that are drawn beside the season
LAST_BRIX, LAST_NET = "last_expressed_juice_brix", "last_mill_extraction"
LAST_UP_TO = "pol_extraction"


@dataclass(frozen=True)
class Curve:
    """Rows of one table with their picture: its caption, unit, headings and rows as printed.

    A row has words, an address and its numbers; a heading has words and the figure it is of, or
    nothing.
    """

    caption: str
    unit: str
    headings: tuple[str, ...]
    rows: tuple[tuple[str, str, tuple[str, ...]], ...]
    picture: Drawn


@dataclass(frozen=True)
class MillTrend:
    """Brix and extraction along the tandem, and the net extraction of each mill week by week."""

    brix: Curve
    up_to: Curve
    net: Curve
    mills: int


def mill_trend(books: SeasonBooks, weeks: Sequence[Place], season: Place) -> MillTrend | None:
    """Return the tandem of a season; None where no week has results of its mills.

    The curves along the tandem are of the season and of the newest weeks that were surveyed.
    """
    chosen = {each.name: each.value for each in books.in_force(season.last)}
    mills = int(chosen["tandem_mills"])
    brix = [*(f"mill_{n}_juice_brix" for n in range(1, mills)), LAST_BRIX]
    up_to = [*(UP_TO[n] for n in range(1, mills)), LAST_UP_TO]
    net = [UP_TO[1], *(f"mill_{n}_net_extraction" for n in range(2, mills)), LAST_NET]
    places = [*weeks, season]
    periods = [place.period for place in places]
    found = figures_over(books, (*brix[:-1], *up_to, *net), periods)
    found[LAST_BRIX] = values_of(books, LAST_BRIX, periods)  # of which there is no figure
    surveyed = [n for n in range(len(weeks)) if found[brix[0]][n] is not None]
    if not surveyed:
        return None
    drawn = [len(weeks), *reversed(surveyed[-WEEKS:])]
    titles = [*(_("Mill {number}", number=n) for n in range(1, mills)), _("Last mill")]
    return MillTrend(
        _along(_("Brix of the juice of each mill"), brix, titles, places, drawn, found),
        _along(_("Pol extracted up to each mill"), up_to, titles, places, drawn, found),
        _by_week(_("Net extraction of each mill, week by week"), net, titles, weeks, found),
        mills,
    )


def _along(
    caption: str,
    names: Sequence[str],
    titles: Sequence[str],
    places: Sequence[Place],
    drawn: Sequence[int],
    found: Mapping[str, Sequence[float | None]],
) -> Curve:
    """Return a curve along the tandem for each of some periods: a row a period."""
    decimals, unit = FIGURES[names[0]].decimals, _(FIGURES[names[0]].unit)
    rows = [[found[name][n] for name in names] for n in drawn]
    series = [
        Series(places[n].title, _rounded(row, decimals)) for n, row in zip(drawn, rows, strict=True)
    ]
    return Curve(
        caption, unit, tuple(titles), _printed([places[n] for n in drawn], rows, decimals),
        lines(titles, series, unit),
    )  # fmt: skip


def _by_week(
    caption: str,
    names: Sequence[str],
    titles: Sequence[str],
    weeks: Sequence[Place],
    found: Mapping[str, Sequence[float | None]],
) -> Curve:
    """Return a line for each mill but the first over the weeks; the table has the first too."""
    decimals, unit = FIGURES[names[0]].decimals, _("% pol before it")
    rows = [[found[name][n] for name in names] for n in range(len(weeks))]
    series = [
        Series(title, _rounded(found[name][: len(weeks)], decimals))
        for title, name in list(zip(titles, names, strict=True))[1:]
    ]
    return Curve(
        caption, unit, tuple(titles), _printed(weeks, rows, decimals),
        lines([week.title for week in weeks], series, unit),
    )  # fmt: skip


def _rounded(values: Sequence[float | None], decimals: int) -> list[float | None]:
    return [None if value is None else round(value, decimals) for value in values]


def _printed(
    places: Sequence[Place], rows: Sequence[Sequence[float | None]], decimals: int
) -> tuple[tuple[str, str, tuple[str, ...]], ...]:
    return tuple(
        (place.title, place.address, tuple(printed(value, decimals) for value in row))
        for place, row in zip(places, rows, strict=True)
    )
