"""Where records of a season are written, one or many at once: their shifts, and what stands there.

What is needed of the ledger is read for all of them together, and what is new is put down together:
others wait for as long as that takes.
"""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, NamedTuple

from sqlalchemy import Connection, update

from app.language import _
from app.ledger import chain, tables
from app.ledger.book import CORRECTS, refuse_signed
from app.ledger.cells import Refused
from app.ledger.chain import About
from app.ledger.entering import open_shifts
from app.ledger.mills import Season, mill_of
from app.ledger.people import Person
from app.ledger.records import VOID, Record, record_of, records_of, standing_records
from app.ledger.referring import Known, Referred
from app.ledger.signed import signed
from app.plant.books.declare import Book
from app.plant.books.reading import Span
from app.plant.calendar import LATE_AFTER

_s = tables.standing_record.c


@dataclass(frozen=True)
class Place:
    """A shift as it is written on: its id, its times, whether it is signed, and long over."""

    day: date
    number: int
    shift_id: int
    span: Span
    signed: bool
    late: bool


class New(NamedTuple):
    """A record that may be written: which of those sent it is, its row, what it takes the place of.

    `key` and `once` are what no other record of its season, or of its shift, may say.
    """

    item: int
    book: Book
    place: Place
    row: Mapping[str, Any]
    supersedes: int | None
    key: str | None
    once: str


class Desk:
    """Where records of one season are written by somebody; `ids` are those of what is put down."""

    def __init__(
        self, connection: Connection, season: Season, keys: Mapping[str, Collection[str]],
        *, by: Person, at: datetime,
    ) -> None:  # fmt: skip
        """Take records whose keys, by the name of their book, are `keys`, in any case."""
        self.connection, self.season = connection, season
        self.ids: dict[int, int] = {}
        self._by, self._at, self._keys = by, at, keys
        self._waiting: list[New] = []
        self._said: set[object] = set()  # by what waits to be put down
        self._forget()

    def _forget(self) -> None:
        self._referred = Referred(self.connection, self.season)
        self._keyed: dict[str, dict[str, Record]] = {}
        self._on_shift: dict[tuple[str, Place], list[Record]] = {}

    def places(self, wanted: Collection[tuple[date, int]]) -> dict[tuple[date, int], Place]:
        """Return shifts by day and number; Refused, or Closed where one takes nothing."""
        for day, _number in wanted:
            if day not in self.season:
                name = self.season.name
                raise Refused(_("{day} is not a day of the season {season}", day=day, season=name))
        days = [day for day, _number in wanted]
        states = signed(self.connection, self.season, min(days), max(days))
        known = {(day, n): refuse_signed(states, day, n, self._by, CORRECTS) for day, n in wanted}
        ids = open_shifts(self.connection, self.season, list(known), by=self._by, at=self._at)
        clock = mill_of(self.connection, self.season).clock
        found = {}
        for (day, number), is_signed in known.items():
            begins, ends = clock.shift_bounds(day, number)
            late, span = self._at > ends + LATE_AFTER, Span(clock.zone, begins, ends)
            found[day, number] = Place(day, number, ids[day, number], span, is_signed, late)
        return found

    def with_key(self, book: Book, key: str) -> Record | None:
        """Return the record of the season that is known by a key, folded, if it stands."""
        if (book.name, key) in self._said:
            self.put_down()
        if book.name not in self._keyed:
            query = standing_records().where(
                _s.season_id == self.season.id, _s.book == book.name,
                _s.key.in_({*self._keys[book.name], *map(str.casefold, self._keys[book.name])}),
            )  # fmt: skip
            records = [record_of(tuple(row)) for row in self.connection.execute(query)]
            self._keyed[book.name] = {
                each.fields.get(book.key, "").casefold(): each for each in records
            }
        return self._keyed[book.name].get(key)

    def that_say(self, book: Book, place: Place, said: str, besides: int | None) -> list[Record]:
        """Return the records of a shift, but for one, that say what only one may."""
        if (book.name, place, said) in self._said:
            self.put_down()
        if (book.name, place) not in self._on_shift:
            self._on_shift[book.name, place] = records_of(
                self.connection, self.season, place.day, place.day, book, place.number
            )
        return [
            other
            for other in self._on_shift[book.name, place]
            if other.id != besides
            and other.state != VOID
            and other.fields.get(book.once, "").casefold() == said
        ]

    def known(self, book: Book) -> Known:
        """Return what the records of a book may refer to."""
        others = {other for other, _field in book.refers.values()}
        if any(new.book.name in others for new in self._waiting):
            self.put_down()
        return self._referred.known(book)

    def write(self, new: New) -> None:
        """Let a record be written, with the others or, where it corrects one, now."""
        self._waiting.append(new)
        self._said |= {(new.book.name, new.key), (new.book.name, new.place, new.once)}
        if new.supersedes is not None:
            self.put_down()

    def put_down(self) -> None:
        """Put down what waits, told in the chain, and let it stand."""
        if not self._waiting:
            return
        rows = [
            (new.row, self._by, self._at, About(self.season.id, new.place.day))
            for new in self._waiting
        ]
        first = []
        for new, key in zip(
            self._waiting, chain.add_all(self.connection, tables.record, rows), strict=True
        ):
            self.ids[new.item] = key
            stands = {"record_id": key, "key": new.key}
            if new.supersedes is None:
                stands |= {"season_id": self.season.id, "shift_id": new.place.shift_id}
                first.append(stands | {"book": new.book.name})
            else:
                now = update(tables.standing_record).where(_s.record_id == new.supersedes)
                self.connection.execute(now.values(stands))
        if first:
            tables.add_rows(self.connection, tables.standing_record, first)
        self._waiting.clear()
        self._said.clear()
        self._forget()
