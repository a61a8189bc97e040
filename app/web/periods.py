"""Which period an address names, and the season's books that hold it."""

from calendar import monthrange
from dataclasses import dataclass
from datetime import date, timedelta

from fastapi import HTTPException
from sqlalchemy import Connection

from app.figures.periods import Period
from app.ledger import mills
from app.ledger.mills import Mill, Season
from app.ledger.shifts import shift_table
from app.plant.calendar import days_of_week
from app.reports.dates import long_day
from app.reports.season_books import SeasonBooks


@dataclass(frozen=True)
class Asked:
    """A period of a season, with everything a report of it is made from."""

    mill: Mill
    season: Season
    books: SeasonBooks
    days: list[date]
    period: Period
    title: str
    address: str


def a_day(connection: Connection, day: date) -> Asked:
    """Return one factory day; 404 where no season holds it or nothing was entered."""
    mill, season = _season_of(connection, day)
    books = _books(connection, mill, season)
    return _asked(mill, season, books, [day], long_day(day), f"/days/{day}")


def a_shift(connection: Connection, day: date, number: int) -> Asked:
    """Return one shift; 404 where the season has no such row."""
    mill, season = _season_of(connection, day)
    books = _books(connection, mill, season)
    period = books.shift(day, number)
    if period is None:
        raise HTTPException(404, f"Nothing is entered yet for shift {number} of {long_day(day)}.")
    title = f"Shift {number} of {day.day} {day:%B %Y}"
    return Asked(mill, season, books, [day], period, title, f"/shifts/{day}/{number}")


def a_week(connection: Connection, name: str) -> Asked:
    """Return a week named like 2026-W29, its days that are over; 404 where there is none."""
    try:
        days = days_of_week(name)
    except ValueError:
        raise HTTPException(404, f"{name} is not a week; write it like 2026-W29.") from None
    return _days_of(connection, days, f"Week {name}", f"/weeks/{name}")


def a_month(connection: Connection, name: str) -> Asked:
    """Return a month named like 2026-07, its days that are over; 404 where there is none."""
    try:
        first = date.fromisoformat(f"{name}-01")
    except ValueError:
        raise HTTPException(404, f"{name} is not a month; write it like 2026-07.") from None
    days = [first + timedelta(days=gone) for gone in range(monthrange(first.year, first.month)[1])]
    return _days_of(connection, days, f"{first:%B %Y}", f"/months/{name}")


def _days_of(connection: Connection, days: list[date], title: str, address: str) -> Asked:
    mill = mills.the_mill(connection)
    season = next((s for d in days if (s := mills.season_of(connection, mill, d))), None)
    if season is None:
        raise HTTPException(404, f"No season holds {title}.")
    books = _books(connection, mill, season)
    held = [day for day in days if books.day(day).last]
    return _asked(mill, season, books, _over(books, held, mill), title, address)


def _over(books: SeasonBooks, days: list[date], mill: Mill) -> list[date]:
    """Leave out a last day that still runs: its weights are not in, and would blank the total."""
    runs = len(days) > 1 and books.days.count(days[-1]) < mill.shifts_a_day
    return days[:-1] if runs else days


def a_season(connection: Connection, name: str) -> Asked:
    """Return a season up to its last day that is over; 404 for a name that no season has."""
    mill = mills.the_mill(connection)
    season = mills.season_named(connection, mill, name)
    if season is None:
        raise HTTPException(404, f"There is no season called {name}.")
    books = _books(connection, mill, season)
    days = _over(books, sorted(set(books.days)), mill)
    return _asked(mill, season, books, days, f"Season {name}", f"/seasons/{name}")


def _season_of(connection: Connection, day: date) -> tuple[Mill, Season]:
    mill = mills.the_mill(connection)
    season = mills.season_of(connection, mill, day)
    if season is None:
        raise HTTPException(404, _outside(connection, mill, day))
    return mill, season


def _outside(connection: Connection, mill: Mill, day: date) -> str:
    known = [
        f"Season {s.name} began on {long_day(s.first_day)}"
        + (f" and ended on {long_day(s.last_day)}." if s.last_day else ".")
        for s in mills.seasons(connection, mill)
    ]
    return " ".join([f"No season holds {long_day(day)}.", *known])


def _books(connection: Connection, mill: Mill, season: Season) -> SeasonBooks:
    table = shift_table(connection, mill, season)
    return SeasonBooks(table, mills.convention_rows(connection, mill))


def _asked(
    mill: Mill, season: Season, books: SeasonBooks, days: list[date], title: str, address: str
) -> Asked:
    period = books.between(days[0], days[-1]) if days else Period(0, 0)
    if not period.last:
        raise HTTPException(404, f"Nothing is entered yet for {title}.")
    return Asked(mill, season, books, days, period, title, address)
