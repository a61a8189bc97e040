"""How days and moments are written on a page, in the language chosen."""

import re
from datetime import date, datetime
from functools import lru_cache

from babel.dates import format_date, format_skeleton

from app.language import ENGLISH, chosen, locale_of
from app.plant.calendar import Clock

_OFFSET = re.compile(r"Etc/GMT([+-]\d{1,2})")


def long_day(day: date) -> str:
    """Return "Tuesday 14 July 2026"."""
    return _written(day, "EEEE d MMMM y" if chosen() == ENGLISH else "full", chosen())


def short_day(day: date) -> str:
    """Return "14 Jul"."""
    return _written(day, "d MMM", chosen())


def calendar_day(day: date | str) -> str:
    """Return "14 Jul 2026"."""
    return _written(date.fromisoformat(f"{day}"), "d MMM y", chosen())


def closed(words: str) -> str:
    """Return words with a full stop, unless a shortened month at their end brings its own."""
    return words if words.removesuffix("</a>").endswith(".") else words + "."


def weekday(day: date) -> str:
    """Return "Tuesday"."""
    return _written(day, "EEEE", chosen())


def short_weekday(day: date) -> str:
    """Return "Tue"."""
    return _written(day, "EEE", chosen())


def month_name(day: date) -> str:
    """Return "July"."""
    return _written(day, "LLLL", chosen())


def month_of_year(day: date) -> str:
    """Return "July 2026"."""
    return format_skeleton("yMMMM", day, locale=locale_of(chosen()))


def moment(instant: datetime, clock: Clock) -> str:
    """Return "14 Jul 2026, 07:42" on the mill's clock."""
    local = clock.local(instant)
    return f"{calendar_day(local.date())}, {clock_time(local)}"


def clock_time(local: datetime) -> str:
    """Return "07:42" of a moment that is already on the mill's clock."""
    return f"{local:%H:%M}"


def zone_words(zone: str) -> str:
    """Return how a time zone is told: by its name, or as "UTC+04:00" where that is an offset.

    The names of those, as Etc/GMT-4, have the sign turned round.
    """
    offset = _OFFSET.fullmatch(zone)
    if not offset:
        return zone
    hours = -int(offset[1])
    return f"UTC{hours:+03d}:00".replace("-", "\u2212") if hours else "UTC"


@lru_cache(maxsize=4096)
def _written(day: date, pattern: str, language: str) -> str:
    return format_date(day, pattern, locale=locale_of(language))
