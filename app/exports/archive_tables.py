"""The tables of a season as its archive holds them: every row, exact, in the canonical form."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from sqlalchemy import (
    BigInteger,
    Boolean,
    ColumnElement,
    Connection,
    Date,
    Double,
    Integer,
    LargeBinary,
    Table,
    Text,
    func,
    select,
    true,
)

from app.ledger import tables
from app.ledger.canonical import digest_of_event
from app.ledger.chain import Head
from app.ledger.mills import Season
from app.ledger.tables import Instant
from app.plant.measures import MEASURES
from app.plant.typed import VOID
from app.reports.numbers import plain

SECRET = ("password_hash",)

Row = Mapping[str, Any]


class Incomplete(RuntimeError):
    """The archive would not hold all that the ledger holds of the season, so none is made."""


@dataclass(frozen=True, eq=False)
class File:
    """A CSV file of the archive: its columns with their types, and its keys.

    A foreign key is a column with the file and column it names; `needed` columns are never empty.
    """

    name: str
    columns: Mapping[str, str]
    key: tuple[str, ...]
    foreign: Mapping[str, tuple[str, str]] = field(default_factory=dict)
    needed: frozenset[str] = frozenset()

    @property
    def path(self) -> str:
        """Where it lies in the archive."""
        return f"data/{self.name}.csv"


# table: the name of its file
NAMES = {
    tables.mill: "mill", tables.season: "seasons", tables.person: "people",
    tables.shift: "shifts", tables.entry: "entries", tables.record: "records",
    tables.note: "notes",
    tables.sampling: "samplings", tables.part: "parts", tables.convention: "conventions",
    tables.target: "targets", tables.uncertainty: "uncertainties", tables.duplicate: "duplicates",
    tables.lime_dose: "lime_doses", tables.signature: "signatures", tables.review: "reviews",
    tables.issue: "issues", tables.issue_file: "issue_files", tables.event: "chain",
}  # fmt: skip

# file: columns that follow from others
ADDED = {
    "entries": {
        "day": "date", "shift": "integer", "title": "string", "printed": "number",
        "status": "string",
    },
    "records": {"day": "date", "shift": "integer", "status": "string"},
    "issue_files": {"path": "string"},
    "chain": {"digest": "string"},
}  # fmt: skip

_TYPES = {
    Integer: "integer", BigInteger: "integer", Double: "number", Boolean: "boolean",
    Date: "date", Instant: "datetime", Text: "string",
}  # fmt: skip


def file_of(table: Table) -> File:
    """Return the file that holds a table of the ledger; KeyError for one that no archive holds."""
    name = NAMES[table]
    told = [c for c in table.columns if c.name not in SECRET and not _holds_bytes(c)]
    columns = {str(c.name): _TYPES[type(c.type)] for c in told} | ADDED.get(name, {})
    foreign = {
        str(key.parent.name): (NAMES[key.column.table], str(key.column.name))
        for key in table.foreign_keys
    }
    # an empty text is a text too
    needed = {str(c.name) for c in told if not c.nullable and columns[str(c.name)] != "string"}
    if table is tables.entry:
        columns["value"] = "number"  # kept as text, to be exact
    elif table is tables.event:
        needed = {"number"}  # of an event of another season little else is told
    if table in (tables.entry, tables.note, tables.sampling):
        foreign["measure"] = ("measures", "name")
    key = tuple(str(c.name) for c in table.primary_key)
    return File(name, columns, key, foreign, frozenset(needed))


def _holds_bytes(column: ColumnElement[Any]) -> bool:
    return isinstance(column.type, LargeBinary)


def _within(table: Table, season: Season) -> ColumnElement[bool]:
    """Tell which rows of a table belong to a season; what is the mill's belongs to every one."""
    if table in (tables.entry, tables.record, tables.note):
        shift = tables.shift.c
        return table.c.shift_id.in_(select(shift.id).where(shift.season_id == season.id))
    if table is tables.issue_file:
        issue = tables.issue.c
        return table.c.issue_id.in_(select(issue.id).where(issue.season_id == season.id))
    return table.c.season_id == season.id if "season_id" in table.c else true()


def count_of(connection: Connection, table: Table, season: Season, head: Head) -> int:
    """Return how many rows of a table the archive of a season is to hold."""
    within = table.c.number <= head.number if table is tables.event else _within(table, season)
    return connection.scalar(select(func.count()).select_from(table).where(within)) or 0


def rows_of(connection: Connection, table: Table, season: Season) -> Iterator[dict[str, Any]]:
    """Yield the rows of a table that belong to a season, in the order they were added."""
    told = [c for c in table.columns if c.name not in SECRET and not _holds_bytes(c)]
    query = select(*told).where(_within(table, season)).order_by(*table.primary_key)
    names = [str(c.name) for c in told]
    for row in connection.execute(query):
        yield dict(zip(names, row, strict=True))


def entry_rows(connection: Connection, season: Season) -> Iterator[Row]:
    """Yield every entry of a season, with its place, its printed value and its status."""
    shift, standing = tables.shift.c, tables.standing.c
    of_season = select(shift.id, shift.day, shift.number).where(shift.season_id == season.id)
    places = {key: (day, number) for key, day, number in connection.execute(of_season)}
    now = select(standing.entry_id).join(tables.shift, shift.id == standing.shift_id)
    stands = set(connection.scalars(now.where(shift.season_id == season.id)))
    for row in rows_of(connection, tables.entry, season):
        measure = MEASURES[row["measure"]]
        day, number = places[row["shift_id"]]
        value = None if row["value"] is None else Decimal(row["value"])
        status = "void" if row["state"] == VOID else "standing"
        yield row | {
            "day": day,
            "shift": number,
            "title": measure.title,
            "printed": plain(value, measure.decimals),
            "status": status if row["id"] in stands else "superseded",
        }


def record_rows(connection: Connection, season: Season) -> Iterator[Row]:
    """Yield every record of the other books of a season, with its place and its status."""
    shift, standing = tables.shift.c, tables.standing_record.c
    of_season = select(shift.id, shift.day, shift.number).where(shift.season_id == season.id)
    places = {key: (day, number) for key, day, number in connection.execute(of_season)}
    now = select(standing.record_id).where(standing.season_id == season.id)
    stands = set(connection.scalars(now))
    for row in rows_of(connection, tables.record, season):
        day, number = places[row["shift_id"]]
        status = "void" if row["state"] == VOID else "standing"
        status = status if row["id"] in stands else "superseded"
        yield row | {"day": day, "shift": number, "status": status}


def chain_rows(connection: Connection, season: Season, head: Head) -> Iterator[Row]:
    """Yield every event up to the head; of those of other seasons no more than proves the chain."""
    e = tables.event.c
    names = [str(c.name) for c in tables.event.columns]
    query = select(tables.event).where(e.number <= head.number).order_by(e.number)
    for told in connection.execute(query):
        row = dict(zip(names, told, strict=True))
        if row["season_id"] in (None, season.id):
            yield row | {"digest": None}
        else:
            event = {name: row[name] for name in names if name not in ("number", "hash")}
            yield {
                "number": row["number"],
                "digest": digest_of_event(event),
                "hash": row["hash"],
            }
