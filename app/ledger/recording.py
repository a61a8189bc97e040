"""Writes the records of the other books, each by the rules that hold of its shift."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any

from sqlalchemy import Connection

from app.language import _
from app.ledger import booked, referring
from app.ledger.beside import said_by
from app.ledger.canonical import canonical
from app.ledger.cells import Refused, readable_name, readable_reason
from app.ledger.mills import Season
from app.ledger.people import Person
from app.ledger.recording_desk import Desk, New, Place
from app.ledger.records import STANDS, VOID, Record, record_with, trail_of
from app.plant.books import BOOKS
from app.plant.books.declare import Book, Value
from app.plant.books.others import Said
from app.plant.books.reading import read_record, said


@dataclass(frozen=True)
class Draft:
    """A record as somebody sends it: what was typed, by field, and where it belongs.

    `based_on` is the record that it corrects, and `reason` why; `void` takes that one out.
    `late_reason` is why a first one comes late, if it does.
    """

    book: str
    day: date
    number: int
    typed: Mapping[str, str] = field(default_factory=dict)
    based_on: int | None = None
    reason: str = ""
    late_reason: str = ""
    observed_by: str = ""
    void: bool = False


class Faulty(Exception):
    """A record cannot be kept: what is wrong, by field, "reason" and "late_reason" among them."""

    def __init__(self, wrong: Mapping[str, str]) -> None:
        super().__init__("; ".join(wrong.values()))
        self.wrong = dict(wrong)


class Stale(Exception):
    """Somebody else has meanwhile corrected the record."""


def write_records(
    connection: Connection,
    season: Season,
    drafts: Iterable[Draft],
    *,
    by: Person,
    at: datetime,
    instrument: str = "none",
) -> list[int]:
    """Write records of a season and return their ids; what already stands is not written again.

    Raises Faulty for what is wrong in the fields of one, Stale where one was corrected meanwhile,
    Refused for a day outside the season, an unknown book, and what would change an approved day,
    Closed where the writer may not write on a shift any more. The caller gives its transaction up
    then, so that all or none are written.
    """
    sent = list(drafts)
    texts = [said(_book(draft), draft.typed) for draft in sent]
    by_book: dict[str, list[Mapping[str, str]]] = {}
    for draft, typed in zip(sent, texts, strict=True):
        by_book.setdefault(draft.book, []).append(typed)
    desk = Desk(connection, season, by_book, by=by, at=at)
    places = desk.places(dict.fromkeys((draft.day, draft.number) for draft in sent)) if sent else {}
    writer = {"recorded_by": by.id, "recorded_name": by.printed_name, "recorded_at": at}
    writer |= {"instrument": instrument}
    changed = set()
    for item, (draft, typed) in enumerate(zip(sent, texts, strict=True)):
        place = places[draft.day, draft.number]
        if _write(desk, item, draft, place, typed, writer):
            changed.add((place.shift_id, draft.book))
    desk.put_down()
    booked.work_out(connection, season, changed)
    return [desk.ids[item] for item in range(len(sent))]


def _book(draft: Draft) -> Book:
    book = BOOKS.get(draft.book)
    if book is None:
        raise Refused(_("There is no book called {name}", name=draft.book[:60]))
    return book


def _write(
    desk: Desk, item: int, draft: Draft, place: Place, typed: Mapping[str, str],
    writer: Mapping[str, Any],
) -> bool:  # fmt: skip
    """Write one record, unless it says what stands; return whether it is written."""
    book, wrong, values = BOOKS[draft.book], dict[str, str](), dict[str, Value]()
    before = _before(desk, draft, place)
    if before and before.state == VOID:
        raise Refused(_("This record is taken out already: write it anew if it was right"))
    if draft.void:
        if before is None:
            raise Refused(_("There is nothing to take out"))
        typed = dict(before.fields)
    else:
        values, wrong = read_record(book, typed, place.span, desk.at)
        wrong |= _against(desk, book, draft, typed, values) if not wrong else {}
    this = Said(values, draft.day, draft.number, place.span.zone, draft.based_on)
    key = None if draft.void else typed.get(book.key, "").casefold() or None
    other = desk.with_key(book, key) if key else None
    stands = _standing_already(draft, typed, before, other, wrong)
    if stands is not None:
        desk.ids[item] = stands.id
        return False
    if other and (before is None or other.id != before.id):
        wrong[book.key] = _(
            "{key} is there already, on shift {number} of {day}",
            key=other.fields[book.key], number=other.number, day=other.day,
        )  # fmt: skip
    elif not draft.void:
        wrong = desk.beside(book).wrong(typed, this, said_by(before) if before else None) | wrong
    row = _row(book, draft, place, typed, before, wrong)
    if wrong:
        raise Faulty(wrong)
    # the key is of the one record that says until when
    key = None if book.is_open(values) else key
    row = {**row, **writer}
    desk.write(New(item, book, place, row, before.id if before else None, key, typed, this))
    return True


def _standing_already(
    draft: Draft,
    typed: Mapping[str, str],
    before: Record | None,
    other: Record | None,
    wrong: Mapping[str, str],
) -> Record | None:
    """Return the record that says the same already: under its key, or the one it would correct."""
    if before is None:
        return other if other and _same(other, draft, typed) else None
    if other and other.id != before.id:
        return None
    same = not wrong and not draft.void and dict(before.fields) == typed
    return before if same else None


def _against(
    desk: Desk,
    book: Book,
    draft: Draft,
    typed: Mapping[str, str],
    values: Mapping[str, Value],
) -> dict[str, str]:
    """Return what is wrong of a record beside what it refers to, by field."""
    if not book.against:
        return {}
    known = desk.known(book)
    referred = referring.looked_up(book, typed, (draft.day, draft.number), known)
    wrong: dict[str, str] = {}
    for rule in book.against:
        wrong = rule({**values, **referred}) | wrong
    return wrong


def _before(desk: Desk, draft: Draft, place: Place) -> Record | None:
    if draft.based_on is None:
        return None
    desk.put_down()
    before = record_with(desk.connection, draft.based_on)
    if before is None or (before.book, before.shift_id) != (draft.book, place.shift_id):
        raise Refused(_("There is no such record on this shift"))
    last = trail_of(desk.connection, before)[-1]
    if last.id != before.id:
        raise Stale(
            _("{who} has meanwhile corrected this record: read it again", who=last.recorded_name)
        )
    return before


def _same(other: Record, draft: Draft, typed: Mapping[str, str]) -> bool:
    return (other.day, other.number, dict(other.fields)) == (draft.day, draft.number, dict(typed))


def _row(
    book: Book,
    draft: Draft,
    place: Place,
    typed: Mapping[str, str],
    before: Record | None,
    wrong: dict[str, str],
) -> dict[str, Any]:
    """Return what a record says of itself; adds to `wrong` what it lacks."""
    reasons = {"reason": draft.reason, "late_reason": draft.late_reason}
    for name, text in reasons.items():
        try:
            reasons[name] = readable_reason(text)
        except Refused as why:
            wrong[name] = str(why)
    observed_by = ""
    try:
        observed_by = readable_name(draft.observed_by)
    except Refused as why:
        wrong["observed_by"] = str(why)
    completes = before is not None and not place.signed and _completes(before, typed, draft)
    if before is not None and not completes and not reasons["reason"]:
        wrong.setdefault("reason", _("Say why it is corrected"))
    if before is None and place.signed and not reasons["reason"]:
        wrong.setdefault("reason", _("This shift is signed: say why something is added"))
    if before is None and place.late and not (reasons["late_reason"] or reasons["reason"]):
        wrong.setdefault("late_reason", _("This shift is long over: say why it comes late"))
    reason = reasons["reason"] if before or place.signed else reasons["late_reason"]
    return {
        "shift_id": place.shift_id,
        "book": book.name,
        "fields": canonical(dict(typed)),
        "state": VOID if draft.void else STANDS,
        "supersedes_id": before.id if before else None,
        "completes": completes,
        "reason": reason or reasons["late_reason"] or None,
        "observed_by": observed_by or None,
        "late": place.late and before is None,
    }


def _completes(before: Record, typed: Mapping[str, str], draft: Draft) -> bool:
    """Tell whether something only fills what was blank before: that needs no reason."""
    kept = all(typed.get(name) == text for name, text in before.fields.items())
    return kept and before.state == STANDS and not draft.void
