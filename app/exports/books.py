"""The books of a season: what its figures are worked out from, read from the ledger."""

from datetime import date

from sqlalchemy import Connection

from app.ledger import mills
from app.ledger.mills import Mill, Season
from app.ledger.plan import plan_of
from app.ledger.shifts import shift_table
from app.ledger.uncertainty import uncertainty_rows
from app.plant.plan import Plan
from app.plant.streams import TANDEM
from app.reports.season_books import SeasonBooks


def books_of(
    connection: Connection,
    mill: Mill,
    season: Season,
    only: date | None = None,
    plan: Plan | None = None,
) -> SeasonBooks:
    """Return the books of a season, or of one day `only`, by a `plan` other than the mill's own."""
    plan = plan or plan_of(connection, mill)
    table = shift_table(connection, mill, season, only=only, plan=plan)
    rows = mills.convention_rows(connection, mill)
    as_set_up = [("tandem_mills", str(mill.mills), date.min, "as the mill was set up")]
    conventions = as_set_up * (mill.extraction_plant == TANDEM) + rows
    return SeasonBooks(table, conventions, uncertainty_rows(connection, mill), plan)
