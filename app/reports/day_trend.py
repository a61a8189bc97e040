"""The last days of a figure, as a small picture and in words."""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from app.figures import FIGURES
from app.language import _, ngettext
from app.pictures.spark import spark
from app.reports.dates import short_day
from app.reports.numbers import printed
from app.reports.season_books import SeasonBooks

DAYS = 14


@dataclass(frozen=True)
class DayTrend:
    """A figure on the last days: its picture, the same in words, and its exact values."""

    name: str
    title: str
    picture: str
    words: str
    values: tuple[tuple[date, float | None], ...]


def trends(
    books: SeasonBooks, day: date, names: Iterable[str], targets: Mapping[str, float]
) -> dict[str, DayTrend]:
    """Return the trend of each figure up to a day; a day without entries, or a value, is a gap."""
    days = [day - timedelta(days=gone) for gone in range(DAYS - 1, -1, -1)]
    held = [each for each in days if each in set(books.days)]
    result = books.books.over([books.day(each) for each in held])
    found = {}
    for name in names:
        decimals = FIGURES[name].decimals
        exact = {
            each: float(value)
            for each, value in zip(held, result.values[name], strict=True)
            if math.isfinite(value)
        }
        # rounded as they are printed, so that picture and words never differ
        known = {each: round(value, decimals) for each, value in exact.items()}
        picture = spark([known.get(each) for each in days], targets.get(name))
        found[name] = DayTrend(
            name, FIGURES[name].title, picture, _words(days, known, decimals),
            tuple((each, exact.get(each)) for each in days),
        )  # fmt: skip
    return found


def _words(days: list[date], known: Mapping[date, float], decimals: int) -> str:
    if not known:
        return _("no value on the last {count} days", count=len(days))
    low, high, last = (
        min(known, key=known.__getitem__),
        max(known, key=known.__getitem__),
        max(known),
    )
    words = _(
        "{count} days: lowest {low} ({low_day}), highest {high} ({high_day}), last {last}",
        count=len(days), low=printed(known[low], decimals), low_day=short_day(low),
        high=printed(known[high], decimals), high_day=short_day(high),
        last=printed(known[last], decimals),
    )  # fmt: skip
    gaps = len(days) - len(known)
    if gaps:
        words += "; " + ngettext("{count} day has none", "{count} days have none", gaps)
    return words
