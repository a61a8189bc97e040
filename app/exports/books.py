"""The books of a season: what its figures are worked out from, read from the ledger."""

from datetime import date

from sqlalchemy import Connection

from app.ledger import mills
from app.ledger.mills import Mill, Season
from app.ledger.shifts import shift_table
from app.ledger.uncertainty import uncertainty_rows
from app.plant.streams import TANDEM, streams_in_use
from app.reports.season_books import SeasonBooks


def books_of(
    connection: Connection, mill: Mill, season: Season, only: date | None = None
) -> SeasonBooks:
    """Return the books of a season, or of one day `only`."""
    table = shift_table(connection, mill, season, only=only)
    rows = mills.convention_rows(connection, mill)
    as_set_up = [("tandem_mills", str(mill.mills), date.min, "as the mill was set up")]
    conventions = as_set_up * (mill.extraction_plant == TANDEM) + rows
    streams = streams_in_use(mills.equipment(mill, rows, season.last_day or date.max))
    return SeasonBooks(table, conventions, uncertainty_rows(connection, mill), streams)
