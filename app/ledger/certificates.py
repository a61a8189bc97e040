"""Certificates of quality as they were issued: numbered, and told whole in the chain.

What one said is in its event and in no table beside it, so that nothing can be changed apart.
"""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, NamedTuple

from sqlalchemy import Connection, func, select

from app.language import _
from app.ledger import chain, tables
from app.ledger.canonical import canonical
from app.ledger.cells import Refused, readable_reason
from app.ledger.chain import About, Head
from app.ledger.issues import MAY_ISSUE
from app.ledger.mills import Season
from app.ledger.people import Person, either_of

CERTIFICATE = "certificate"

_e = tables.event.c


class Lot(NamedTuple):
    """A lot of sugar: the season and day of its record, and the id of its first version."""

    season: Season
    day: date
    record: int


@dataclass(frozen=True)
class IssuedCertificate:
    """A certificate as it was issued: its event, who issued it and when, and what it said."""

    event: Head
    name: str
    reason: str
    role: str
    recorded_name: str
    recorded_at: datetime
    said: Mapping[str, Any]

    @property
    def number(self) -> int:
        """Its number in its season, from 1."""
        return int(self.name.rpartition("/")[2])


def as_told(said: Mapping[str, Any]) -> Mapping[str, Any]:
    """Return what a certificate says as the chain tells it: texts alone."""
    told: Mapping[str, Any] = json.loads(canonical(said))
    return told


def certificates_of(connection: Connection, lot: Lot) -> list[IssuedCertificate]:
    """Return the certificates that were issued of a lot, the first one first."""
    query = (
        select(_e.number, _e.hash, _e.at, _e.name, _e.content)
        .where(_e.kind == CERTIFICATE, _e.season_id == lot.season.id, _e.day == lot.day)
        .order_by(_e.number)
    )
    found = []
    for number, event_hash, at, name, content in connection.execute(query):
        c = json.loads(content)
        if int(c["record"]) == lot.record:
            told = c["name"], c["reason"], c["role"], name, at, c["said"]
            found.append(IssuedCertificate(Head(number, event_hash, at), *told))
    return found


def issue_certificate(
    connection: Connection,
    lot: Lot,
    said: Mapping[str, Any],
    *,
    reason: str,
    by: Person,
    at: datetime,
) -> str:
    """Tell what a certificate says as it is issued, and return its number, such as "2026/3".

    Raises Refused for who may not issue, and where one is issued again and nobody says why.
    """
    if by.role not in MAY_ISSUE:
        raise Refused(_("This is for the {roles}", roles=either_of(MAY_ISSUE)))
    words = readable_reason(reason)
    if certificates_of(connection, lot) and not words:
        raise Refused(_("Say in words why it is issued again"))
    of_season = select(func.count()).where(_e.kind == CERTIFICATE, _e.season_id == lot.season.id)
    name = f"{lot.season.name}/{(connection.scalar(of_season) or 0) + 1}"
    content = {"name": name, "record": lot.record, "reason": words, "role": by.role, "said": said}
    about = About(lot.season.id, lot.day)
    chain.tell(connection, CERTIFICATE, content, by=by, at=at, about=about)
    return name
