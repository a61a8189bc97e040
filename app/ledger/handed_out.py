"""Which issued reports were handed out, by which way and to whom, as the chain tells it."""

import json
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import Connection, select

from app.ledger import chain, tables
from app.ledger.chain import About, Writer
from app.ledger.issues import Issue, issues_of
from app.ledger.mills import Season

HANDED_OUT = "handed_out"
MAIL, FOLDER = "mail", "folder"

_e, _i = tables.event.c, tables.issue.c


@dataclass(frozen=True)
class HandedOut:
    """That an issue was handed out: its name, by which way, to whom or where, and when."""

    issue: str
    way: str
    where: str
    at: datetime


def handed_out(connection: Connection, season_id: int, day: date) -> list[HandedOut]:
    """Return how the issues of a day were handed out, in the order of the chain."""
    query = (
        select(_e.content, _e.at)
        .where(_e.kind == HANDED_OUT, _e.season_id == season_id, _e.day == day)
        .order_by(_e.number)
    )
    told = ((json.loads(content), at) for content, at in connection.execute(query))
    return [HandedOut(c["issue"], c["way"], c["where"], at) for c, at in told]


def tell_handed_out(  # noqa: PLR0913  what an event says
    connection: Connection,
    season_id: int,
    issue: Issue,
    way: str,
    where: str,
    *,
    file: str,
    by: Writer | None,
    at: datetime,
) -> None:
    """Tell in the chain that an issue was handed out; `by` is None where nobody asked for it."""
    content = {"issue": issue.name, "way": way, "where": where, "file": file}
    chain.tell(connection, HANDED_OUT, content, by=by, at=at, about=About(season_id, issue.day))


def issued_since(
    connection: Connection, seasons: list[Season], since: datetime
) -> list[tuple[Season, Issue]]:
    """Return what was issued since a moment, with its season, the first one first."""
    query = select(_i.season_id, _i.day).where(_i.recorded_at >= since).distinct()
    known = {season.id: season for season in seasons}
    found = [
        (known[season_id], issue)
        for season_id, day in connection.execute(query)
        for issue in issues_of(connection, known[season_id], day)
        if issue.recorded_at >= since
    ]
    return sorted(found, key=lambda each: each[1].recorded_at)
