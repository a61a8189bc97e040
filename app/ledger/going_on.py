"""What still goes on of what a book tells, such as a strike in its pan, and what completed it."""

from datetime import date

from sqlalchemy import Connection, not_

from app.ledger import tables
from app.ledger.beside import said_by
from app.ledger.mills import Season
from app.ledger.records import VOID, Record, record_of, standing_records, standing_within
from app.plant.books import BOOKS
from app.plant.books.declare import Book

_r, _s = tables.record.c, tables.standing_record.c


class GoingOn:
    """The open records of a book in a season, and those that completed them on later shifts."""

    def __init__(self, connection: Connection, season: Season, book: Book) -> None:
        self.open = _open_in(connection, season, book)
        self._ends: dict[int, Record] = {}
        rule = book.open
        if rule is None or not self.open:
            return
        first = min(record.day for record in self.open)
        said = [(each, said_by(each)) for each in self.open]
        names = {rule.same(this.values): (each, this) for each, this in said}
        for other in standing_within(connection, season, book, first, date.max):
            if other.state == VOID or rule.same(other.fields) not in names:
                continue
            each, this = names[rule.same(other.fields)]
            if rule.is_completed_by(this, said_by(other)):
                self._ends[each.id] = other

    def after(self, day: date, number: int) -> list[Record]:
        """Return what goes on at the end of a shift, though the shift itself says nothing of it."""
        at = day, number
        return [
            record
            for record in self.open
            if (record.day, record.number) < at and not self._ended(record, at)
        ]

    def _ended(self, record: Record, at: tuple[date, int]) -> bool:
        end = self._ends.get(record.id)
        return end is not None and (end.day, end.number) <= at

    def completed_by(self, record: Record) -> Record | None:
        """Return what completed an open record, on a later shift."""
        return self._ends.get(record.id)

    def completes(self, record: Record) -> Record | None:
        """Return the open record that another completes."""
        ids = {end.id: key for key, end in self._ends.items()}
        return next((each for each in self.open if each.id == ids.get(record.id)), None)


def _open_in(connection: Connection, season: Season, book: Book) -> list[Record]:
    """Return the records of a book that say of something that it goes on, the oldest first."""
    if book.open is None:
        return []
    # a quote within a text is kept with a stroke before it, so this is the field's name
    query = standing_records().where(
        _s.season_id == season.id, _s.book == book.name, _r.state != VOID,
        not_(_r.fields.contains(f'"{book.open.until}":', autoescape=True)),
    )  # fmt: skip
    return [record_of(tuple(row)) for row in connection.execute(query.order_by(_r.id))]


def open_on(connection: Connection, season: Season, day: date, number: int) -> int:
    """Return how many records of a shift tell of what went on beyond it, in all books."""
    every = [record for book in BOOKS.values() for record in _open_in(connection, season, book)]
    return sum((record.day, record.number) == (day, number) for record in every)
