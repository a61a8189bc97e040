"""The chain: every event of the ledger in one order, each bound by its hash to all before it.

What is written to an append-only table is told here in the same transaction, or not at all. The
order is that of the numbers, whatever the clock said.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, NamedTuple, Protocol

from sqlalchemy import Connection, LargeBinary, Table, func, select

from app.ledger import tables
from app.ledger.canonical import BEGINNING, canonical, digest_of_event, link

_e = tables.event.c


class Writer(Protocol):
    """Who an event is told of: a person of the ledger."""

    @property
    def id(self) -> int: ...  # noqa: D102
    @property
    def printed_name(self) -> str: ...  # noqa: D102


@dataclass(frozen=True)
class Head:
    """The last event: what proves, written down elsewhere, that nothing before it was changed."""

    number: int
    hash: str
    at: datetime | None = None

    @property
    def short(self) -> str:
        """How prints name it: the number and 16 digits of the hash."""
        return f"{self.number}:{self.hash[:16]}"


class About(NamedTuple):
    """Which season, day and row an event is about, where it is about one."""

    season_id: int | None = None
    day: date | None = None
    row_id: int | None = None


def head(connection: Connection) -> Head:
    """Return the last event; number 0 before the first."""
    query = select(_e.number, _e.hash, _e.at).order_by(_e.number.desc()).limit(1)
    row = connection.execute(query).first()
    return Head(*row) if row else Head(0, BEGINNING)


def numbers_of(connection: Connection, kind: str, rows: Iterable[int]) -> dict[int, int]:
    """Return the numbers of the events that tell of some rows of a table, by their ids."""
    query = select(_e.row_id, _e.number).where(_e.kind == kind, _e.row_id.in_(tuple(rows)))
    return {row.row_id: row.number for row in connection.execute(query)}


def tell(
    connection: Connection,
    kind: str,
    content: Mapping[str, Any],
    *,
    by: Writer | None,
    at: datetime,
    about: About = About(),  # noqa: B008  a tuple, which nobody changes
) -> Head:
    """Write one event at the end of the chain; `by` is None for what the ledger does by itself."""
    return _tell_all(connection, kind, [(content, by, at, about)])


def add(
    connection: Connection,
    table: Table,
    values: Mapping[str, Any],
    *,
    by: Writer | None,
    at: datetime,
    about: About = About(),  # noqa: B008
) -> int:
    """Add a row to an append-only table, tell it in the chain, and return its id."""
    return add_all(connection, table, [(values, by, at, about)])[0]


def add_all(
    connection: Connection,
    table: Table,
    rows: Sequence[tuple[Mapping[str, Any], Writer | None, datetime, About]],
) -> list[int]:
    """Add rows, told in their order, and return their ids."""
    if not rows:
        return []
    ids = _new_ids(connection, table, len(rows))
    adding = [{"id": key, **values} for key, (values, *_) in zip(ids, rows, strict=True)]
    tables.add_rows(connection, table, adding)
    told = [
        (content_of(table, values), by, at, about._replace(row_id=values["id"]))
        for values, (_values, by, at, about) in zip(adding, rows, strict=True)
    ]
    _tell_all(connection, str(table.name), told)  # else a name that knows how it is quoted
    return ids


def _new_ids(connection: Connection, table: Table, count: int) -> list[int]:
    """Return the next ids of a table, rising.

    To be told them by the database, row by row, would take several times as long.
    """
    if connection.dialect.name == "sqlite":  # where only one writes at a time, and none deletes
        last = connection.scalar(select(func.max(table.c.id))) or 0
        return list(range(last + 1, last + 1 + count))
    number = func.nextval(func.pg_get_serial_sequence(str(table.name), "id"))
    query = select(number).select_from(func.generate_series(1, count))
    return sorted(connection.scalars(query))


def content_of(table: Table, values: Mapping[str, Any]) -> dict[str, Any]:
    """Return what an event tells of a row: every column that holds no bytes, as it was written."""
    told = [c for c in table.columns if not isinstance(c.type, LargeBinary)]
    return {str(c.name): values.get(c.name) for c in told}


def _tell_all(
    connection: Connection,
    kind: str,
    events: Iterable[tuple[Mapping[str, Any], Writer | None, datetime, About]],
) -> Head:
    last = head(connection)
    rows = []
    for content, by, at, about in events:
        row = {
            "at": at,
            "kind": kind,
            "person_id": by.id if by else None,
            "name": by.printed_name if by else "",
            **about._asdict(),
            "content": canonical(content),
        }
        number = last.number + 1
        last = Head(number, link(number, last.hash, digest_of_event(row)), at)
        rows.append(row | {"number": number, "hash": last.hash})
    if rows:
        tables.add_rows(connection, tables.event, rows)
    return last
