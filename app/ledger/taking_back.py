"""Takes an import back as a whole: its results are emptied and its records taken out, or nothing.

As by hand, only at once: nothing is lost, and each tells in its trail why.
"""

from collections.abc import Iterable
from datetime import date, datetime
from itertools import groupby
from typing import Any

from sqlalchemy import ColumnElement, Connection, and_, bindparam, select, update

from app.language import _, ngettext
from app.ledger import booked, chain, tables
from app.ledger.cells import Change, Refused, readable_reason
from app.ledger.chain import About
from app.ledger.entering import CELL, Placed, write_changes
from app.ledger.imported import TAKEN_BACK, Imported, back_because, imports
from app.ledger.mills import Season, seasons, the_mill
from app.ledger.people import Person
from app.ledger.signed import signed
from app.plant.typed import VOID

# a result or record: its season, day, shift number and id first, and last what stands of it
Found = tuple[Any, ...]

_shift, _entry, _record = tables.shift.c, tables.entry.c, tables.record.c


def take_back(connection: Connection, number: int, reason: str, *, by: Person, at: datetime) -> int:
    """Take back the import of an event, told in the chain; return how much of it that was.

    Raises LookupError for no such import, Refused where it is taken back already, a reason lacks,
    a shift of it is signed or a day approved, or something of it was corrected since. The caller
    gives its transaction up then.
    """
    found = next((each for each in imports(connection, None) if each.number == number), None)
    if found is None:
        raise LookupError(f"no event {number} is an import")
    if found.taken_back:
        raise Refused(_("It is taken back already, by {name}", name=found.taken_back.name))
    words = readable_reason(reason)
    if not words:
        raise Refused(_("Say why it is taken back"))
    results, records = _results(connection, found), _records(connection, found)
    _refuse_corrected(sum(row[-1] is None for row in (*results, *records)))
    mill = the_mill(connection)
    of_season = {season.id: season for season in seasons(connection, mill)}
    for key, rows in groupby(sorted((*results, *records), key=_season), key=_season):
        _refuse_signed(connection, of_season[key], rows)
    kept = readable_reason(back_because(number, words))
    count = len(results) + len(records)
    content = {"import": number, "file": found.told["file"], "reason": words, "count": count}
    chain.tell(connection, TAKEN_BACK, content, by=by, at=at)
    _empty(connection, results, kept, by=by, at=at)
    for key, of_one in groupby(sorted(records, key=_season), key=_season):
        _take_out(connection, of_season[key], list(of_one), kept, by=by, at=at)
    return count


def _season(row: Found) -> int:
    key: int = row[0]
    return key


def _results(connection: Connection, found: Imported) -> list[Found]:
    """Return the results of an import by season, day and shift; at the end which of them stand."""
    cell = [tables.standing.c[name] == _entry[name] for name in CELL]
    stands = tables.standing.c.entry_id
    query = (
        select(
            _shift.season_id, _shift.day, _shift.number, _shift.id, _entry.id, _entry.measure,
            _entry.sample, _entry.determination, _entry.observed_at, stands,
        )
        .join(tables.entry, _entry.shift_id == _shift.id)
        .outerjoin(tables.standing, and_(*cell, stands == _entry.id))
        .where(
            *_days(found), _entry.recorded_by == found.person_id, _entry.recorded_at == found.at,
            _entry.reason.endswith(found.mark, autoescape=True),
        )
        .order_by(_entry.id)
    )  # fmt: skip
    return [tuple(row) for row in connection.execute(query)]


def _records(connection: Connection, found: Imported) -> list[Found]:
    stands = tables.standing_record.c.record_id
    query = (
        select(
            _shift.season_id, _shift.day, _shift.number, _shift.id, _record.book, _record.id,
            _record.fields, stands,
        )
        .join(tables.record, _record.shift_id == _shift.id)
        .outerjoin(tables.standing_record, stands == _record.id)
        .where(
            *_days(found), _record.recorded_by == found.person_id, _record.recorded_at == found.at,
            _record.reason.endswith(found.mark, autoescape=True),
        )
        .order_by(_record.id)
    )  # fmt: skip
    return [tuple(row) for row in connection.execute(query)]


def _days(found: Imported) -> list[ColumnElement[bool]]:
    first, last = (date.fromisoformat(found.told[name]) for name in ("first_day", "last_day"))
    return [_shift.day.between(first, last)]


def _refuse_corrected(count: int) -> None:
    if count:
        raise Refused(
            ngettext(
                "{count} of its results or records was corrected since, so nothing is taken back",
                "{count} of its results or records were corrected since, so nothing is taken back",
                count,
            )
        )


def _refuse_signed(connection: Connection, season: Season, rows: Iterable[Found]) -> None:
    places = sorted({(row[1], row[2]) for row in rows})
    states = signed(connection, season, places[0][0], places[-1][0])
    for day, number in places:
        for place in ((day, None), (day, number)):
            state = states.get(place)
            if state is None or state.signature is None:
                continue
            name = state.signature.recorded_name
            if place[1] is None:
                raise Refused(_("{day} is approved by {name} since", day=day, name=name))
            raise Refused(
                _("Shift {number} of {day} is signed by {name} since",
                  number=number, day=day, name=name)
            )  # fmt: skip


def _empty(
    connection: Connection, rows: Iterable[Found], reason: str,
    *, by: Person, at: datetime,
) -> None:  # fmt: skip
    placed = [
        Placed(
            shift_id, About(season_id, day),
            Change(measure, "", VOID, None, reason, entry_id, sample=sample,
                   determination=determination, observed_at=observed_at),
        )
        for season_id, day, _number, shift_id, entry_id, measure, sample, determination,
        observed_at, _stands in rows
    ]  # fmt: skip
    if placed:
        write_changes(connection, placed, by=by, at=at)


def _take_out(
    connection: Connection, season: Season, rows: list[Found], reason: str,
    *, by: Person, at: datetime,
) -> None:  # fmt: skip
    """Take records of a season out, all at once: others wait meanwhile."""
    same = {
        "state": VOID, "completes": False, "reason": reason, "observed_by": None, "late": False,
        "recorded_by": by.id, "recorded_name": by.printed_name, "recorded_at": at,
        "instrument": "none",
    }  # fmt: skip
    new = [
        ({"shift_id": shift_id, "book": book, "fields": fields, "supersedes_id": record} | same,
         by, at, About(season.id, day))
        for _season_id, day, _number, shift_id, book, record, fields, _stands in rows
    ]  # fmt: skip
    keys = chain.add_all(connection, tables.record, new)
    stands = tables.standing_record.c.record_id
    now = update(tables.standing_record).where(stands == bindparam("before"))
    connection.execute(
        now.values(record_id=bindparam("new"), key=None),
        [{"before": row[5], "new": key} for row, key in zip(rows, keys, strict=True)],
    )
    booked.work_out(connection, season, {(row[3], row[4]) for row in rows})
