"""Checks many records of one book that are brought in at once, as `importing` does results."""

from collections.abc import Mapping, Sequence
from datetime import date, datetime
from typing import NamedTuple

from sqlalchemy import Connection

from app.language import _
from app.ledger import chain, referring
from app.ledger.beside import Beside
from app.ledger.cells import Refused, readable_name
from app.ledger.imported import was_taken_back
from app.ledger.importing import Checked, Fault, Progress, said_already
from app.ledger.importing_desk import Desk, OpenShift, WholeRow
from app.ledger.mills import Season
from app.ledger.recording import Draft
from app.ledger.records import VOID, Record, standing_within, written_on
from app.ledger.referring import Referred
from app.plant.books.declare import NUMBER, Book, Value
from app.plant.books.others import Said as SaidBeside
from app.plant.books.reading import Span, read_record, said

MOST = 4000  # records at once: others wait for as long as they are written


class Line(NamedTuple):
    """One row as a record: where it belongs, and what it says, by field."""

    row: int
    day: date
    number: int
    typed: Mapping[str, str]
    observed_by: str = ""


# what a record says, however it was typed: 7:40 is 07:40, 12,5 is 12.5
Said = frozenset[tuple[str, Value]]


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
        self.seen: dict[object, tuple[int, Said]] = {}
        self.keys: dict[tuple[int, str], Record] = {}
        self.beside: dict[int, Beside] = {}
        self.written: set[tuple[date, int, Said]] = set()
        self.known = {
            season.id: Referred(connection, season).known(book) for season in self.desk.seasons
        }
        first, last = min(line.day for line in lines), max(line.day for line in lines)
        for season in self.desk.seasons:
            records = standing_within(connection, season, book, date.min, date.max)
            self.beside[season.id] = Beside(book, records)
            for record in records:
                self._note(season, record)
            written = written_on(connection, season, first, last, book)
            back = {each.supersedes_id for each in written if was_taken_back(each.reason)}
            for record in written:
                if record.id not in back and not was_taken_back(record.reason):
                    self.written.add((record.day, record.number, frozenset(record.values.items())))

    def _note(self, season: Season, record: Record) -> None:
        if record.state == VOID:
            return
        key = record.fields.get(self.book.key, "").casefold()
        if key and not self.book.is_open(record.values):
            self.keys[season.id, key] = record

    def check(self, line: Line, reason: str, checked: Checked) -> None:
        """Check one record; Refused for a whole row that cannot be taken."""
        shift = self.desk.shift(line.day, line.number)
        typed = said(self.book, line.typed)
        span = Span(shift.zone, *shift.rules.bounds)
        values, wrong = read_record(self.book, typed, span)
        if not wrong:
            wrong = self._beside(line, shift, typed, values)
        try:
            observed_by = readable_name(line.observed_by)
        except Refused as why:
            wrong["observed_by"] = str(why)
        if wrong:
            title = {field.name: field.title for field in self.book.fields}
            title["observed_by"] = "Seen by"
            told = {**typed, "observed_by": line.observed_by}
            checked.faults += [
                Fault(line.row, _(title.get(name, name)), told.get(name, ""), words)
                for name, words in wrong.items()
            ]
            return
        if self._is_there(line, shift, typed, frozenset(values.items())):
            checked.already += 1
            return
        if shift.closed:
            raise WholeRow(shift.closed)
        draft = Draft(
            self.book.name, line.day, line.number, typed, late_reason=reason,
            observed_by=observed_by,
        )  # fmt: skip
        checked.records.append((shift.season, draft))
        for field in self.book.fields:
            value = values.get(field.name)
            if field.kind == NUMBER and isinstance(value, float) and field.side(value, values):
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

    def _is_there(
        self, line: Line, shift: OpenShift, typed: Mapping[str, str], fields: Said
    ) -> bool:
        """Tell whether a record was ever written that says the same, whatever became of it since.

        Refused where one stands that says otherwise.
        """
        place = line.day, line.number
        key = typed.get(self.book.key, "").casefold()
        values = dict(fields)
        goes_on = self.book.is_open(values)
        known: object = (shift.season.id, key, goes_on) if key else (*place, fields)
        row, before = self.seen.setdefault(known, (line.row, fields))
        if row != line.row:
            names = {name for name, _value in before ^ fields}
            titles = [_(each.title) for each in self.book.fields if each.name in names]
            raise Refused(said_already(row, titles))
        if (*place, fields) in self.written:
            return True
        if other := self.keys.get((shift.season.id, key)):
            raise Refused(
                _("{key} is there already, on shift {number} of {day}",
                  key=other.fields[self.book.key], number=other.number, day=other.day)
            )  # fmt: skip
        this = SaidBeside(values, *place, shift.zone)
        if wrong := self.beside[shift.season.id].wrong(typed, this):
            raise Refused("; ".join(wrong.values()))
        self.beside[shift.season.id].add(typed, this)
        return False
