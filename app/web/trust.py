"""Whether a report may be trusted yet: what is signed, approved, issued, and changed since."""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from app.ledger import issues
from app.ledger.imported import files_of_days
from app.ledger.issues import Issue
from app.ledger.signed import Place, Signed, signed
from app.plant.calendar import Clock
from app.reports.day import DayReport
from app.reports.restated import changes
from app.web.issues import FIGURES
from app.web.periods import Asked, Finder
from app.web.seal import words_of


@dataclass(frozen=True)
class TrustOfDay:
    """How a day and its shifts are signed, its last issue, and how many numbers changed.

    `files` are those that something of it was brought in from.
    """

    shifts: list[tuple[int, str]]
    unsigned: list[int]
    changed: list[int]
    approved: str
    issue: Issue | None
    differ: int
    clock: Clock
    files: str = ""


@dataclass(frozen=True)
class TrustOfPeriod:
    """Of the days of a period: which hold an unsigned shift, a change after it, no approval.

    Days that are not signed and were brought in are counted by their files alone.
    """

    days: int
    unsigned: list[date]
    changed: list[date]
    unapproved: list[date]
    brought_in: Mapping[str, int]


def trust_of_day(find: Finder, asked: Asked, page: DayReport) -> TrustOfDay:
    """Return how far the report of a day may be trusted."""
    day, clock = page.day, asked.mill.clock
    places = signed(find.connection, asked.season, day, day)
    shifts = {
        number: places.get((day, number), Signed())
        for number in range(1, clock.shifts_a_day + 1)
        if clock.shift_bounds(day, number)[0] <= find.now
    }
    made = issues.issues_of(find.connection, asked.season, day)
    return TrustOfDay(
        [(number, words_of(shift, clock, "entered")) for number, shift in shifts.items()],
        [number for number, shift in shifts.items() if shift.signature is None],
        [number for number, shift in shifts.items() if shift.signature and shift.since],
        words_of(places.get((day, None), Signed()), clock, "approved"),
        made[-1] if made else None,
        _differ(find, asked, page, made[-1]) if made else 0,
        clock,
        files_of_days(find.connection, asked.season, day, day).get(day, ""),
    )


def _differ(find: Finder, asked: Asked, page: DayReport, issue: Issue) -> int:
    found = issues.file_of(find.connection, issue, FIGURES)
    told = changes(found[0], page, asked.season.first_day, ()) if found else ()
    return sum(change.seen for change in told)


def trust_of_period(find: Finder, asked: Asked) -> TrustOfPeriod:
    """Return which days of a period are not to be trusted yet, and why."""
    first, last = asked.days[0], asked.days[-1]
    places = signed(find.connection, asked.season, first, last)
    days = [first + timedelta(days=gone) for gone in range((last - first).days + 1)]
    unsigned = [d for d in days if any(s.signature is None for s in _shifts(places, asked, d))]
    files = files_of_days(find.connection, asked.season, first, last)
    brought_in = Counter(files[day] for day in unsigned if day in files)
    unapproved = [day for day in days if places.get((day, None), Signed()).signature is None]
    return TrustOfPeriod(
        len(days),
        [day for day in unsigned if day not in files],
        [day for day in days if any(s.signature and s.since for s in _shifts(places, asked, day))],
        [day for day in unapproved if day not in files or day not in unsigned],
        brought_in,
    )


def _shifts(places: dict[Place, Signed], asked: Asked, day: date) -> list[Signed]:
    return [places.get((day, n), Signed()) for n in range(1, asked.mill.shifts_a_day + 1)]
