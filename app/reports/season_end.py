"""When the season ends, and with how much sugar: the page of the forecast."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from app.figures import CONVENTIONS
from app.figures.forecast import BLOCK, FROM_BLOCKS, SHARE, Forecast, Span
from app.figures.sheets import Period
from app.language import _
from app.pictures.fan import Names, fan
from app.pictures.sizes import Drawn
from app.reports.dates import calendar_day, long_day, short_day
from app.reports.numbers import printed, unrounded
from app.reports.season_books import InForce, SeasonBooks
from app.reports.series import figures_over

ESTIMATE, UNSURE = "cane_estimate", "cane_estimate_uncertainty"
CANE, MADE, BAGGED = "cane", "sugar_made_and_estimated", "sugar"
ASKED = (CANE, MADE, BAGGED)
MOST_WEEKS = 60  # of what is to come, that a page prints


@dataclass(frozen=True)
class EndRow:
    """One thing that is forecast: likeliest, and the two ends of its band, as printed."""

    name: str
    title: str
    unit: str
    middle: str
    low: str
    high: str


@dataclass(frozen=True)
class WeekRow:
    """The season at the end of a day: cane and sugar so far, or low, likeliest and high."""

    day: date
    gone: bool
    cane: tuple[str, str, str]
    sugar: tuple[str, str, str]


@dataclass(frozen=True)
class Estimate:
    """The estimate of the crop that a forecast stands on, as printed, and who says so."""

    tonnes: str
    unsure: str
    since: date
    source: str


@dataclass(frozen=True)
class SeasonEnd:
    """Everything the page of a forecast prints; `none` says in words why there is none.

    Of a season that has `ended` nothing is to come.
    """

    last: date
    first: date
    ended: bool = False
    none: str = ""
    asks: bool = False
    estimate: Estimate | None = None
    sugar_is: str = MADE
    sentence: str = ""
    between: str = ""
    tried: bool = True
    rows: tuple[EndRow, ...] = ()
    weeks: tuple[WeekRow, ...] = ()
    cane: Drawn | None = None
    sugar: Drawn | None = None
    forecast: Forecast | None = None

    @property
    def share(self) -> int:
        """Of ten cases, how many lie within a band."""
        return round(10 * SHARE)


class _NoForecast(Exception):
    """Why there is none, in words, and whether an estimate of the crop is asked for."""

    def __init__(self, words: str, *, asks: bool = False) -> None:
        super().__init__(words)
        self.asks = asks


def season_end(books: SeasonBooks, days: Sequence[date], estimated: tuple[date, date]) -> SeasonEnd:
    """Return the forecast as known at the end of the last of `days`.

    An estimate of the crop counts that holds from one of the days `estimated`, both included: one
    from before them was of an earlier season.
    """
    first, last = days[0], days[-1]
    try:
        estimate, unsure = _estimate(books.in_force(estimated[1]), estimated[0])
        ends = _ends(first, last)
        forecast, sugar_is = _forecast(books, ends, estimate, unsure)
    except _NoForecast as none:
        return SeasonEnd(last, first, none=f"{none}", asks=none.asks)
    ends = ends[-FROM_BLOCKS:]
    return SeasonEnd(
        last, first, sugar_is=sugar_is, forecast=forecast, tried=forecast.tried,
        estimate=Estimate(
            printed(_number(estimate), 0), unrounded(unsure), estimate.since or first,
            estimate.source,
        ),
        sentence=_sentence(forecast, last), between=_between(forecast, last),
        rows=tuple(_rows(forecast, last)), weeks=tuple(_weeks(forecast, ends)),
        cane=_fan(forecast, ends, "cane"), sugar=_fan(forecast, ends, "sugar"),
    )  # fmt: skip


def _ends(first: date, last: date) -> list[date]:
    """Return the last day of each block, counted back from the last day."""
    gone = (last - first).days + 1
    if gone < BLOCK * FROM_BLOCKS:
        raise _NoForecast(_(
            "A forecast needs {days} days of the season; {gone} are over.",
            days=BLOCK * FROM_BLOCKS, gone=gone,
        ))  # fmt: skip
    return [last - timedelta(days=BLOCK * n) for n in reversed(range(gone // BLOCK))]


def _forecast(
    books: SeasonBooks, ends: Sequence[date], estimate: InForce, unsure: float
) -> tuple[Forecast, str]:
    """Return the forecast and which sugar it is of."""
    last = ends[-1]
    spans = [(end - timedelta(days=BLOCK - 1), end) for end in ends]
    stated = min(estimate.since or last, last + timedelta(days=1))
    before = books.between(date.min, stated - timedelta(days=1))
    periods = [*(books.between(*span) for span in spans), books.to(last), before]
    found = {
        name: _tonnes(values, periods)
        for name, values in figures_over(books, ASKED, periods).items()
    }
    *of_blocks, crushed, was = found[CANE]
    if crushed is None or was is None:
        lacking = [span for span, cane in zip(spans, of_blocks, strict=True) if cane is None]
        words = [f"{short_day(a)} – {short_day(b)}" for a, b in lacking] or [long_day(last)]
        raise _NoForecast(
            _("The weight of cane lacks in these days: {days}.", days="; ".join(words))
        )
    sugar = next((name for name in (MADE, BAGGED) if None not in found[name][:-1]), None)
    if sugar is None:
        raise _NoForecast(_("The sugar of some weeks of the season lacks."))
    *of_sugar, made, _before = found[sugar]
    crop = _number(estimate)
    if crop <= crushed:
        raise _NoForecast(
            _(
                "{crushed} t were crushed, and {estimate} t estimated: all of it is in.",
                crushed=printed(crushed, 0), estimate=printed(crop, 0),
            ),
            asks=True,
        )  # fmt: skip
    forecast = Forecast(
        np.array(of_blocks, dtype=float), np.array(of_sugar, dtype=float),
        crushed, made or 0.0, crop - crushed, (crop - was) * unsure / 100,
    )  # fmt: skip
    if not forecast.enough:
        raise _NoForecast(_("The mill stood in too many of the last weeks."))
    return forecast, sugar


def _estimate(in_force: Iterable[InForce], since: date) -> tuple[InForce, float]:
    """Return the estimate that holds, and in % by how much the cane to come is unsure."""
    chosen = {each.name: each for each in in_force}
    estimate = chosen[ESTIMATE]
    if not _number(estimate) or estimate.since is None or estimate.since < since:
        raise _NoForecast(_("Nobody has estimated the cane of this season."), asks=True)
    return estimate, _number(chosen[UNSURE])


def _number(chosen: InForce) -> float:
    return float(CONVENTIONS[chosen.name].read(chosen.value))


def _tonnes(values: Sequence[float | None], periods: Sequence[Period]) -> list[float | None]:
    """Return the tonnes of each block; none were there in one of which there is no sheet."""
    return [
        value if period.last > period.first else 0.0
        for value, period in zip(values, periods, strict=True)
    ]


def _ended(last: date, days: float) -> date:
    return last + timedelta(days=min(math.ceil(days), 3650))


def _sentence(forecast: Forecast, last: date) -> str:
    days, sugar = forecast.days, forecast.sugar_at_end
    return _(
        "Crushing ends about {day}, with about {sugar} t of sugar.",
        day=long_day(_ended(last, days.middle)), sugar=printed(sugar.middle, 0),
    )  # fmt: skip


def _between(forecast: Forecast, last: date) -> str:
    days, sugar = forecast.days, forecast.sugar_at_end
    return _(
        "In {share} cases of 10 between {first} and {last}, with {low} to {high} t.",
        first=long_day(_ended(last, days.low())), last=long_day(_ended(last, days.high)),
        low=printed(sugar.low(forecast.made), 0), high=printed(sugar.high, 0),
        share=round(10 * SHARE),
    )  # fmt: skip


def _rows(forecast: Forecast, last: date) -> Iterable[EndRow]:
    cane, days = forecast.cane_at_end, forecast.days
    left = Span(forecast.left, cane.reach)
    day = [calendar_day(_ended(last, d)) for d in (days.middle, days.low(), days.high)]
    yield _row("cane_left", _("Cane to come"), _("t"), left, 0)
    yield _row("cane_of_season", _("Cane of the season"), _("t"), cane, 0, forecast.crushed)
    yield _row("days", _("Days to the end"), _("days"), days, 1)
    yield EndRow("last_day", _("Last day of crushing"), "", *day)
    yield _row(
        "sugar_per_cane", _("Sugar % cane, of the cane to come"), _("% cane"),
        Span(100 * forecast.sugar_per_cane.middle, 100 * forecast.sugar_per_cane.reach), 2,
    )  # fmt: skip
    yield _row(
        "sugar_of_season", _("Sugar of the season"), _("t"), forecast.sugar_at_end, 0, forecast.made
    )


def _row(name: str, title: str, unit: str, span: Span, decimals: int, least: float = 0.0) -> EndRow:
    return EndRow(
        name, title, unit,
        *(printed(v, decimals) for v in (span.middle, span.low(least), span.high)),
    )  # fmt: skip


def _ahead(forecast: Forecast) -> list[int]:
    """Return after how many days more the season is told, to the late end."""
    most = min(math.ceil(forecast.days.high / BLOCK), MOST_WEEKS)
    return [BLOCK * n for n in range(1, most + 1)]


def _so_far(forecast: Forecast) -> tuple[list[float], list[float]]:
    """Return cane and sugar at the end of each of the blocks that the forecast is made from."""
    cane = forecast.crushed - forecast.cane.sum() + forecast.cane.cumsum()
    sugar = forecast.made - forecast.sugar.sum() + forecast.sugar.cumsum()
    return cane[-FROM_BLOCKS:].tolist(), sugar[-FROM_BLOCKS:].tolist()


def _weeks(forecast: Forecast, ends: Sequence[date]) -> Iterable[WeekRow]:
    for end, cane, sugar in zip(ends, *_so_far(forecast), strict=True):
        yield WeekRow(
            end, gone=True, cane=("", printed(cane, 0), ""), sugar=("", printed(sugar, 0), "")
        )
    for days in _ahead(forecast):
        cane_to, sugar_to = forecast.cane_after(days), forecast.sugar_after(days)
        yield WeekRow(
            ends[-1] + timedelta(days=days), gone=False,
            cane=_three(cane_to, forecast.crushed), sugar=_three(sugar_to, forecast.made),
        )  # fmt: skip


def _three(span: Span, least: float) -> tuple[str, str, str]:
    low, middle, high = (printed(v, 0) for v in (span.low(least), span.middle, span.high))
    return low, middle, high


def _fan(forecast: Forecast, ends: Sequence[date], what: str) -> Drawn:
    cane, sugar = _so_far(forecast)
    after = forecast.cane_after if what == "cane" else forecast.sugar_after
    least = forecast.crushed if what == "cane" else forecast.made
    more = _ahead(forecast)
    spans = [after(days) for days in more]
    return fan(
        [short_day(end) for end in (*ends, *(ends[-1] + timedelta(days=n) for n in more))],
        [round(tonnes) for tonnes in (cane if what == "cane" else sugar)],
        [(round(s.low(least)), round(s.middle), round(s.high)) for s in spans],
        Names(_("so far"), _("likeliest"), _("{share} cases of 10", share=round(10 * SHARE))),
        _("t"),
    )
