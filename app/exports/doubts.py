"""What failed checks of instruments throw doubt on, read from the book of standard checks."""

from collections.abc import Iterable
from datetime import date, datetime, timedelta

from sqlalchemy import Connection

from app.exports.following import values_of
from app.ledger.mills import Mill, Season
from app.plant.books.laboratory import STANDARD_CHECKS
from app.reports.instruments import Check, Doubt, checks_of, doubts

LOOKS_BACK = timedelta(days=60)  # an instrument unchecked for longer is overdue in any case


def checks_until(
    connection: Connection, mill: Mill, season: Season, last: date, since: timedelta = timedelta(0)
) -> list[Check]:
    """Return the judged checks of instruments up to a day, and those of some time since."""
    first = max(season.first_day, last - LOOKS_BACK)
    values = values_of(connection, mill, season, STANDARD_CHECKS, first, last + since)
    return checks_of([said for _record, said in values])


def doubts_on(
    connection: Connection, mill: Mill, season: Season, span: tuple[datetime, datetime],
    now: datetime,
) -> list[Doubt]:  # fmt: skip
    """Return the doubts that reach into a span of time, by the checks known now.

    A check that fails later reaches back to the last good one before it.
    """
    return reaching(doubts_around(connection, mill, season, span, now), span)


def doubts_around(
    connection: Connection, mill: Mill, season: Season, span: tuple[datetime, datetime],
    now: datetime,
) -> list[Doubt]:  # fmt: skip
    """Return all doubts known now among which those are that reach into a span, or a part of it."""
    last = mill.clock.local(span[1]).date()
    since = min(max(mill.clock.local(now).date() - last, timedelta(0)), LOOKS_BACK)
    return doubts(checks_until(connection, mill, season, last, since))


def reaching(known: Iterable[Doubt], span: tuple[datetime, datetime]) -> list[Doubt]:
    """Return the doubts that reach into a span of time."""
    begins, ends = span
    return [
        doubt
        for doubt in known
        if (doubt.after or begins) < ends and (doubt.until is None or doubt.until > begins)
    ]
