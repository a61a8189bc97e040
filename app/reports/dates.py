"""How days and moments are written on a page."""

from datetime import date, datetime

from app.plant.calendar import Clock


def long_day(day: date) -> str:
    """Return "Tuesday 14 July 2026"."""
    return f"{day:%A} {day.day} {day:%B %Y}"


def short_day(day: date) -> str:
    """Return "14 Jul"."""
    return f"{day.day} {day:%b}"


def moment(instant: datetime, clock: Clock) -> str:
    """Return "14 Jul 2026, 07:42" on the mill's clock."""
    local = clock.local(instant)
    return f"{local.day} {local:%b %Y, %H:%M}"


def clock_time(local: datetime) -> str:
    """Return "07:42" of a moment that is already on the mill's clock."""
    return f"{local:%H:%M}"
