"""Checks many records of one book that are brought in at once, as `importing` does results."""

from collections.abc import Mapping, Sequence
from datetime import date, datetime
from typing import NamedTuple

from sqlalchemy import Connection

from app.language import _
from app.ledger import chain, referring
from app.ledger.cells import Refused
from app.ledger.importing import Checked, Fault, Progress
from app.ledger.importing_desk import Desk, OpenShift, WholeRow
from app.ledger.mills import Season
from app.ledger.recording import Draft, said
from app.ledger.records import VOID, Record, records_of
from app.plant.books.declare import NUMBER, Book, Value
from app.plant.books.reading import Span, read_record

MOST = 4000  # records at once: others wait for as long as they are written


class Line(NamedTuple):
    """One row as a record: where it belongs, and what it says, by field."""

    row: int
    day: date
    number: int
    typed: Mapping[str, str]
    observed_by: str = ""


Said = frozenset[tuple[str, str]]


def check_records(
    connection: Connection,
    book: Book,
    lines: Sequence[Line],
    *,
    now: datetime,
    reason: str,
    progress: Progress = lambda _done: None,
) -> Checked:
    """Return what would become of records that are brought in; `reason` is kept with each."""
    checked = Checked(chain.head(connection).number)
    if not lines:
        return checked
    if len(lines) > MOST:
        words = _("These are more than {count} records: bring them in by parts", count=MOST)
        checked.faults.append(Fault(lines[MOST].row, "", "", words))
        return checked
    checker = _Checker(connection, book, lines, now)
    for done, line in enumerate(lines):
        progress(done)
        try:
            checker.check(line, reason, checked)
        except Refused as why:
            checked.faults.append(Fault(line.row, "", "", str(why)))
    progress(len(lines))
    return checked


class _Checker:
    """What stands in a book on the days of a table, and what its rows before said."""

    def __init__(
        self, connection: Connection, book: Book, lines: Sequence[Line], now: datetime
    ) -> None:
        self.book = book
        self.desk = Desk(connection, [line.day for line in lines], now)
        self.seen: dict[object, int] = {}
        self.keys: dict[tuple[int, str], Record] = {}
        self.stands: dict[tuple[date, int], dict[Said, Record]] = {}
        self.once: set[tuple[date, int, str]] = set()
        self.known = {
            season.id: referring.known_by(connection, season, book) for season in self.desk.seasons
        }
        for season in self.desk.seasons:
            for record in records_of(connection, season, date.min, date.max, book):
                self._note(season, record)

    def _note(self, season: Season, record: Record) -> None:
        place = record.day, record.number
        if key := record.fields.get(self.book.key, ""):
            self.keys[season.id, key] = record
        if record.state != VOID:
            self.stands.setdefault(place, {})[frozenset(record.fields.items())] = record
            if self.book.once:
                self.once.add((*place, record.fields.get(self.book.once, "").casefold()))

    def check(self, line: Line, reason: str, checked: Checked) -> None:
        """Check one record; Refused for a whole row that cannot be taken."""
        shift = self.desk.shift(line.day, line.number)
        typed = said(self.book, line.typed)
        span = Span(shift.zone, *shift.rules.bounds)
        values, wrong = read_record(self.book, typed, span)
        if not wrong:
            wrong = self._beside(line, shift, typed, values)
        if wrong:
            title = {field.name: field.title for field in self.book.fields}
            checked.faults += [
                Fault(line.row, _(title.get(name, name)), typed.get(name, ""), words)
                for name, words in wrong.items()
            ]
            return
        if self._is_there(line, shift, typed):
            checked.already += 1
            return
        if shift.closed:
            raise WholeRow(shift.closed)
        draft = Draft(
            self.book.name, line.day, line.number, typed, late_reason=reason,
            observed_by=line.observed_by,
        )  # fmt: skip
        checked.records.append((shift.season, draft))
        for field in self.book.fields:
            value = values.get(field.name)
            if field.kind == NUMBER and isinstance(value, float) and field.side(value):
                checked.unusual[field.name] += 1

    def _beside(
        self, line: Line, shift: OpenShift, typed: Mapping[str, str], values: Mapping[str, Value]
    ) -> dict[str, str]:
        """Return what is wrong of a record beside those it refers to, by field."""
        if not self.book.against:
            return {}
        known = self.known[shift.season.id]
        referred = referring.looked_up(self.book, typed, (line.day, line.number), known)
        wrong: dict[str, str] = {}
        for rule in self.book.against:
            wrong = rule({**values, **referred}) | wrong
        return wrong

    def _is_there(self, line: Line, shift: OpenShift, typed: Mapping[str, str]) -> bool:
        """Tell whether a record stands that says the same; Refused where one says otherwise."""
        place, fields = (line.day, line.number), frozenset(typed.items())
        key = typed.get(self.book.key, "")
        known: object = (shift.season.id, key) if key else (*place, fields)
        before = self.seen.setdefault(known, line.row)
        if before != line.row:
            raise Refused(_("Row {number} says it already", number=before))
        if fields in self.stands.get(place, {}):
            return True
        if other := self.keys.get((shift.season.id, key)):
            raise Refused(
                _("{key} is there already, on shift {number} of {day}",
                  key=key, number=other.number, day=other.day)
            )  # fmt: skip
        once = typed.get(self.book.once, "").casefold()
        if once and (*place, once) in self.once:
            raise Refused(
                _("{what} is written on this shift already: correct that line",
                  what=typed[self.book.once])
            )  # fmt: skip
        self.once.add((*place, once))
        return False
