"""The morning report of a day with its first page, as a screen and an issue both need it."""

from dataclasses import dataclass
from datetime import date, datetime

from app.exports.books import books_of
from app.exports.doubts import doubts_around, reaching
from app.exports.following import values_of
from app.figures.periods import Result
from app.language import _
from app.ledger import mills
from app.plant.books.stops import BOOK as STOPS
from app.reports.checks import FIGURES_ASKED
from app.reports.dates import short_day
from app.reports.day import ACCOUNT, PRINTED, DayReport, report_of, result_of_day
from app.reports.exceptions import DOUBTED, Around, exceptions
from app.reports.exceptions import NEEDED as OF_EXCEPTIONS
from app.reports.findings import Told
from app.reports.first_page import KEY_FIGURES, FirstPage, LastSeason, first_page, same_day
from app.reports.first_page import NEEDED as OF_STOPS
from app.reports.instruments import Doubt
from app.web.alarms import sweet_places
from app.web.periods import Asked, Finder, same_days

NEEDED = (*PRINTED, *FIGURES_ASKED, *OF_EXCEPTIONS, *OF_STOPS)
A_WEEK = 7  # days before a day, by which what it lacks is estimated and its stock opens
BESIDE = (
    *(name for names in KEY_FIGURES.values() for name in names),
    *(share for _title, _tonnes, share in ACCOUNT),
)


@dataclass(frozen=True)
class Outstanding:
    """The report of a day with what stands out of it, the figures it is of, and the doubts."""

    report: DayReport
    told: Told
    result: Result
    doubts: tuple[Doubt, ...]


@dataclass(frozen=True)
class Morning:
    """The report of a day, its first page, and the doubts in instruments around that day."""

    report: DayReport
    first: FirstPage
    doubts: tuple[Doubt, ...]


def morning(find: Finder, asked: Asked, day: date) -> Morning:
    """Return the morning report of a day with all that its first page says."""
    out = outstanding(find, asked, day)
    stops = [
        said
        for _record, said in values_of(find.connection, asked.mill, asked.season, STOPS, day, day)
    ]
    first = first_page(out.report, out.told, out.result, stops, _last_season(find, asked))
    return Morning(out.report, first, out.doubts)


def outstanding(find: Finder, asked: Asked, day: date) -> Outstanding:
    """Return the morning report of a day with what stands out of it."""
    books, connection = asked.books, find.connection
    books.need(NEEDED)  # all at once: each further need would have them worked out again
    targets = mills.targets(connection, asked.mill, day)
    result = result_of_day(books, day)
    result.certainty.need(DOUBTED)
    report = report_of(books, day, targets, result)
    of_mill = connection, asked.mill, asked.season
    span = _span(asked, day)
    doubts = doubts_around(*of_mill, span, find.now)
    sweet = sweet_places(*of_mill, books.plan, day)
    around = Around(asked.mill.clock, reaching(doubts, span), sweet)
    told = exceptions(books, day, result, targets, around)
    return Outstanding(report, told, result, tuple(doubts))


def _span(asked: Asked, day: date) -> tuple[datetime, datetime]:
    clock = asked.mill.clock
    begins, ends = (clock.shift_bounds(day, number) for number in (1, clock.shifts_a_day))
    return begins[0], ends[1]


def _last_season(find: Finder, asked: Asked) -> LastSeason | None:
    """Return the same day of the season before, where the ledger holds it."""
    before = find.season_before(asked)
    if before is None:
        return None
    day = same_days(asked, before)[0]
    books = books_of(find.connection, asked.mill, before, only=day, days_before=A_WEEK)
    if not books.day(day).last:
        return None
    books.need(BESIDE)
    title = _("Season {name}, {day}", name=before.name, day=short_day(day))
    return same_day(title, f"/days/{day}", books, books.books.over([books.day(day)]), BESIDE)
