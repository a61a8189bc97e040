"""The demonstration season, loaded once, as reports see it."""

from dataclasses import dataclass
from datetime import date

import pytest

from app.database import open_database, reading
from app.ledger import mills
from app.ledger.shifts import Kept, entries_of, shift_table
from app.reports.season_books import SeasonBooks
from tests.served import demo_database

LAST_DAY = date(2026, 10, 27)


@dataclass(frozen=True)
class DemoSeason:
    """The books of the season, its targets, and every entry to the last day that is over."""

    books: SeasonBooks
    targets: dict[str, float]
    entries: list[Kept]


@pytest.fixture(scope="session")
def season(tmp_path_factory) -> DemoSeason:
    engine = open_database(f"sqlite:///{demo_database(tmp_path_factory.mktemp('demo'))}")
    with reading(engine) as connection:
        mill = mills.the_mill(connection)
        (kept,) = mills.seasons(connection, mill)
        found = DemoSeason(
            SeasonBooks(
                shift_table(connection, mill, kept), mills.convention_rows(connection, mill)
            ),
            mills.targets(connection, mill, LAST_DAY),
            entries_of(connection, kept, kept.first_day, LAST_DAY),
        )
    engine.dispose()
    return found
