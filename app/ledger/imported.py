"""What was brought in, and what columns were said to be, as the chain tells of both."""

import json
from collections.abc import Collection, Mapping, Sequence
from datetime import datetime
from typing import Any, NamedTuple

from sqlalchemy import Connection, select

from app.ledger import chain, tables
from app.ledger.people import Person

IMPORT, COLUMNS = "import", "columns"

_LOOKED_THROUGH = 200  # of the newest choices of columns

_e = tables.event.c


class Imported(NamedTuple):
    """One import: the number of its event, when and by whom, and what is told of it."""

    number: int
    at: datetime
    name: str
    told: Mapping[str, Any]


class Remembered(NamedTuple):
    """What the columns of a table were said to be, by heading; those left out have no word."""

    target: str
    order: str
    columns: Mapping[str, str]


def imports(connection: Connection, at_most: int = 100) -> list[Imported]:
    """Return the newest imports first."""
    query = (
        select(_e.number, _e.at, _e.name, _e.content)
        .where(_e.kind == IMPORT)
        .order_by(_e.number.desc())
        .limit(at_most)
    )
    return [
        Imported(number, at, name, json.loads(content))
        for number, at, name, content in connection.execute(query)
    ]


def remembered(
    connection: Connection, headings: Collection[str], target: str = ""
) -> Remembered | None:
    """Return what the columns of such headings were last said to be; of one target, if given.

    A table may have more headings than the one that was seen then.
    """
    query = select(_e.content).where(_e.kind == COLUMNS).order_by(_e.number.desc())
    for content in connection.scalars(query.limit(_LOOKED_THROUGH)):
        told = json.loads(content)
        columns = dict(told["columns"])
        if columns.keys() <= set(headings) and target in ("", told["target"]):
            return Remembered(told["target"], told["order"], columns)
    return None


def remember(
    connection: Connection,
    target: str,
    order: str,
    columns: Sequence[tuple[str, str]],
    *,
    by: Person,
    at: datetime,
) -> None:
    """Tell what columns are, by heading, unless that is remembered already."""
    before = remembered(connection, {heading for heading, _what in columns}, target)
    if before == Remembered(target, order, dict(columns)):
        return
    content = {"target": target, "order": order, "columns": [list(pair) for pair in columns]}
    chain.tell(connection, COLUMNS, content, by=by, at=at)
