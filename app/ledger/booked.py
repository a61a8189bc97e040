"""What the other books give of measures, shift by shift: a reading side, written with the records.

It follows from the records alone, by the rules of `app.plant.books`, and is worked out anew for
each shift whose records changed.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from sqlalchemy import Connection, delete, func, insert, select

from app.language import _
from app.ledger import referring, tables
from app.ledger.cells import Refused
from app.ledger.mills import Season, mill_of
from app.ledger.plan import plan_of
from app.ledger.records import VOID, Record, by_time, record_of, standing_records
from app.ledger.referring import Referred
from app.ledger.sampled import tuples
from app.ledger.signed import Signed, signed
from app.plant.books import BOOKS
from app.plant.books.declare import Book, Value
from app.plant.books.giving import Given, Giving, giving
from app.plant.grains import WEEK
from app.plant.plan import Plan

_b, _r, _s, _shift = tables.booked.c, tables.record.c, tables.standing_record.c, tables.shift.c

GIVEN = (_b.measure, _b.how, _b.value, _b.weight, _b.whole, _b.records)  # of a `Given`, in order


@dataclass(frozen=True)
class Page:
    """The records of one book on one shift, in order, with their values and what they give."""

    records: tuple[Record, ...]
    values: tuple[Mapping[str, Value], ...]
    giving: Giving


def page_of(book: Book, records: Sequence[Record], referred: Referred) -> Page:
    """Return what some records of one shift say and give.

    Those taken out are left away, and so is what still goes on.
    """
    counts = [r for r in records if r.state != VOID and not book.is_open(r.values)]
    stands = by_time(book, counts)
    known = referred.known(book)
    others = book.beside([record.values for record in stands]) if book.beside else None
    values = [
        referring.with_referred(book, record, known, others[n] if others else {})
        for n, record in enumerate(stands)
    ]
    absent = referring.absent(book, stands, referred)
    return Page(tuple(stands), tuple(values), giving(book, values, absent))


def work_out(connection: Connection, season: Season, changed: Iterable[tuple[int, str]]) -> None:
    """Write anew what shifts get from books, of pairs of shift and book whose records changed.

    What refers to a changed book is worked out with it. Refused where that would change what an
    approved day holds, or a signed shift on which nothing was written now.
    """
    pairs = dict.fromkeys(changed)
    if not pairs:
        return
    written_on = {shift_id for shift_id, _name in pairs}
    plan = plan_of(connection, mill_of(connection, season))
    shifts: dict[str, list[int]] = {}
    for shift_id, name in pairs:
        shifts.setdefault(name, []).append(shift_id)
    for name, of_book in shifts.items():
        pairs |= dict.fromkeys(sorted(referring.that_refer(connection, season, of_book, name)))
    seasons = _seasons_of(connection, {shift_id for shift_id, _name in pairs})
    referred = {each: Referred(connection, each) for each in set(seasons.values())}
    for shift_id, name in pairs:
        now = given_by(connection, shift_id, BOOKS[name], referred[seasons[shift_id]])
        before = _kept(connection, shift_id, name)
        if now == before:
            continue
        moved = {measure for measure in {*now, *before} if now.get(measure) != before.get(measure)}
        here = shift_id in written_on
        _refuse_signed(connection, seasons[shift_id], shift_id, moved, plan, is_written_on=here)
        _keep(connection, shift_id, name, now)


def _seasons_of(connection: Connection, shifts: Collection[int]) -> dict[int, Season]:
    """Return the seasons that some shifts are of."""
    query = select(_shift.id, *tables.season.c).join(tables.season).where(_shift.id.in_(shifts))
    return {shift_id: Season(*row) for shift_id, *row in connection.execute(query)}


def work_out_anew(connection: Connection, seasons: Iterable[Season]) -> None:
    """Write anew what shifts get from books where this program gives otherwise than an older one.

    It follows from records that stand as they were signed: nothing is refused.
    """
    for season in seasons:
        referred = Referred(connection, season)
        for shift_id, name in differences(connection, [season]):
            now = given_by(connection, shift_id, BOOKS[name], referred) if name in BOOKS else {}
            _keep(connection, shift_id, name, now)


def _kept(connection: Connection, shift_id: int, name: str) -> dict[str, Given]:
    """Return what is kept as given by a book on a shift."""
    query = select(*GIVEN).where(_b.shift_id == shift_id, _b.book == name)
    return {row[0]: Given(*row) for row in connection.execute(query)}


def _keep(connection: Connection, shift_id: int, name: str, now: Mapping[str, Given]) -> None:
    of_book = (_b.shift_id == shift_id, _b.book == name)
    connection.execute(delete(tables.booked).where(*of_book))
    if now:
        connection.execute(insert(tables.booked), [
            {"shift_id": shift_id, "measure": given.measure, "book": name, "how": given.how,
             "value": given.value, "weight": given.weight, "whole": given.whole,
             "records": given.count}
            for given in now.values()
        ])  # fmt: skip


def given_by(
    connection: Connection, shift_id: int, book: Book, referred: Referred
) -> dict[str, Given]:
    """Return what the records of a book give on a shift, worked out anew."""
    query = standing_records().where(_s.shift_id == shift_id, _s.book == book.name)
    records = [record_of(tuple(row)) for row in connection.execute(query.order_by(_r.id))]
    found = page_of(book, records, referred).giving
    return {**found.given, **found.none}


def _refuse_signed(
    connection: Connection,
    season: Season,
    shift_id: int,
    moved: Iterable[str],
    plan: Plan,
    *,
    is_written_on: bool,
) -> None:
    """Refuse what moves measures of an approved day, or of a signed shift that is not written on.

    What is taken once a week stands at the end of it, so that no day until then may be approved.
    """
    query = select(_shift.day, _shift.number).where(_shift.id == shift_id)
    day, number = connection.execute(query).one()
    measures = plan.every(day)
    weekly = any(measures[measure].grain == WEEK for measure in moved if measure in measures)
    states = signed(connection, season, day, end_of_week(season, day) if weekly else day)
    for (of_day, of_shift), state in states.items():
        if of_shift is None and state.signature:
            raise Refused(
                _("It would change what {day} holds, which is approved by {who}: that day is to be "
                  "opened again first", day=of_day, who=state.by)
            )  # fmt: skip
    state = states.get((day, number), Signed())
    if state.signature and not is_written_on:
        raise Refused(
            _("It would change what shift {number} of {day} holds, which is signed by {who}: that "
              "shift is to be opened again first", number=number, day=day, who=state.by)
        )  # fmt: skip


def end_of_week(season: Season, day: date) -> date:
    """Return the last day of the week of `day` that lies in the season."""
    sunday = day + timedelta(days=6 - day.weekday())
    return min(sunday, season.last_day) if season.last_day else sunday


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
        referred = Referred(connection, season)
        for shift_id, name in sorted(pairs):
            read = _kept(connection, shift_id, name)
            if name not in BOOKS or read != given_by(connection, shift_id, BOOKS[name], referred):
                wrong.append((shift_id, name))
    return wrong


def given_of_days(
    connection: Connection, season: Season, book: Book, first: date, last: date
) -> tuple[list[tuple[date, Given]], dict[date, int]]:
    """Return what a book gave on each shift of some days, and how many records each day has."""
    of_days = (_shift.season_id == season.id, _shift.day.between(first, last))
    query = (
        select(_shift.day, *GIVEN)
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
    lacking = lacking_on(connection, season, day, number).values()
    return tuple({record.id: record for records in lacking for record in records}.values())


def lacking_on(
    connection: Connection, season: Season, day: date, number: int
) -> dict[str, tuple[Record, ...]]:
    """Return the measures that books give no sum of on a shift, with the records that lack it."""
    found: dict[str, tuple[Record, ...]] = {}
    where = (_s.season_id == season.id, _shift.day == day, _shift.number == number)
    groups: dict[str, list[Record]] = {}
    for row in connection.execute(standing_records().where(*where)):
        record = record_of(tuple(row))
        groups.setdefault(record.book, []).append(record)
    referred = Referred(connection, season)
    for name, records in groups.items():
        page = page_of(BOOKS[name], records, referred)
        for measure, places in page.giving.lacking.items():
            found[measure] = tuple(page.records[n] for n in places)
    return found
