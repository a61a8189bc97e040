"""Writes the records of the other books, each by the rules that hold of its shift."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any

from sqlalchemy import Connection, insert, update

from app.language import _
from app.ledger import booked, chain, referring, tables
from app.ledger.book import CORRECTS, refuse_closed
from app.ledger.canonical import canonical
from app.ledger.cells import Refused, readable_reason
from app.ledger.chain import About
from app.ledger.entering import open_shift
from app.ledger.mills import Season, mill_of
from app.ledger.people import Person
from app.ledger.records import (
    STANDS,
    VOID,
    Record,
    record_with,
    records_of,
    trail_of,
    with_key,
)
from app.plant.books import BOOKS
from app.plant.books.declare import Book, Value
from app.plant.books.reading import Span, read_record
from app.plant.calendar import LATE_AFTER

_s = tables.standing_record.c


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


@dataclass(frozen=True)
class _Place:
    """A shift as it is written on: its id, its times, whether it is signed, and long over."""

    shift_id: int
    span: Span
    signed: bool
    late: bool


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
    places: dict[tuple[date, int], _Place] = {}
    ids, changed = [], set()
    for draft in drafts:
        book = BOOKS.get(draft.book)
        if book is None:
            raise Refused(_("There is no book called {name}", name=draft.book[:60]))
        key = (draft.day, draft.number)
        if key not in places:
            places[key] = _place(connection, season, *key, by=by, at=at)
        place = places[key]
        written, row_id = _write(connection, season, book, draft, place, by, at, instrument)
        ids.append(row_id)
        changed |= {(place.shift_id, book.name)} if written else set()
    booked.work_out(connection, season, changed)
    return ids


def _place(
    connection: Connection, season: Season, day: date, number: int, *, by: Person, at: datetime
) -> _Place:
    if day not in season:
        raise Refused(_("{day} is not a day of the season {season}", day=day, season=season.name))
    signed = refuse_closed(connection, season, day, number, by, CORRECTS)
    clock = mill_of(connection, season).clock
    bounds = clock.shift_bounds(day, number)
    shift_id = open_shift(connection, season, day, number, by=by, at=at)
    return _Place(shift_id, Span(clock.zone, *bounds), signed, at > bounds[1] + LATE_AFTER)


def _write(  # noqa: PLR0913, PLR0917
    connection: Connection,
    season: Season,
    book: Book,
    draft: Draft,
    place: _Place,
    by: Person,
    at: datetime,
    instrument: str,
) -> tuple[bool, int]:
    """Write one record, unless it says what stands; return whether it was, and its id."""
    typed, wrong = said(book, draft.typed), dict[str, str]()
    before = _before(connection, book, draft, place)
    if draft.void:
        if before is None:
            raise Refused(_("There is nothing to take out"))
        typed = dict(before.fields)
    else:
        values, wrong = read_record(book, typed, place.span)
        wrong |= _against(connection, season, book, draft, typed, values) if not wrong else {}
        wrong |= _twice(connection, season, book, draft, typed)
    key = typed.get(book.key) if book.key and not draft.void else None
    other = with_key(connection, season, book, key.strip()) if key else None
    if before is None and other and _same(other, draft, typed):
        return False, other.id
    if other and (before is None or other.id != before.id):
        wrong[book.key] = _(
            "{key} is there already, on shift {number} of {day}",
            key=key, number=other.number, day=other.day,
        )  # fmt: skip
    if before and not wrong and not draft.void and dict(before.fields) == typed:
        return False, before.id
    row = _row(book, draft, place, typed, before, wrong)
    if wrong:
        raise Faulty(wrong)
    row |= {"recorded_by": by.id, "recorded_name": by.printed_name, "recorded_at": at}
    about = About(season.id, draft.day)
    row_id = chain.add(
        connection, tables.record, row | {"instrument": instrument}, by=by, at=at, about=about
    )
    _let_stand(connection, season, book, place, row_id, before, key)
    return True, row_id


def _against(
    connection: Connection,
    season: Season,
    book: Book,
    draft: Draft,
    typed: Mapping[str, str],
    values: Mapping[str, Value],
) -> dict[str, str]:
    """Return what is wrong of a record beside what it refers to, by field."""
    if not book.against:
        return {}
    known = referring.known_by(connection, season, book)
    referred = referring.looked_up(book, typed, (draft.day, draft.number), known)
    wrong: dict[str, str] = {}
    for rule in book.against:
        wrong = rule({**values, **referred}) | wrong
    return wrong


def _twice(
    connection: Connection, season: Season, book: Book, draft: Draft, typed: Mapping[str, str]
) -> dict[str, str]:
    """Return what is wrong where another record of the shift says the same of what none may."""
    said_once = typed.get(book.once, "").casefold()
    if not said_once:
        return {}
    others = records_of(connection, season, draft.day, draft.day, book, draft.number)
    same = any(
        other.id != draft.based_on
        and other.state != VOID
        and other.fields.get(book.once, "").casefold() == said_once
        for other in others
    )
    if not same:
        return {}
    words = _("{what} is written on this shift already: correct that line", what=typed[book.once])
    return {book.once: words}


def said(book: Book, typed: Mapping[str, str]) -> dict[str, str]:
    """Return what was typed in the fields of a book, blanks around and blank fields left away."""
    texts = {each.name: " ".join(typed.get(each.name, "").split()) for each in book.fields}
    return {name: text for name, text in texts.items() if text}


def _before(connection: Connection, book: Book, draft: Draft, place: _Place) -> Record | None:
    if draft.based_on is None:
        return None
    before = record_with(connection, draft.based_on)
    if before is None or (before.book, before.shift_id) != (book.name, place.shift_id):
        raise Refused(_("There is no such record on this shift"))
    last = trail_of(connection, before)[-1]
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
    place: _Place,
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
        "observed_by": " ".join(draft.observed_by.split())[:100] or None,
        "late": place.late and before is None,
    }


def _completes(before: Record, typed: Mapping[str, str], draft: Draft) -> bool:
    """Tell whether something only fills what was blank before: that needs no reason."""
    kept = all(typed.get(name) == text for name, text in before.fields.items())
    return kept and before.state == STANDS and not draft.void


def _let_stand(
    connection: Connection,
    season: Season,
    book: Book,
    place: _Place,
    row_id: int,
    before: Record | None,
    key: str | None,
) -> None:
    if before is None:
        values = {"season_id": season.id, "shift_id": place.shift_id, "book": book.name}
        values |= {"record_id": row_id, "key": key}
        connection.execute(insert(tables.standing_record).values(values))
    else:
        now = update(tables.standing_record).where(_s.record_id == before.id)
        connection.execute(now.values(record_id=row_id, key=key))
