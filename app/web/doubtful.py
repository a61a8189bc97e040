"""Which results are in doubt because a standard check of an instrument failed."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import Connection

from app.exports.doubts import LOOKS_BACK, checks_until
from app.ledger.entries import Entry, numbers_between
from app.ledger.mills import Mill, Season
from app.reports.instruments import Doubt, Standing, doubts, standings


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


def instruments_page(
    connection: Connection, mill: Mill, season: Season, last: date, now: datetime
) -> InstrumentsPage:
    """Return how the instruments stand on a day, with what is in doubt.

    When one that failed passed again is asked of the days since, too.
    """
    checks = checks_until(connection, mill, season, last)
    known = {check.record for check in checks}
    since = checks_until(connection, mill, season, last, LOOKS_BACK)
    found = [
        Doubtful(
            doubt,
            numbers_between(connection, season, doubt.measures, (doubt.begins, doubt.until or now)),
        )
        for doubt in doubts(since)
        if doubt.failed.record in known
    ]
    return InstrumentsPage(standings(checks), found, now)
