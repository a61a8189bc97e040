"""Sugar in water, as the sheet of a shift and the morning report tell of it."""

from datetime import date

from sqlalchemy import Connection

from app.exports.following import values_of
from app.ledger.mills import Mill, Season
from app.plant.books.utilities import WATER
from app.plant.plan import Plan
from app.reports.sugar_traces import PlaceLine, traces_report


def sweet_places(
    connection: Connection, mill: Mill, season: Season, plan: Plan, day: date, number: int = 0
) -> tuple[PlaceLine, ...]:
    """Return the places with a trace above the usual on a day, or on one shift of it."""
    valued = values_of(connection, mill, season, WATER, day, day)
    records = [said for record, said in valued if number in (0, record.number)]
    return traces_report(records, plan).sweet
