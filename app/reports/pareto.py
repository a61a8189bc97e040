"""What is largest first: hours stopped by cause, station and machine; pol lost by place."""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from app.figures.sheets import Period
from app.figures.time_account import CAUSES
from app.language import _
from app.pictures.pareto import Bar, pareto_chart
from app.pictures.sizes import Drawn
from app.plant.streams import STATIONS
from app.reports.day import ACCOUNT, undetermined_doubt
from app.reports.numbers import printed
from app.reports.season_books import SeasonBooks
from app.reports.stops import joined

AT_MOST = 10  # bars; what is smaller is put together as others
UNTOLD, UNDETERMINED = "unaccounted_stop_hours", "undetermined_pol"
LOSSES = {tonnes: title for title, tonnes, _share in ACCOUNT if tonnes != "pol_in_sugar"}
HOURS = {f"{cause}_hours": title for cause, title in CAUSES.items()}
DOUBTED = "undetermined_loss"
NEEDED = (*HOURS, UNTOLD, *LOSSES, DOUBTED)


@dataclass(frozen=True)
class Cause:
    """One row: its words, figure if it is one, amount, share of all and share down to it."""

    title: str
    name: str
    amount: str
    share: str
    together: str


@dataclass(frozen=True)
class Pareto:
    """Causes, the largest first and what nobody named last; `below` are those under zero."""

    rows: tuple[Cause, ...]
    whole: str
    below: tuple[Cause, ...]
    lacking: tuple[str, ...]
    picture: Drawn | None


def pareto(
    amounts: Mapping[str, tuple[str, float | None]], unit: str, decimals: int, last: str = ""
) -> Pareto:
    """Return what some amounts come to, by name, each with its words.

    `last` names the one that is put last whatever its size. One that is zero is left out; one below
    zero is told apart, for it is no part of a whole.
    """
    known = {
        name: (title, value) for name, (title, value) in amounts.items()
        if value is not None and round(value, decimals)
    }  # fmt: skip
    rest = known.pop(last, None)
    large = sorted(
        ((value, name, title) for name, (title, value) in known.items() if value > 0),
        key=lambda row: -row[0],
    )
    if len(large) > AT_MOST:
        others = sum(value for value, _name, _title in large[AT_MOST - 1 :])
        large = [*large[: AT_MOST - 1], (others, "", _("Others"))]
    if rest and rest[1] > 0:
        large.append((rest[1], last, rest[0]))
    whole, so_far = sum(value for value, _name, _title in large), 0.0
    rows, bars = [], []
    for value, name, title in large:
        so_far += value
        share, together = 100 * value / whole, 100 * so_far / whole
        rows.append(
            Cause(title, name, printed(value, decimals), printed(share, 1), printed(together, 1))
        )
        bars.append(Bar(title, round(value, decimals), round(together, 1)))
    below = {**known, **({last: rest} if rest else {})}
    return Pareto(
        tuple(rows), printed(whole, decimals),
        tuple(
            Cause(title, name, printed(value, decimals), "", "")
            for name, (title, value) in below.items() if value < 0
        ),
        tuple(title for title, value in amounts.values() if value is None),
        pareto_chart(bars, unit, _("% of all, together")) if bars else None,
    )  # fmt: skip


def hours_by_cause(books: SeasonBooks, period: Period) -> Pareto:
    """Return the hours stopped of the time account; those told for no cause come last."""
    amounts = _amounts(books, period, {**HOURS, UNTOLD: "Not accounted for"})
    return pareto(amounts, _("h"), 2, UNTOLD)


def pol_by_place(books: SeasonBooks, period: Period) -> tuple[Pareto, str]:
    """Return the pol lost by place, and whether what is undetermined is real."""
    found = pareto(_amounts(books, period, LOSSES), _("t"), 1)
    return found, undetermined_doubt(books.over(period), 0)


def _amounts(
    books: SeasonBooks, period: Period, names: Mapping[str, str]
) -> dict[str, tuple[str, float | None]]:
    books.need(NEEDED)  # all at once: each further need would have them worked out again
    values = books.over(period).values
    return {name: (_(title), _known(float(values[name][0]))) for name, title in names.items()}


def _known(value: float) -> float | None:
    return value if math.isfinite(value) else None


def hours_by(records: Iterable[Mapping[str, Any]], by: str) -> Pareto:
    """Return the hours of stops of the book by "station" or "place"; what nobody said comes last.

    Those that did not stop crushing are left out, and so are those that have no end yet.
    """
    hours: dict[str, float] = {}
    for name, lasted in _stops(list(records), by):
        hours[name] = hours.get(name, 0.0) + lasted
    titles = STATIONS if by == "station" else {}
    amounts: dict[str, tuple[str, float | None]] = {
        name: (_(titles[name]) if name in titles else name or _("Not said"), value)
        for name, value in hours.items()
    }
    return pareto(amounts, _("h"), 2, "")


def _stops(records: Sequence[Mapping[str, Any]], by: str) -> list[tuple[str, float]]:
    stopped = [each for each in records if each["crushing"] == "stopped" and "ends" in each]
    if by == "station":
        return [(stop.station, stop.hours) for stop in joined(stopped)]
    return [(each.get(by, ""), each["counted"]) for each in stopped]
