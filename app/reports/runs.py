"""Runs: spans of days that a mill chooses, or that lie between long stops."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from app.language import _
from app.reports.dates import calendar_day, long_day, short_day
from app.reports.numbers import printed
from app.reports.season_books import SeasonBooks
from app.reports.series import days_entered, figures_over, places_of

ASKED = ("cane", "crushing_hours", "gross_hours")
LONG = 12.0  # hours of a day in which crushing stood, from which on it parts two runs


@dataclass(frozen=True)
class Run:
    """Days in a row on none of which crushing stood for long."""

    first: date
    last: date
    cane: str

    @property
    def days(self) -> int:
        """How many days it lasted."""
        return (self.last - self.first).days + 1


def run_title(first: date, last: date) -> str:
    """Return how a run is called."""
    if first == last:
        return _("Run of {day}", day=long_day(first))
    begin = short_day(first) if first.year == last.year else calendar_day(first)
    return _("Run from {first} to {last}", first=begin, last=calendar_day(last))


def runs_of(books: SeasonBooks, days: Sequence[date], hours: float) -> list[Run]:
    """Return the runs of `days`, newest first, parted by days in which crushing stood longer.

    A day without a sheet parts them too; one of which the hours lack does not.
    """
    places = places_of(books, "day", days)
    found = figures_over(books, ASKED, [place.period for place in places])
    held = days_entered(books)
    spans: list[list[date]] = []
    for day, crushed, gross in zip(
        days, found["crushing_hours"], found["gross_hours"], strict=True
    ):
        if day not in held:
            continue
        if crushed is not None and gross is not None and gross - crushed > hours:
            continue
        if spans and spans[-1][-1] == day - timedelta(days=1):
            spans[-1].append(day)
        else:
            spans.append([day])
    ends = [(span[0], span[-1]) for span in reversed(spans)]
    if not ends:
        return []
    cane = figures_over(books, ("cane",), [books.between(*span) for span in ends])["cane"]
    return [Run(*span, printed(tonnes, 0)) for span, tonnes in zip(ends, cane, strict=True)]
