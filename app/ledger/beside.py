"""What stands in a book about the shifts that a record is written on, and what it rules out."""

from collections.abc import Hashable, Iterable, Iterator, Mapping, Sequence
from datetime import date, timedelta

from sqlalchemy import ColumnElement, Connection, func, or_

from app.language import _
from app.ledger import tables
from app.ledger.canonical import canonical
from app.ledger.mills import Season
from app.ledger.records import VOID, Record, standing_within
from app.plant.books.declare import TEXT, Book
from app.plant.books.others import Open, Said
from app.plant.books.reading import EARLIEST

Typed = Mapping[str, str]

_FEW = 20  # records whose texts the database looks for


class Beside:
    """The records of a book beside which a new one may have to stand."""

    def __init__(self, book: Book, records: Iterable[Record] = ()) -> None:
        self.book = book
        times = frozenset(book.times)
        self._rules = {rule: tuple(f for f in rule.fields if f not in times) for rule in book.alone}
        self._found: dict[Hashable, list[Record | Said]] = {}
        for record in records:
            if record.state != VOID:
                self.add(record.fields, record)

    def add(self, typed: Typed, record: Record | Said) -> None:
        """Let a record stand with the others: one that does, or that will be written."""
        keys = [key for names in self._rules.values() if (key := _key(names, typed))]
        keys += [_key(self.book.open.fields, typed)] if self.book.open else []
        for key in dict.fromkeys(keys):
            self._found.setdefault(key, []).append(record)

    def _others(self, names: tuple[str, ...], typed: Typed, this: Said) -> Iterator[Said]:
        """Yield what says the same in some fields, but for what a record is a correction of."""
        for other in self._found.get(_key(names, typed), []):
            if isinstance(other, Said):
                yield other
            elif other.id != this.id:
                yield said_by(other)

    def wrong(self, typed: Typed, this: Said, before: Said | None = None) -> dict[str, str]:
        """Return what is wrong of a record beside the others, by field.

        `before` is what it is a correction of: beside what that one stood it may stand, too.
        """
        found: dict[str, str] = {}
        for rule, names in self._rules.items():
            for other in self._others(names, typed, this) if _key(names, typed) else ():
                if rule.may_stand(this, other) or (before and not rule.may_stand(before, other)):
                    continue
                if not (self._is_completed(other, this) or self._is_completed(this, this)):
                    found.setdefault(rule.fields[-1], rule.words(this, other))
        return self._told_already(self.book.open, typed, this) or found

    def _is_completed(self, said: Said, this: Said) -> bool:
        """Tell whether what a record tells of is over by another, which `this` may be."""
        rule = self.book.open
        if rule is None or not self.book.is_open(said.values):
            return False
        typed = {name: f"{said.values.get(name, '')}" for name in rule.fields}
        others = [this, *self._others(rule.fields, typed, this)]
        return any(rule.is_completed_by(said, other) for other in others)

    def _told_already(self, rule: Open | None, typed: Typed, this: Said) -> dict[str, str]:
        """Return what is wrong where another record tells of the same, and neither completes it."""
        for other in self._others(rule.fields, typed, this) if rule else ():
            if rule and not rule.may_stand(this, other):
                key = " ".join(typed.get(name, "") for name in rule.fields)
                words = _("{key} is there already, on shift {number} of {day}",
                          key=key, number=other.number, day=other.day)  # fmt: skip
                return {rule.fields[-1]: words}
        return {}


def _key(names: tuple[str, ...], typed: Typed) -> Hashable:
    """Return by what records that say the same in some fields are found; None where one lacks."""
    if not all(typed.get(name) for name in names):
        return None
    return names, *(typed[name].casefold() for name in names)


def said_by(record: Record) -> Said:
    """Return what a record says as others of its book see it."""
    return Said(record.values, record.day, record.number, record.span.zone, record.id)


def beside(
    connection: Connection,
    season: Season,
    book: Book,
    days: tuple[date, date],
    sent: Sequence[Typed],
) -> Beside:
    """Return what stands in a book, as far as the records `sent`, from a first day to a last, ask.

    The texts of more than a few are not looked for one by one: all that stands is read.
    """
    if not book.alone and book.open is None:
        return Beside(book)
    far = timedelta(max([rule.days for rule in book.alone] + [EARLIEST.days * bool(book.open)]))
    names = [rule.fields for rule in book.alone] + ([book.open.fields] if book.open else [])
    texts = {typed.get(field, "") for typed in sent for (field, *_others) in names}
    are_texts = all(book.field(field).kind == TEXT for (field, *_others) in names)
    # databases fold the case of plain letters alone
    by_text = are_texts and len(sent) <= _FEW and all(text.isascii() for text in texts)
    said = [or_(*map(_says, texts))] if by_text else []
    first, last = days[0] - far, days[1] + far
    return Beside(book, standing_within(connection, season, book, first, last, *said))


def _says(text: str) -> ColumnElement[bool]:
    """Tell of a kept record, in the database, whether it holds a text in any case."""
    return func.lower(tables.record.c.fields).contains(canonical(text.lower()), autoescape=True)
