"""Which period an address names, and the season's books that hold it."""

from calendar import monthrange
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Annotated

from fastapi import Depends, HTTPException
from sqlalchemy import Connection

from app.exports.books import books_behind, books_of
from app.figures.sheets import Period
from app.language import _
from app.ledger import chain, mills
from app.ledger.mills import Mill, Season
from app.plant.calendar import days_of_week
from app.reports.dates import long_day, moment, month_of_year
from app.reports.runs import run_title
from app.reports.season_books import SeasonBooks
from app.reports.version import figures_version, program_version
from app.web.requests import Now, Reading

__all__ = ["Asked", "Find", "Finder", "books_of", "known_words"]


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


@dataclass(frozen=True)
class Finder:
    """Finds the period that an address names, as far as it is over at `now`; 404 where none is.

    Where figures are named, the books hold what those follow from and no more.
    """

    connection: Connection
    now: datetime
    names: tuple[str, ...] = ()

    def of(self, names: tuple[str, ...]) -> "Finder":
        """Return the finder for a page that prints those figures alone."""
        return replace(self, names=names)

    def books(self, mill: Mill, season: Season) -> SeasonBooks:
        """Return the books of a season."""
        if self.names:
            return books_behind(self.connection, mill, season, self.names)
        return books_of(self.connection, mill, season)

    def day(self, day: date) -> Asked:
        """Return one factory day that has an entry."""
        mill, season = self._season_of(day)
        books = self.books(mill, season)
        return _asked(mill, season, books, [day], long_day(day), f"/days/{day}")

    def shift(self, day: date, number: int) -> Asked:
        """Return one shift that has an entry."""
        mill, season = self._season_of(day)
        books = self.books(mill, season)
        period = books.shift(day, number)
        if period is None:
            raise HTTPException(
                404,
                _(
                    "Nothing is entered yet for shift {number} of {day}.",
                    number=number,
                    day=long_day(day),
                ),
            )
        title = _("Shift {number} of {day}", number=number, day=long_day(day))
        return Asked(mill, season, books, [day], period, title, f"/shifts/{day}/{number}")

    def week(self, name: str) -> Asked:
        """Return a week named like 2026-W29, its days that are over."""
        try:
            days = days_of_week(name)
        except ValueError:
            raise HTTPException(
                404, _("{name} is not a week; write it like 2026-W29.", name=name)
            ) from None
        return self._days(days, _("Week {name}", name=name), f"/weeks/{name}")

    def month(self, name: str) -> Asked:
        """Return a month named like 2026-07, its days that are over."""
        try:
            first = date.fromisoformat(f"{name}-01")
        except ValueError:
            raise HTTPException(
                404, _("{name} is not a month; write it like 2026-07.", name=name)
            ) from None
        length = monthrange(first.year, first.month)[1]
        days = [first.replace(day=1 + gone) for gone in range(length)]
        return self._days(days, month_of_year(first), f"/months/{first:%Y-%m}")

    def run(self, first: date, last: date) -> Asked:
        """Return the days from `first` to `last` of one season, those that are over."""
        mill, season = self._season_of(first)
        if last < first or last not in season:
            raise HTTPException(404, _("A run ends after it began, within its season."))
        books = self.books(mill, season)
        held = [day for day in sorted(set(books.days)) if first <= day <= last]
        asked = self._over(held, mill)
        return _asked(mill, season, books, asked, run_title(first, last), f"/runs/{first}/{last}")

    def season(self, name: str) -> Asked:
        """Return a season, its days that are over."""
        mill = mills.the_mill(self.connection)
        season = mills.season_named(self.connection, mill, name)
        if season is None:
            raise HTTPException(404, _("There is no season called {name}.", name=name))
        books = self.books(mill, season)
        days = self._over(sorted(set(books.days)), mill)
        return _asked(mill, season, books, days, _("Season {name}", name=name), f"/seasons/{name}")

    def season_before(self, asked: Asked) -> Season | None:
        """Return the season before that of a period, if the ledger holds one."""
        every = mills.seasons(self.connection, asked.mill)
        return next((one for one in every if one.first_day < asked.season.first_day), None)

    def is_over(self, day: date, mill: Mill) -> bool:
        """Tell whether the last shift of `day` has ended."""
        return mill.clock.shift_bounds(day, mill.shifts_a_day)[1] <= self.now

    def _days(self, days: list[date], title: str, address: str) -> Asked:
        mill = mills.the_mill(self.connection)
        seasons = (mills.season_of(self.connection, mill, day) for day in days)
        season = next((s for s in seasons if s), None)
        if season is None:
            raise HTTPException(404, _("No season holds {title}.", title=title))
        books = self.books(mill, season)
        held = [day for day in days if books.day(day).last]
        return _asked(mill, season, books, self._over(held, mill), title, address)

    def _over(self, days: list[date], mill: Mill) -> list[date]:
        """Leave out a last day that still runs: its weights are not in, and would blank totals."""
        runs = len(days) > 1 and not self.is_over(days[-1], mill)
        return days[:-1] if runs else days

    def _season_of(self, day: date) -> tuple[Mill, Season]:
        mill = mills.the_mill(self.connection)
        season = mills.season_of(self.connection, mill, day)
        if season is None:
            raise HTTPException(404, _outside(self.connection, mill, day))
        return mill, season


def known_words(find: Finder, mill: Mill) -> str:
    """Return when what is printed was known, by which program, and the head of the chain."""
    return _(
        "Known {moment}; program {program}, figures {figures}; chain {head}",
        moment=moment(find.now, mill.clock), program=program_version(),
        figures=figures_version(), head=chain.head(find.connection).short,
    )  # fmt: skip


def same_days(asked: Asked, before: Season) -> tuple[date, date]:
    """Return the days of the season before that are as far from its first day."""
    gone = before.first_day - asked.season.first_day
    return asked.days[0] + gone, asked.days[-1] + gone


def _finder(connection: Reading, now: Now) -> Finder:
    return Finder(connection, now)


Find = Annotated[Finder, Depends(_finder)]


def _outside(connection: Connection, mill: Mill, day: date) -> str:
    known = [
        _(
            "Season {name} began on {first} and ended on {last}.",
            name=s.name,
            first=long_day(s.first_day),
            last=long_day(s.last_day),
        )
        if s.last_day
        else _("Season {name} began on {first}.", name=s.name, first=long_day(s.first_day))
        for s in mills.seasons(connection, mill)
    ]
    return " ".join([_("No season holds {day}.", day=long_day(day)), *known])


def _asked(
    mill: Mill, season: Season, books: SeasonBooks, days: list[date], title: str, address: str
) -> Asked:
    period = books.between(days[0], days[-1]) if days else Period(0, 0)
    if not period.last:
        raise HTTPException(404, _("Nothing is entered yet for {title}.", title=title))
    return Asked(mill, season, books, days, period, title, address)
