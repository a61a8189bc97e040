"""Marks of the records of a book, and what of it goes on, as its pages say them."""

from collections.abc import Iterator, Mapping, Sequence
from datetime import date, datetime
from typing import NamedTuple
from zoneinfo import ZoneInfo

from sqlalchemy import Connection

from app.ledger.going_on import GoingOn
from app.ledger.mills import Season
from app.ledger.records import VOID, Record, standing_within
from app.plant.books.declare import TIME, Book, Value
from app.plant.books.laboratory import REAGENTS, STANDARD_CHECKS
from app.plant.calendar import Clock
from app.reports.books import said_in
from app.reports.dates import moment
from app.reports.marks import completes, marks_of, still_open
from app.reports.marks_of_laboratory import (
    NAMES_A_LOT,
    expired,
    failed,
    good_until_of,
    used_too_late,
)

Valued = Sequence[tuple[Record, Mapping[str, Value]]]


def marks_in(
    connection: Connection, season: Season, book: Book, valued: Valued, zone: str, now: datetime
) -> dict[int, tuple[str, ...]]:
    """Return what is to be known of records at `now`, each with its values, by their ids."""
    counted = [
        (record, values) for record, values in valued
        if record.state != VOID and not book.is_open(values)
    ]  # fmt: skip
    marks = marks_of(book, [values for _record, values in counted], zone)
    found: dict[int, tuple[str, ...]] = {counted[n][0].id: (words,) for n, words in marks.items()}
    for key, words in _of_laboratory(connection, season, book, counted, _day(now, zone)):
        found[key] = (*found.get(key, ()), words)
    going = GoingOn(connection, season, book)
    for record, values in valued if going.open else ():
        if record.state == VOID:
            continue
        if book.is_open(values):
            end = going.completed_by(record)
            found[record.id] = (still_open(book, (end.day, end.number) if end else None),)
        elif begun := going.completes(record):
            found[record.id] = (*found.get(record.id, ()), completes((begun.day, begun.number)))
    return found


def _of_laboratory(
    connection: Connection, season: Season, book: Book, counted: Valued, today: date
) -> Iterator[tuple[int, str]]:
    """Yield the ids of records that a standard check or a reagent throws doubt on, and why."""
    names_lot = NAMES_A_LOT.get(book.name, "")
    names = {record.fields.get(names_lot, "") for record, _values in counted} if names_lot else {""}
    good_until: dict[str, date] = {}
    if names - {""}:
        reagents = standing_within(connection, season, REAGENTS, season.first_day, today)
        good_until = good_until_of(each.values for each in reagents if each.state != VOID)
    for record, values in counted:
        told = [used_too_late(record.fields.get(names_lot, ""), record.day, good_until)]
        if book is STANDARD_CHECKS:
            told.append(failed(values))
        if book is REAGENTS:
            told.append(expired(values, today))
        yield from ((record.id, words) for words in told if words)


def _day(at: datetime, zone: str) -> date:
    return at.astimezone(ZoneInfo(zone)).date()


class GoesOn(NamedTuple):
    """A record of an earlier shift of what still goes on: what it is of, and since when."""

    record: Record
    name: str
    since: str


def goes_on(
    connection: Connection, season: Season, book: Book, at: tuple[date, int], clock: Clock
) -> tuple[GoesOn, ...]:
    """Return what goes on at the end of a shift by records of earlier ones."""
    found = []
    for record in GoingOn(connection, season, book).after(*at):
        since = record.values.get(book.open.since) if book.open else None
        fields = [field for field in book.fields[:3] if field.kind != TIME]
        name = ", ".join(said_in(field, record.fields.get(field.name, "")) for field in fields)
        told = moment(since, clock) if isinstance(since, datetime) else ""
        found.append(GoesOn(record, name, told))
    return tuple(found)


def begun_as(book: Book, record: Record) -> dict[str, str]:
    """Return what an open record says as a form of a later shift is filled with it.

    Its times have their dates, for they are of another shift.
    """
    zone = ZoneInfo(record.span.zone)
    values = record.values
    typed = {f"field:{name}": text for name, text in record.fields.items()}
    return typed | {
        f"field:{name}": f"{at.astimezone(zone):%Y-%m-%d %H:%M}"
        for name in book.times
        if isinstance(at := values.get(name), datetime)
    }
