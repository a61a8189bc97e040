"""The surveys of the tandem with the cane of their days, by which extraction is reckoned."""

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from sqlalchemy import Connection

from app.exports.books import books_of
from app.ledger import mills
from app.ledger.mills import Mill, Season
from app.reports.mill_survey import Cane, Survey, mill_surveys

_OF_CANE = ("cane_pol", "cane_fibre")


def surveyed(
    connection: Connection, mill: Mill, season: Season, valued: Sequence[Mapping[str, Any]]
) -> tuple[Survey, ...]:
    """Return the surveys of some days."""
    days = sorted({date.fromisoformat(each["day"]) for each in valued})
    if not days:
        return ()
    books = books_of(connection, mill, season)
    books.need(_OF_CANE)
    found = books.books.over([books.day(day) for day in days]).values
    pol, fibre = (found[name] for name in _OF_CANE)
    cane = {day: Cane(float(pol[n]), float(fibre[n])) for n, day in enumerate(days)}
    rows = mills.convention_rows(connection, mill)
    return mill_surveys(valued, cane, {day: mills.equipment(mill, rows, day).mills for day in days})
