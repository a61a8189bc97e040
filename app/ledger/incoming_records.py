"""Takes records of the other books that an instrument sends, all or none.

A record that it sent before is answered as then, whatever became of it since.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime, timedelta
from typing import NamedTuple

from sqlalchemy import Connection

from app.language import _
from app.ledger import tables
from app.ledger.book import Closed
from app.ledger.cells import Refused
from app.ledger.going_on import GoingOn
from app.ledger.incoming import DAYS_BACK, Desk, Shift, wrong
from app.ledger.instruments import Instrument
from app.ledger.recording import Draft, Faulty, write_records
from app.ledger.records import Record, all_records, record_of, record_with, with_key
from app.ledger.sent import CONFLICT, FORBIDDEN, UNFIT, NotTaken, SentRecord
from app.plant.books import BOOKS
from app.plant.books.declare import Book
from app.plant.books.reading import Span, read_record, said

Said = frozenset[tuple[str, str]]

# why a record comes late, or fills the blanks of one before; kept, so it stays English
LATE, COMPLETED = "sent by an instrument", "completed by the instrument"


class WrittenRecord(NamedTuple):
    """Where a record stands, and its id."""

    day: date
    shift: int
    book: str
    record: int


class _Line(NamedTuple):
    """A record sent, with its number among all that was, and where it belongs.

    `completes` is the record of the same instrument and key whose blanks it fills.
    """

    item: int | None
    book: Book
    shift: Shift
    fields: Mapping[str, str]
    completes: int | None = None


def take_records(
    connection: Connection,
    instrument: Instrument,
    sent: Iterable[tuple[int | None, SentRecord]],
    now: datetime,
    back: timedelta = DAYS_BACK,
) -> list[WrittenRecord]:
    """Write the records that an instrument sends, and return where each stands.

    Nothing new is taken of a shift that was over longer than `back` ago. Raises NotTaken with all
    that is wrong; the caller gives its transaction up then.
    """
    desk = Desk(connection, instrument, now, back)
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
    new = [_completing(desk, line) for line in page if line.item not in ids]
    ids |= {line.item: line.completes for line in new if line.completes and not _adds(desk, line)}
    new = [line for line in new if line.item not in ids]
    if new and (words := desk.too_old(new[0].shift)):
        desk.note(new[0].item, wrong(FORBIDDEN, "", words))
    for line in new:
        _check(desk, line)
    for line in _twice(new):
        desk.note(line.item, wrong(UNFIT, "", _("it is there twice")))
    if not new or desk.problems:
        return ids
    me, (book, shift) = desk.instrument.person, page[0][1:3]
    drafts = [
        Draft(book.name, shift.day, shift.number, line.fields, late_reason=LATE)
        if line.completes is None
        else Draft(
            book.name, shift.day, shift.number, line.fields, line.completes, reason=COMPLETED
        )
        for line in new
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


def _completing(desk: Desk, line: _Line) -> _Line:
    """Return a line with all that is known of its record, where it fills blanks of one before.

    That is only so where the same instrument wrote it on the same shift, and nobody changed it.
    """
    key = line.fields.get(line.book.key, "")
    stands = with_key(desk.connection, line.shift.season, line.book, key) if key else None
    stands = stands or _going_on(desk, line)
    if stands is None or stands.recorded_by != desk.instrument.person.id:
        return line
    if (stands.day, stands.number) != (line.shift.day, line.shift.number):
        return line
    fields = {**line.fields, **stands.fields}
    span = Span(desk.mill.zone, line.shift.begins, line.shift.ends)
    before, now = (read_record(line.book, each, span)[0] for each in (stands.fields, line.fields))
    others = {name: value for name, value in before.items() if name != line.book.key}
    if any(name in now and now[name] != value for name, value in others.items()):
        return line
    return line._replace(fields=fields, completes=stands.id)


def _going_on(desk: Desk, line: _Line) -> Record | None:
    """Return the record of the same shift that tells of the same, which still goes on."""
    rule, shift = line.book.open, line.shift
    going = GoingOn(desk.connection, shift.season, line.book).open
    return next(
        (
            each for each in going
            if rule and rule.same(each.fields) == rule.same(line.fields)
            and (each.day, each.number) == (shift.day, shift.number)
        ), None,
    )  # fmt: skip


def _adds(desk: Desk, line: _Line) -> bool:
    """Tell whether a line fills anything that was blank before."""
    assert line.completes is not None  # noqa: S101  as its caller saw to
    before = record_with(desk.connection, line.completes)
    return before is None or set(line.fields) > set(before.fields)


def _said(line: _Line) -> Said:
    return frozenset(line.fields.items())


def _twice(lines: Iterable[_Line]) -> list[_Line]:
    """Return the lines that say what one before them says, or have its key."""
    seen: set[object] = set()
    found = []
    for line in lines:
        known: object = line.fields.get(line.book.key, "").casefold() or _said(line)
        found += [line] if known in seen else []
        seen.add(known)
    return found


def _check(desk: Desk, line: _Line) -> None:
    """Note what is wrong with the fields of a record, or that another stands under its key."""
    span = Span(desk.mill.zone, line.shift.begins, line.shift.ends)
    for name, words in read_record(line.book, line.fields, span, desk.now)[1].items():
        desk.note(line.item, wrong(UNFIT, f"fields.{name}", words))
    key = line.fields.get(line.book.key, "")
    stands = with_key(desk.connection, line.shift.season, line.book, key) if key else None
    if stands and stands.id != line.completes:
        words = _("{who} wrote {key} already", who=stands.recorded_name, key=key)
        desk.note(line.item, wrong(CONFLICT, f"fields.{line.book.key}", words))
