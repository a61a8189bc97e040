"""Which results are in doubt because a standard check of an instrument failed."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from sqlalchemy import Connection

from app.exports.following import values_of
from app.ledger.entries import Entry, numbers_between
from app.ledger.mills import Mill, Season
from app.plant.books.laboratory import MEASURED_BY, STANDARD_CHECKS
from app.plant.measures import MEASURES
from app.reports.instruments import Check, Doubt, Standing, checks_of, doubts, standings

_LOOKS_BACK = timedelta(days=60)  # an instrument unchecked for longer is overdue in any case


@dataclass(frozen=True)
class Doubtful:
    """A doubt with the results that were typed meanwhile of what such an instrument measures.

    Each has the day and number of its shift.
    """

    doubt: Doubt
    results: Sequence[tuple[date, int, Entry]]


@dataclass(frozen=True)
class InstrumentsPage:
    """How the instruments stand, and what was measured while one of them was out."""

    standings: Sequence[Standing]
    doubtful: Sequence[Doubtful]
    now: datetime


def checks_until(
    connection: Connection, mill: Mill, season: Season, last: date, since: timedelta = timedelta(0)
) -> list[Check]:
    """Return the judged checks of instruments up to a day, and those of some time since."""
    first = max(season.first_day, last - _LOOKS_BACK)
    values = values_of(connection, mill, season, STANDARD_CHECKS, first, last + since)
    return checks_of([said for _record, said in values])


def doubts_on(
    connection: Connection, mill: Mill, season: Season, span: tuple[datetime, datetime],
    now: datetime,
) -> list[Doubt]:  # fmt: skip
    """Return the doubts that reach into a span of time, by the checks known now.

    A check that fails later reaches back to the last good one before it.
    """
    begins, ends = span
    last = mill.clock.local(ends).date()
    since = min(max(mill.clock.local(now).date() - last, timedelta(0)), _LOOKS_BACK)
    return [
        doubt
        for doubt in doubts(checks_until(connection, mill, season, last, since))
        if (doubt.after or begins) < ends and (doubt.until is None or doubt.until > begins)
    ]


def instruments_page(
    connection: Connection, mill: Mill, season: Season, last: date, now: datetime
) -> InstrumentsPage:
    """Return how the instruments stand on a day, with what is in doubt.

    When one that failed passed again is asked of the days since, too.
    """
    checks = checks_until(connection, mill, season, last)
    known = {check.record for check in checks}
    since = checks_until(connection, mill, season, last, _LOOKS_BACK)
    found = [
        Doubtful(doubt, numbers_between(connection, season, _measured_by(doubt), _span(doubt, now)))
        for doubt in doubts(since)
        if doubt.failed.record in known
    ]
    return InstrumentsPage(standings(checks), found, now)


def _measured_by(doubt: Doubt) -> list[str]:
    props = MEASURED_BY[doubt.kind]
    return [name for name, measure in MEASURES.items() if measure.prop in props]


def _span(doubt: Doubt, now: datetime) -> tuple[datetime, datetime]:
    # without an earlier check, a day back is in doubt at the least
    return doubt.after or doubt.failed.at - timedelta(days=1), doubt.until or now
