"""What the other books give of measures, shift by shift: a reading side, written with the records.

It follows from the records alone, by the rules of `app.plant.books`, and is worked out anew for
each shift whose records changed.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

import numpy as np
from numpy.typing import NDArray
from sqlalchemy import ColumnElement, Connection, delete, func, insert, select

from app.language import _
from app.ledger import referring, tables
from app.ledger.cells import Refused
from app.ledger.mills import Season
from app.ledger.records import VOID, Record, by_time, record_of, standing_records
from app.ledger.sampled import tuples
from app.ledger.signed import Signed, signed
from app.plant.books import BOOKS
from app.plant.books.declare import Book, Value
from app.plant.books.giving import Given, Giving, giving, together
from app.plant.grains import DAY, SHIFT
from app.plant.measures import Measure

_b, _r, _s, _shift = tables.booked.c, tables.record.c, tables.standing_record.c, tables.shift.c


@dataclass(frozen=True)
class Page:
    """The records of one book on one shift, in order, with their values and what they give."""

    records: tuple[Record, ...]
    values: tuple[Mapping[str, Value], ...]
    giving: Giving


def page_of(connection: Connection, season: Season, book: Book, records: Sequence[Record]) -> Page:
    """Return what some records of one shift say and give; those taken out are left away."""
    stands = by_time(book, [record for record in records if record.state != VOID])
    known = referring.known_by(connection, season, book)
    values = [referring.with_referred(book, record, known) for record in stands]
    absent = referring.absent(connection, season, book, stands)
    return Page(tuple(stands), tuple(values), giving(book, values, absent))


def work_out(connection: Connection, season: Season, changed: Iterable[tuple[int, str]]) -> None:
    """Write anew what shifts get from books, of pairs of shift and book whose records changed.

    What refers to a changed book is worked out with it. Refused where that would change what an
    approved day holds.
    """
    pairs = dict.fromkeys(changed)
    for pair in list(pairs):
        pairs |= dict.fromkeys(sorted(referring.that_refer(connection, season, *pair)))
    for shift_id, name in pairs:
        _write(connection, season, shift_id, BOOKS[name])


def _write(connection: Connection, season: Season, shift_id: int, book: Book) -> None:
    now = given_by(connection, season, shift_id, book)
    of_book = (_b.shift_id == shift_id, _b.book == book.name)
    before = {
        row.measure: Given(row.measure, row.how, row.value, row.weight, row.records)
        for row in connection.execute(select(tables.booked).where(*of_book))
    }
    if now == before:
        return
    _refuse_approved(connection, season, shift_id)
    connection.execute(delete(tables.booked).where(*of_book))
    if now:
        connection.execute(insert(tables.booked), [
            {"shift_id": shift_id, "measure": given.measure, "book": book.name, "how": given.how,
             "value": given.value, "weight": given.weight, "records": given.count}
            for given in now.values()
        ])  # fmt: skip


def given_by(connection: Connection, season: Season, shift_id: int, book: Book) -> dict[str, Given]:
    """Return what the records of a book give on a shift, worked out anew."""
    query = standing_records().where(_s.shift_id == shift_id, _s.book == book.name)
    records = [record_of(tuple(row)) for row in connection.execute(query.order_by(_r.id))]
    return dict(page_of(connection, season, book, records).giving.given)


def _refuse_approved(connection: Connection, season: Season, shift_id: int) -> None:
    day = connection.scalars(select(_shift.day).where(_shift.id == shift_id)).one()
    state = signed(connection, season, day, day).get((day, None), Signed())
    if state.signature:
        raise Refused(
            _("It would change what {day} holds, which is approved by {who}: that day is to be "
              "opened again first", day=day, who=state.by)
        )  # fmt: skip


def add_booked(
    connection: Connection,
    within: ColumnElement[bool],
    rows: Mapping[int | None, int],
    days: Sequence[date],
    measures: Mapping[str, NDArray[np.float64]],
    taken: Sequence[Mapping[str, Measure]],
    stated: Iterable[tuple[int, str]],
) -> frozenset[tuple[int, str]]:
    """Let `measures` hold what the books give where no result stands; return where they do.

    What is taken once a day or week stands on the last row of its span, made of all its shifts.
    `stated` are the rows and measures where a named state stands.
    """
    query = (
        select(_b.shift_id, _b.measure, _b.how, _b.value, _b.weight, _b.records)
        .join(tables.shift, _shift.id == _b.shift_id)
        .where(within)
        .order_by(_shift.day, _shift.number)
    )
    parts: dict[tuple[int, str], list[Given]] = {}
    ends = _ends(days)
    for shift_id, measure, *given in tuples(connection, query):
        if measure not in measures:
            continue
        row = rows[shift_id]
        grain = taken[row][measure].grain
        place = row if grain == SHIFT else ends[grain, _span(grain, days[row])]
        parts.setdefault((place, measure), []).append(Given(measure, *given))
    taken_places = set(stated)
    found = set()
    for (row, measure), given_parts in parts.items():
        if np.isnan(measures[measure][row]) and (row, measure) not in taken_places:
            measures[measure][row] = together(given_parts).value
            found.add((row, measure))
    return frozenset(found)


def _span(grain: str, day: date) -> Any:
    return day if grain == DAY else day.isocalendar()[:2]


def _ends(days: Sequence[date]) -> dict[tuple[str, Any], int]:
    """Return the last row of each day and week."""
    found: dict[tuple[str, Any], int] = {}
    for row, day in enumerate(days):
        for grain in (DAY, "week"):
            found[grain, _span(grain, day)] = row
    return found


def differences(connection: Connection, seasons: Iterable[Season]) -> list[tuple[int, str]]:
    """Return the shifts and books whose reading side is not what their records give."""
    wrong = []
    for season in seasons:
        pairs = set(
            tuples(
                connection, select(_s.shift_id, _s.book).where(_s.season_id == season.id).distinct()
            )
        ) | set(
            tuples(
                connection,
                select(_b.shift_id, _b.book)
                .join(tables.shift, _shift.id == _b.shift_id)
                .where(_shift.season_id == season.id)
                .distinct(),
            )
        )
        for shift_id, name in sorted(pairs):
            rows = connection.execute(
                select(tables.booked).where(_b.shift_id == shift_id, _b.book == name)
            )
            read = {r.measure: Given(r.measure, r.how, r.value, r.weight, r.records) for r in rows}
            if name not in BOOKS or read != given_by(connection, season, shift_id, BOOKS[name]):
                wrong.append((shift_id, name))
    return wrong


def given_of_days(
    connection: Connection, season: Season, book: Book, first: date, last: date
) -> tuple[list[tuple[date, Given]], dict[date, int]]:
    """Return what a book gave on each shift of some days, and how many records each day has."""
    of_days = (_shift.season_id == season.id, _shift.day.between(first, last))
    query = (
        select(_shift.day, _b.measure, _b.how, _b.value, _b.weight, _b.records)
        .join(tables.shift, _shift.id == _b.shift_id)
        .where(*of_days, _b.book == book.name)
        .order_by(_shift.day, _shift.number)
    )
    parts = [(day, Given(*given)) for day, *given in connection.execute(query)]
    counting = (
        select(_shift.day, func.count())
        .select_from(tables.standing_record)
        .join(tables.shift, _shift.id == _s.shift_id)
        .join(tables.record, _r.id == _s.record_id)
        .where(*of_days, _s.book == book.name, _r.state != VOID)
        .group_by(_shift.day)
    )
    return parts, dict(tuple(row) for row in connection.execute(counting))


def counts_on_shift(
    connection: Connection, season: Season, day: date, number: int
) -> dict[str, int]:
    """Return how many records stand in each book on a shift."""
    query = (
        select(_s.book, func.count())
        .join(tables.shift, _shift.id == _s.shift_id)
        .join(tables.record, _r.id == _s.record_id)
        .where(
            _shift.season_id == season.id,
            _shift.day == day,
            _shift.number == number,
            _r.state != VOID,
        )
        .group_by(_s.book)
    )
    return dict(tuples(connection, query))


def unfinished(
    connection: Connection, season: Season, day: date, number: int
) -> tuple[Record, ...]:
    """Return the records of a shift for want of which a sum is none, such as a stop without end."""
    found: dict[int, Record] = {}
    where = (_s.season_id == season.id, _shift.day == day, _shift.number == number)
    groups: dict[str, list[Record]] = {}
    for row in connection.execute(standing_records().where(*where)):
        record = record_of(tuple(row))
        groups.setdefault(record.book, []).append(record)
    for name, records in groups.items():
        page = page_of(connection, season, BOOKS[name], records)
        places = {n for lacking in page.giving.lacking.values() for n in lacking}
        found |= {page.records[n].id: page.records[n] for n in places}
    return tuple(found.values())
