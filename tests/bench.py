"""A ledger with a mill, a season and two chemists, ready for tests to write in."""

from dataclasses import dataclass
from datetime import UTC, date, datetime

from sqlalchemy import Engine

from app.database import reading, writing
from app.ledger import book, mills, people

NOON = datetime(2026, 6, 3, 17, tzinfo=UTC)
PASSWORD = "the quick brown cane"


@dataclass(frozen=True)
class Bench:
    """A ledger with a mill, a season and two chemists, and the first shift of 3 June in reach."""

    engine: Engine
    mill: mills.Mill
    season: mills.Season
    ann: people.Person
    bob: people.Person
    day: date = date(2026, 6, 3)
    number: int = 1

    def write(self, measure, typed, based_on=None, reason=None, **otherwise):
        """Record one cell, in a transaction of its own."""
        cell = {"season": self.season, "day": self.day, "number": self.number, "by": self.ann}
        cell |= {"measure": measure, "typed": typed, "based_on": based_on, "reason": reason}
        cell |= {"at": NOON} | otherwise
        told = (
            "measure", "typed", "based_on", "reason", "late_reason", "observed_by", "sample",
            "determination", "carried", "left_out", "left_out",
        )  # fmt: skip
        typed = book.Typed(**{name: cell.pop(name) for name in told if name in cell})
        with writing(self.engine) as connection:
            failures = book.record_sheet(connection, cells=[typed], **cell)
            if failures:
                raise failures[typed.key]
            place = (cell["season"], cell["day"], cell["number"])
            return book.sheet(connection, *place).get(typed.key)

    def end_of(self, day=None, number=1):
        """Return when a shift ends: all that happened on it may be told then."""
        return self.mill.clock.shift_bounds(day or self.day, number)[1]

    def read(self, reader, *arguments):
        """Return what `reader` finds in a transaction of its own."""
        with reading(self.engine) as connection:
            return reader(connection, *arguments)

    def trail(self, measure):
        """Return everything written in one cell."""
        return self.read(book.trail, self.season, self.day, self.number, measure)


def new_bench(engine: Engine) -> Bench:
    """Return a bench in an empty, migrated ledger."""
    with writing(engine) as connection:
        mill = mills.add_mill(
            connection, name="Willow Bend", place="Willow Bend", zone="America/Chicago",
            day_starts="06:00", shifts_a_day=3, extraction_plant="tandem", mills=5, at=NOON,
        )  # fmt: skip
        season = mills.add_season(
            connection, mill, name="2026", first_day=date(2026, 6, 1), at=NOON
        )
        who = {"role": "chemist", "password": PASSWORD, "at": NOON}
        ann = people.add_person(connection, username="ann", printed_name="Ann Field", **who)
        bob = people.add_person(connection, username="bob", printed_name="Bob Stone", **who)
    return Bench(engine, mill, season, ann, bob)
