"""Puts entries down, told in the chain: their rows, what stands since, and the shifts they are of.

Whether something may be written is said in `book`.
"""

from collections.abc import Iterable, Sequence
from datetime import date, datetime
from typing import Any, NamedTuple

from sqlalchemy import Connection, bindparam, select, update

from app.ledger import chain, tables
from app.ledger.cells import Change
from app.ledger.chain import About
from app.ledger.entries import as_float
from app.ledger.mills import Season, mill_of
from app.ledger.people import Person
from app.plant.measures import MEASURES

CELL = ("shift_id", "measure", "sample", "determination")


class Placed(NamedTuple):
    """A change, the shift it is of, and what its event is about."""

    shift_id: int
    about: About
    change: Change


def open_shift(
    connection: Connection, season: Season, day: date, number: int, *, by: Person, at: datetime
) -> int:
    """Return the id of a shift, which is put down at its first entry with its bounds."""
    return open_shifts(connection, season, [(day, number)], by=by, at=at)[day, number]


def open_shifts(
    connection: Connection,
    season: Season,
    places: Sequence[tuple[date, int]],
    *,
    by: Person,
    at: datetime,
) -> dict[tuple[date, int], int]:
    """Return the ids of shifts by day and number, those put down that were not yet."""
    c, days = tables.shift.c, [day for day, _number in places]
    query = select(c.day, c.number, c.id).where(
        c.season_id == season.id, c.day.between(min(days), max(days))
    )
    found = {(day, number): key for day, number, key in connection.execute(query)}
    new = [place for place in places if place not in found]
    if not new:
        return found
    clock, rows = mill_of(connection, season).clock, []
    for day, number in new:
        begins, ends = clock.shift_bounds(day, number)
        values = {"season_id": season.id, "day": day, "number": number, "zone": clock.zone}
        values |= {"begins_at": begins, "ends_at": ends}
        rows.append((values, by, at, About(season.id, day)))
    return found | dict(zip(new, chain.add_all(connection, tables.shift, rows), strict=True))


def write_changes(
    connection: Connection, placed: Sequence[Placed], *, by: Person, at: datetime
) -> None:
    """Write an entry for each change, in their order, and let it stand."""
    rows = [(entry_values(each.shift_id, each.change, by, at), by, at, each.about)
            for each in placed]  # fmt: skip
    keys = chain.add_all(connection, tables.entry, rows)
    _let_stand(connection, zip(placed, keys, strict=True))


def entry_values(shift_id: int, change: Change, by: Person, at: datetime) -> dict[str, Any]:
    """Return the row of an entry."""
    return {
        "shift_id": shift_id,
        "measure": change.measure,
        "sample": change.sample,
        "determination": change.determination,
        "state": change.state,
        "typed": change.typed,
        "value": None if change.value is None else str(change.value),
        "unit": MEASURES[change.measure].unit,
        "reason": change.reason,
        "supersedes_id": change.supersedes_id,
        "recorded_by": by.id,
        "recorded_name": by.printed_name,
        "recorded_at": at,
        "observed_at": change.observed_at,
        "observed_by": change.observed_by,
        "late": change.late,
        "instrument": change.instrument,
        "carried": change.carried,
    }


def _let_stand(connection: Connection, written: Iterable[tuple[Placed, int]]) -> None:
    c = tables.standing.c
    first, again = [], []
    for (shift_id, _about, change), key in written:
        cell = {"shift_id": shift_id, "measure": change.measure}
        cell |= {"sample": change.sample, "determination": change.determination}
        now = {"entry_id": key, "value": as_float(change.value)}
        if change.supersedes_id is None:
            first.append(cell | now)
        else:
            again.append({f"its_{name}": value for name, value in cell.items()} | now)
    if again:
        where = [c[name] == bindparam(f"its_{name}") for name in CELL]
        stands: dict[str, Any] = {name: bindparam(name) for name in ("entry_id", "value")}
        connection.execute(update(tables.standing).where(*where).values(**stands), again)
    if first:
        tables.add_rows(connection, tables.standing, first)
