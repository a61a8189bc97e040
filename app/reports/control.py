"""A control chart: a measure or figure, its limits from a baseline, and what rules find in it."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import pairwise

import numpy as np

from app.chemistry.control_chart import FEWEST, Limits, follow_each_other, limits
from app.chemistry.run_rules import (
    ABOVE,
    BELOW,
    EITHER,
    FALLING,
    RISING,
    RULES,
    USUAL,
    Found,
    Rule,
    Values,
)
from app.language import _, ngettext
from app.pictures.control import CENTRE, TARGET, Level, Named, control_chart
from app.pictures.sizes import Drawn
from app.reports.numbers import printed
from app.reports.series import Place, Thing

__all__ = ["RULES", "USUAL", "Basis", "Chart", "Limits", "Rule"]

# what a rule found on a side, in words
SENTENCES = {
    ("beyond", ABOVE): "{when}: {many} above the upper limit",
    ("beyond", BELOW): "{when}: {many} below the lower limit",
    ("eight", ABOVE): "{when}: {many} in a row above the centre",
    ("eight", BELOW): "{when}: {many} in a row below the centre",
    ("nine", ABOVE): "{when}: {many} in a row above the centre",
    ("nine", BELOW): "{when}: {many} in a row below the centre",
    ("steady", RISING): "{when}: {many} in a row, each higher than the one before",
    ("steady", FALLING): "{when}: {many} in a row, each lower than the one before",
    ("alternate", EITHER): "{when}: {many} in a row go up and down in turn",
    ("two_of_three", ABOVE): "{when}: {many} beyond two sigma above the centre",
    ("two_of_three", BELOW): "{when}: {many} beyond two sigma below the centre",
    ("four_of_five", ABOVE): "{when}: {many} beyond one sigma above the centre",
    ("four_of_five", BELOW): "{when}: {many} beyond one sigma below the centre",
    ("near", EITHER): "{when}: {many} in a row within one sigma of the centre",
    ("far", EITHER): "{when}: {many} in a row beyond one sigma, on both sides",
}

USUAL_BASELINE = 20  # shifts, days or weeks with a value, where no baseline is kept or chosen


@dataclass(frozen=True)
class Basis:
    """What the limits rest on: its days, how many values they had, and the limits if any."""

    first: date | None
    last: date | None
    count: int
    limits: Limits | None


@dataclass(frozen=True)
class Point:
    """One row of the table: its place, its value, its change, and the rules that name it."""

    title: str
    address: str
    value: str
    change: str
    far_change: bool
    named: tuple[str, ...]


@dataclass(frozen=True)
class Judged:
    """A rule: whether it is on, and what it finds in what is shown, newest first."""

    rule: Rule
    on: bool
    said: tuple[str, ...]


@dataclass(frozen=True)
class Chart:
    """A control chart with its table and what the rules say; levels are as printed."""

    picture: Drawn
    points: tuple[Point, ...]
    judged: tuple[Judged, ...]
    levels: Mapping[str, str]
    alike: bool
    count: int

    @property
    def said(self) -> list[str]:
        """What the rules that are on find."""
        return [words for judged in self.judged if judged.on for words in judged.said]


def basis_of(
    places: Sequence[Place], values: Sequence[float | None], days: tuple[date, date] | None
) -> Basis:
    """Return limits from what lies within some days, or else from the first twenty values."""
    real = [
        (place, value) for place, value in zip(places, values, strict=True) if value is not None
    ]
    if days:
        real = [(p, v) for p, v in real if days[0] <= p.first and p.last <= days[1]]
    else:
        real = real[:USUAL_BASELINE]
    first, last = days or (None, None)
    if real:
        first, last = first or real[0][0].first, last or real[-1][0].last
    return Basis(first, last, len(real), limits([value for _place, value in real]))


def no_limits_because(basis: Basis) -> str:
    """Say why there are no limits."""
    if basis.count < FEWEST:
        return ngettext(
            "The baseline has {count} value; limits need {fewest} or more",
            "The baseline has {count} values; limits need {fewest} or more",
            basis.count, fewest=FEWEST,
        )  # fmt: skip
    return _("The values of the baseline do not differ, and give no limits")


def control_of(  # noqa: PLR0913, PLR0917  each part of a chart is named
    thing: Thing,
    per: str,
    places: Sequence[Place],
    values: Sequence[float | None],
    shown: tuple[date, date],
    basis: Basis,
    on: Collection[str],
    target: float | None,
) -> Chart:
    """Return the chart of `thing` over the places within `shown`, judged by all their values.

    Rules go from value to value: a place without one is passed over.
    """
    real = [n for n, value in enumerate(values) if value is not None]
    series = np.array([values[n] for n in real], dtype=float)
    found = _found(series, basis.limits)
    inside = [n for n, p in enumerate(places) if shown[0] <= p.first and p.last <= shown[1]]
    first_real = sum(1 for n in real if n < inside[0]) if inside else len(real)
    last_real = sum(1 for n in real if n <= inside[-1]) if inside else 0
    seen = {
        name: [f for f in every if f.last >= first_real and f.first < last_real]
        for name, every in found.items()
    }
    named = {name: {real[n] for f in every for n in f.points} for name, every in seen.items()}
    changes = {real[n]: abs(b - a) for n, (a, b) in enumerate(pairwise(series.tolist()), 1)}
    printed_values = [
        None if (value := values[n]) is None else round(value, thing.decimals) for n in inside
    ]
    levels = _levels(basis.limits, target, thing)
    return Chart(
        control_chart(
            [places[n].short for n in inside], printed_values, _(thing.unit),
            [level for level, _text in levels.values()],
            [
                Named(_(RULES[name].title),
                      frozenset(at for at, n in enumerate(inside) if n in named[name]))
                for name in RULES if name in on
            ],
        ),
        tuple(
            Point(
                places[n].title,
                f"{places[n].address}/figures/{thing.name}" if thing.opens else places[n].address,
                printed(values[n], thing.decimals), printed(changes.get(n), thing.decimals),
                basis.limits is not None and changes.get(n, 0) > basis.limits.moving_range,
                tuple(_(RULES[name].title) for name in RULES if name in on and n in named[name]),
            )
            for n in inside
        ),
        tuple(
            Judged(
                rule, rule.name in on,
                tuple(
                    _said(rule, f, [places[real[n]] for n in (f.first, f.last)], per)
                    for f in reversed(seen[rule.name])
                ),
            )
            for rule in RULES.values()
        ),
        {name: text for name, (_level, text) in levels.items()}
        | _change(basis.limits, thing.decimals),
        _alike(places, values, basis),
        sum(1 for n in inside if values[n] is not None),
    )  # fmt: skip


def _found(series: Values, by: Limits | None) -> dict[str, list[Found]]:
    if by is None or not len(series):
        return {name: [] for name in RULES}
    off = (series - by.centre) / by.sigma
    return {name: rule.found(off) for name, rule in RULES.items()}


def _alike(places: Sequence[Place], values: Sequence[float | None], basis: Basis) -> bool:
    """Tell whether neighbours are alike, where all of what limits rest on is at hand."""
    if basis.first is None or basis.last is None:
        return False
    within = [
        value for place, value in zip(places, values, strict=True)
        if value is not None and basis.first <= place.first and place.last <= basis.last
    ]  # fmt: skip
    return len(within) >= FEWEST and follow_each_other(within)


def _levels(by: Limits | None, target: float | None, thing: Thing) -> dict[str, tuple[Level, str]]:
    """Return the levels of a chart by name, each with its number as printed."""
    found: dict[str, tuple[Level, str]] = {}
    if by is not None:
        high, centre, low = (
            printed(each, thing.decimals + 1) for each in (by.high, by.centre, by.low)
        )
        found["high"] = Level(_("upper limit {value}", value=high), by.high), high
        found["centre"] = Level(_("centre {value}", value=centre), by.centre, CENTRE), centre
        found["low"] = Level(_("lower limit {value}", value=low), by.low), low
    if target is not None:
        text = printed(target, thing.decimals)
        found["target"] = Level(_("target {value}", value=text), target, TARGET), text
    return found


def _change(by: Limits | None, decimals: int) -> dict[str, str]:
    return {} if by is None else {
        "sigma": printed(by.sigma, decimals + 1), "change": printed(by.moving_range, decimals + 1),
    }  # fmt: skip


def _said(rule: Rule, found: Found, ends: Sequence[Place], per: str) -> str:
    """Return what a rule found in words: "12 Oct to 20 Oct: 9 days in a row above the centre"."""
    count = len(found.points)
    many = {
        "shift": ngettext("{count} shift", "{count} shifts", count),
        "day": ngettext("{count} day", "{count} days", count),
        "week": ngettext("{count} week", "{count} weeks", count),
    }[per]
    first, last = (end.title for end in ends)
    when = first if first == last else _("{first} to {last}", first=first, last=last)
    return _(SENTENCES[rule.name, found.side], when=when, many=many)
