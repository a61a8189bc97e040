"""The demonstration season, loaded once, as reports see it."""

import shutil
from dataclasses import dataclass
from datetime import date

import pytest
from argon2 import PasswordHasher
from argon2.profiles import CHEAPEST

from app import demo
from app.database import open_database, reading
from app.ledger import mills, people
from app.ledger.shifts import Kept, entries_of, shift_table
from app.reports.season_books import SeasonBooks

LAST_DAY = date(2026, 10, 27)


@dataclass(frozen=True)
class DemoSeason:
    """The books of the season, its targets, and every entry to the last day that is over."""

    books: SeasonBooks
    targets: dict[str, float]
    entries: list[Kept]


@pytest.fixture(scope="session")
def season(tmp_path_factory, migrated) -> DemoSeason:
    path = shutil.copy(migrated, tmp_path_factory.mktemp("demo") / "demo.db")
    engine = open_database(f"sqlite:///{path}")
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(people, "_hasher", PasswordHasher.from_parameters(CHEAPEST))
        demo.fill(engine)
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
