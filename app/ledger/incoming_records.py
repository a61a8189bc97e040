"""Takes records of the other books that an instrument sends, all or none.

A record that it sent before is answered as then, whatever became of it since.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime
from typing import NamedTuple

from sqlalchemy import Connection

from app.language import _
from app.ledger import tables
from app.ledger.book import Closed
from app.ledger.cells import Refused
from app.ledger.incoming import Desk, Shift, wrong
from app.ledger.instruments import Instrument
from app.ledger.recording import Draft, Faulty, said, write_records
from app.ledger.records import all_records, record_of, with_key
from app.ledger.sent import CONFLICT, FORBIDDEN, UNFIT, NotTaken, SentRecord
from app.plant.books import BOOKS
from app.plant.books.declare import Book
from app.plant.books.reading import Span, read_record

Said = frozenset[tuple[str, str]]

LATE = "sent by an instrument"  # why a first record comes late; kept, so it stays English


class WrittenRecord(NamedTuple):
    """Where a record stands, and its id."""

    day: date
    shift: int
    book: str
    record: int


class _Line(NamedTuple):
    """A record sent, with its number among all that was, and where it belongs."""

    item: int | None
    book: Book
    shift: Shift
    fields: Mapping[str, str]


def take_records(
    connection: Connection,
    instrument: Instrument,
    sent: Iterable[tuple[int | None, SentRecord]],
    now: datetime,
) -> list[WrittenRecord]:
    """Write the records that an instrument sends, and return where each stands.

    Raises NotTaken; the caller gives its transaction up then.
    """
    desk = Desk(connection, instrument, now)
    pages: defaultdict[tuple[Shift, str], list[_Line]] = defaultdict(list)
    lines = []
    for item, each in sent:
        try:
            line = _line(desk, item, each)
        except NotTaken as why:
            desk.note(item, why)
        else:
            lines.append(line)
            pages[line.shift, line.book.name].append(line)
    desk.stop_if_wrong()
    ids: dict[int | None, int] = {}
    for page in pages.values():
        ids |= _write(desk, page)
    desk.stop_if_wrong()
    return [
        WrittenRecord(line.shift.day, line.shift.number, line.book.name, ids[line.item])
        for line in lines
    ]


def _line(desk: Desk, item: int | None, sent: SentRecord) -> _Line:
    book = BOOKS.get(sent.book)
    if book is None:
        words = _("there is no book called {name}", name=sent.book[:60])
        raise wrong(UNFIT, "book", words)
    if book.name not in desk.instrument.books:
        words = _("this instrument may not write in the book {name}", name=book.name)
        raise wrong(FORBIDDEN, "book", words)
    known = {field.name for field in book.fields}
    if other := next((name for name in sent.fields if name not in known), None):
        words = _("the book {name} has no such field", name=book.name)
        raise wrong(UNFIT, f"fields.{other[:60]}", words)
    return _Line(item, book, desk.shift_of(sent), said(book, sent.fields))


def _write(desk: Desk, page: Sequence[_Line]) -> dict[int | None, int]:
    """Write what is new of the lines of one book and shift; return the ids of all, by item."""
    before = _sent_before(desk, page[0])
    ids = {line.item: before[_said(line)] for line in page if _said(line) in before}
    new = [line for line in page if line.item not in ids]
    for line in new:
        _check(desk, line)
    for line in _twice(new):
        desk.note(line.item, wrong(UNFIT, "", _("it is there twice")))
    if not new or desk.problems:
        return ids
    me, (book, shift) = desk.instrument.person, page[0][1:3]
    drafts = [
        Draft(book.name, shift.day, shift.number, line.fields, late_reason=LATE) for line in new
    ]
    try:
        written = write_records(
            desk.connection, shift.season, drafts, by=me, at=desk.now, instrument=me.printed_name
        )
    except Closed as closed:
        desk.note(new[0].item, wrong(FORBIDDEN, "", str(closed)))
    except (Refused, Faulty) as why:
        desk.note(new[0].item, wrong(UNFIT, "", str(why)))
    else:
        ids |= {line.item: key for line, key in zip(new, written, strict=True)}
    return ids


def _sent_before(desk: Desk, line: _Line) -> dict[Said, int]:
    """Return the ids of what this instrument wrote in a book on a shift, by what it says."""
    shift, record = tables.shift.c, tables.record.c
    query = all_records().where(
        shift.season_id == line.shift.season.id, shift.day == line.shift.day,
        shift.number == line.shift.number, record.book == line.book.name,
        record.recorded_by == desk.instrument.person.id,
    ).order_by(record.id.desc())  # fmt: skip
    found = (record_of(tuple(row)) for row in desk.connection.execute(query))
    return {frozenset(each.fields.items()): each.id for each in found}


def _said(line: _Line) -> Said:
    return frozenset(line.fields.items())


def _twice(lines: Iterable[_Line]) -> list[_Line]:
    """Return the lines that say what one before them says, or have its key."""
    seen: set[object] = set()
    found = []
    for line in lines:
        known: object = line.fields.get(line.book.key) or _said(line)
        found += [line] if known in seen else []
        seen.add(known)
    return found


def _check(desk: Desk, line: _Line) -> None:
    """Note what is wrong with the fields of a record, or that another stands under its key."""
    span = Span(desk.mill.zone, line.shift.begins, line.shift.ends)
    for name, words in read_record(line.book, line.fields, span)[1].items():
        desk.note(line.item, wrong(UNFIT, f"fields.{name}", words))
    key = line.fields.get(line.book.key, "")
    stands = with_key(desk.connection, line.shift.season, line.book, key) if key else None
    if stands:
        words = _("{who} wrote {key} already", who=stands.recorded_name, key=key)
        desk.note(line.item, wrong(CONFLICT, f"fields.{line.book.key}", words))
