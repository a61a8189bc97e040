"""The books of a season: what its figures are worked out from, read from the ledger."""

from collections.abc import Sequence
from datetime import date, timedelta

from sqlalchemy import Connection

from app.figures.evaluate import behind
from app.figures.readings import measures_of
from app.ledger import mills
from app.ledger.mills import ConventionRow, Mill, Season
from app.ledger.plan import plan_of
from app.ledger.shifts import ShiftTable, shift_table
from app.ledger.uncertainty import uncertainty_rows
from app.plant.measures import CARRIERS
from app.plant.plan import Plan
from app.plant.streams import TANDEM
from app.reports.season_books import SeasonBooks
from app.reports.standing import CRUSHING


def books_of(
    connection: Connection,
    mill: Mill,
    season: Season,
    only: date | None = None,
    plan: Plan | None = None,
    conventions: Sequence[ConventionRow] | None = None,
    days_before: int = 0,
) -> SeasonBooks:
    """Return the books of a season, or of one day `only` with so many days before it.

    They are by the mill's own plan and conventions, where no others are given.
    """
    plan = plan or plan_of(connection, mill)
    table = shift_table(connection, mill, season, only=only, plan=plan, days_before=days_before)
    rows = mills.convention_rows(connection, mill) if conventions is None else conventions
    is_whole = only is None or only - timedelta(days=days_before) <= season.first_day
    return _books(connection, mill, table, plan, rows, is_whole=is_whole)


def measures_behind(names: tuple[str, ...]) -> frozenset[str]:
    """Return the measures that figures follow from, weights by which gaps are estimated too."""
    weights = tuple(dict.fromkeys(CARRIERS.values()))
    return frozenset((*measures_of(behind(names + weights)), CRUSHING))


def books_behind(
    connection: Connection, mill: Mill, season: Season, names: tuple[str, ...]
) -> SeasonBooks:
    """Return the books of a season of which nothing is read but what some figures follow from.

    No others can be asked of them.
    """
    plan, rows = plan_of(connection, mill), mills.convention_rows(connection, mill)
    table = shift_table(connection, mill, season, plan=plan, measures_read=measures_behind(names))
    return _books(connection, mill, table, plan, rows, names)


def _books(
    connection: Connection,
    mill: Mill,
    table: ShiftTable,
    plan: Plan,
    rows: Sequence[ConventionRow],
    names: tuple[str, ...] = (),
    *,
    is_whole: bool = True,
) -> SeasonBooks:
    as_set_up = [("tandem_mills", str(mill.mills), date.min, "as the mill was set up")]
    in_force = [*as_set_up * (mill.extraction_plant == TANDEM), *rows]
    # what was in process before rows that begin within the season is not known
    return SeasonBooks(
        table, in_force, uncertainty_rows(connection, mill), plan, names, starts_empty=is_whole
    )
