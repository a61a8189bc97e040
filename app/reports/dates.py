"""How days and moments are written on a page, in the language chosen."""

from datetime import date, datetime
from functools import lru_cache

from babel.dates import format_date, format_skeleton

from app.language import ENGLISH, chosen, day_words, locale_of
from app.plant.calendar import Clock


def long_day(day: date) -> str:
    """Return "Tuesday 14 July 2026"."""
    return _written(day, "EEEE d MMMM y" if chosen() == ENGLISH else "full", chosen())


def short_day(day: date) -> str:
    """Return "14 Jul"."""
    return _written(day, "d MMM", chosen())


def calendar_day(day: date | str) -> str:
    """Return "2026-07-14", as English readers type it, or as another language writes a day."""
    return day_words(date.fromisoformat(f"{day}"))


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
    return f"{_written(local.date(), 'd MMM y', chosen())}, {clock_time(local)}"


def clock_time(local: datetime) -> str:
    """Return "07:42" of a moment that is already on the mill's clock."""
    return f"{local:%H:%M}"


@lru_cache(maxsize=4096)
def _written(day: date, pattern: str, language: str) -> str:
    return format_date(day, pattern, locale=locale_of(language))
