"""Where records of a season are written, one or many at once: their shifts, and what stands there.

What is needed of the ledger is read for all of them together, and what is new is put down together:
others wait for as long as that takes.
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, NamedTuple

from sqlalchemy import Connection, update

from app.language import _
from app.ledger import chain, tables
from app.ledger.beside import Beside, Typed, beside
from app.ledger.book import CORRECTS, refuse_signed
from app.ledger.cells import Refused
from app.ledger.chain import About
from app.ledger.entering import open_shifts
from app.ledger.mills import Season, mill_of
from app.ledger.people import Person
from app.ledger.records import Record, record_of, standing_records
from app.ledger.referring import Known, Referred
from app.ledger.signed import signed
from app.plant.books.declare import Book
from app.plant.books.others import Said
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

    `key` is what no other record of its season may say; `said` is what it says beside others.
    """

    item: int
    book: Book
    place: Place
    row: Mapping[str, Any]
    supersedes: int | None
    key: str | None
    typed: Mapping[str, str]
    said: Said


class Desk:
    """Where records of one season are written by somebody; `ids` are those of what is put down."""

    def __init__(
        self, connection: Connection, season: Season, sent: Mapping[str, Sequence[Typed]],
        *, by: Person, at: datetime,
    ) -> None:  # fmt: skip
        """Take the records that are `sent`, as they are typed, by the name of their book."""
        self.connection, self.season = connection, season
        self.ids: dict[int, int] = {}
        self.at = at
        self._by, self._sent = by, sent
        self._waiting: list[New] = []
        self._said: set[object] = set()  # by what waits to be put down
        self._beside: dict[str, Beside] = {}
        self._days: Collection[date] = ()
        self._forget()

    def _forget(self) -> None:
        self._referred = Referred(self.connection, self.season)
        self._keyed: dict[str, dict[str, Record]] = {}

    def places(self, wanted: Collection[tuple[date, int]]) -> dict[tuple[date, int], Place]:
        """Return shifts by day and number; Refused, or Closed where one takes nothing."""
        for day, _number in wanted:
            if day not in self.season:
                name = self.season.name
                raise Refused(_("{day} is not a day of the season {season}", day=day, season=name))
        self._days = days = [day for day, _number in wanted]
        states = signed(self.connection, self.season, min(days), max(days))
        known = {(day, n): refuse_signed(states, day, n, self._by, CORRECTS) for day, n in wanted}
        ids = open_shifts(self.connection, self.season, list(known), by=self._by, at=self.at)
        clock = mill_of(self.connection, self.season).clock
        found = {}
        for (day, number), is_signed in known.items():
            begins, ends = clock.shift_bounds(day, number)
            late, span = self.at > ends + LATE_AFTER, Span(clock.zone, begins, ends)
            found[day, number] = Place(day, number, ids[day, number], span, is_signed, late)
        return found

    def with_key(self, book: Book, key: str) -> Record | None:
        """Return the record of the season that is known by a key, folded, if it stands."""
        if (book.name, key) in self._said:
            self.put_down()
        if book.name not in self._keyed:
            keys = {typed.get(book.key, "") for typed in self._sent[book.name]}
            query = standing_records().where(
                _s.season_id == self.season.id, _s.book == book.name,
                _s.key.in_({*keys, *map(str.casefold, keys)}),
            )  # fmt: skip
            records = [record_of(tuple(row)) for row in self.connection.execute(query)]
            self._keyed[book.name] = {
                each.fields.get(book.key, "").casefold(): each for each in records
            }
        return self._keyed[book.name].get(key)

    def beside(self, book: Book) -> Beside:
        """Return what stands in a book about the days of what is sent, and waits to stand."""
        if book.name not in self._beside:
            self.put_down()
            days, sent = (min(self._days), max(self._days)), self._sent[book.name]
            self._beside[book.name] = beside(self.connection, self.season, book, days, sent)
        return self._beside[book.name]

    def known(self, book: Book) -> Known:
        """Return what the records of a book may refer to."""
        others = {other for other, _field in book.refers.values()}
        if any(new.book.name in others for new in self._waiting):
            self.put_down()
        return self._referred.known(book)

    def write(self, new: New) -> None:
        """Let a record be written, with the others or, where it corrects one, now."""
        self._waiting.append(new)
        self._said.add((new.book.name, new.key))
        if new.supersedes is not None:
            self.put_down()
            self._beside.pop(new.book.name, None)
        elif new.book.name in self._beside:
            self._beside[new.book.name].add(new.typed, new.said)

    def put_down(self) -> None:
        """Put down what waits, told in the chain, and let it stand."""
        if not self._waiting:
            return
        rows = [
            (new.row, self._by, self.at, About(self.season.id, new.place.day))
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
