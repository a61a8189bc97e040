"""Notes: what somebody says of a result, or answers a check of some results with.

An answer is of the entries that the check was about. Where one of them is superseded, or another is
added, it stands no more, and the check asks again.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import Connection, select

from app.language import _
from app.ledger import chain, tables
from app.ledger.book import NOTES, refuse_closed
from app.ledger.cells import Refused, readable_reason
from app.ledger.chain import About
from app.ledger.entering import open_shift
from app.ledger.mills import Season
from app.ledger.people import Person
from app.plant.samples import Place

_n, _shift, _standing = tables.note.c, tables.shift.c, tables.standing.c


@dataclass(frozen=True)
class Note:
    """What somebody said of a result; in answer to the check `rule`, where that is not empty."""

    id: int
    day: date
    number: int
    place: Place
    rule: str
    entries: frozenset[int]
    words: str
    recorded_name: str
    recorded_at: datetime


@dataclass(frozen=True)
class Asks:
    """What a note is about: a cell, and the check and entries where it answers one."""

    place: Place
    rule: str = ""
    entries: frozenset[int] = frozenset()


def notes_of(connection: Connection, season: Season, first: date, last: date) -> list[Note]:
    """Return every note on the shifts of those days, oldest first."""
    query = (
        select(
            _n.id, _shift.day, _shift.number, _n.measure, _n.sample, _n.determination, _n.rule,
            _n.entries, _n.words, _n.recorded_name, _n.recorded_at,
        )
        .join(tables.shift, _shift.id == _n.shift_id)
        .where(_shift.season_id == season.id, _shift.day.between(first, last))
        .order_by(_n.id)
    )  # fmt: skip
    return [_note(*row) for row in connection.execute(query)]


def _note(key: int, day: date, number: int, *columns: Any) -> Note:
    measure, sample, determination, rule, entries, *said = columns
    return Note(key, day, number, Place(measure, sample, determination), rule, _ids(entries), *said)


def _ids(text: str) -> frozenset[int]:
    return frozenset(int(key) for key in text.split(",") if key)


def answers(notes: Iterable[Note]) -> dict[tuple[str, frozenset[int]], Note]:
    """Return the last answer to each check of some entries."""
    return {(note.rule, note.entries): note for note in notes if note.rule}


def add_notes(
    connection: Connection,
    season: Season,
    day: date,
    number: int,
    *,
    said: Mapping[Asks, str],
    by: Person,
    at: datetime,
) -> None:
    """Keep what is said of results of a shift.

    Raises Refused for what is not said in words, Closed where the writer may write nothing on the
    shift any more.
    """
    refuse_closed(connection, season, day, number, by, NOTES)
    add_answers(connection, season, day, number, said=said, by=by, at=at)


def add_answers(
    connection: Connection,
    season: Season,
    day: date,
    number: int,
    *,
    said: Mapping[Asks, str],
    by: Person,
    at: datetime,
) -> None:
    """Keep what is said with a signature, also of a shift that was signed before.

    Raises Refused for what is not said in words.
    """
    words = {about: readable_reason(text) for about, text in said.items()}
    if not all(words.values()):
        raise Refused(_("Say it in words"))
    if not words:
        return
    shift_id = open_shift(connection, season, day, number, by=by, at=at)
    about = About(season.id, day)
    rows = [(_row(shift_id, asks, text, by, at), by, at, about) for asks, text in words.items()]
    chain.add_all(connection, tables.note, rows)


def _row(shift_id: int, about: Asks, words: str, by: Person, at: datetime) -> dict[str, Any]:
    return {
        "shift_id": shift_id,
        **about.place._asdict(),
        "rule": about.rule,
        "entries": ",".join(map(str, sorted(about.entries))),
        "words": words,
        "recorded_by": by.id,
        "recorded_name": by.printed_name,
        "recorded_at": at,
    }


def standing_entries(
    connection: Connection, season: Season, days: tuple[date, date], measures: Iterable[str]
) -> frozenset[int]:
    """Return the entries with numbers that stand for some measures on the sheets of some days."""
    query = (
        select(_standing.entry_id)
        .join(tables.shift, _shift.id == _standing.shift_id)
        .where(
            _shift.season_id == season.id,
            _shift.day.between(*days),
            _standing.measure.in_(tuple(measures)),
            _standing.value.is_not(None),
        )
    )
    return frozenset(connection.scalars(query))
