"""Baselines of control charts: limits that somebody had the mill keep, numbered, told in the chain.

What one says is in its event and in no table beside it. Its limits are frozen as they were found:
no later result, correction or season moves them, only a baseline that is kept after it.
"""

import json
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import Connection, select

from app.language import _
from app.ledger import chain, tables
from app.ledger.cells import Refused, readable_reason
from app.ledger.people import Person, either_of

BASELINE = "baseline"
MAY_KEEP = ("chief chemist", "manager")

_e = tables.event.c


@dataclass(frozen=True)
class Baseline:
    """Limits found from the days `first` to `last`, of `count` shifts, days or weeks.

    `of` is the measure or figure, `per` "shift", "day" or "week".
    """

    of: str
    per: str
    first: date
    last: date
    count: int
    low: float
    centre: float
    high: float
    moving_range: float


@dataclass(frozen=True)
class Kept:
    """A baseline that is kept: which of those of its chart it is, from 1, and who kept it, why."""

    number: int
    said: Baseline
    reason: str
    recorded_name: str
    recorded_at: datetime


def kept_baselines(connection: Connection, of: str, per: str) -> list[Kept]:
    """Return the baselines that were kept of a chart, the first one first."""
    query = select(_e.at, _e.name, _e.content).where(_e.kind == BASELINE).order_by(_e.number)
    found = []
    for at, name, content in connection.execute(query):
        told = json.loads(content)
        if (told["of"], told["per"]) == (of, per):
            found.append(Kept(int(told["number"]), _read(told), told["reason"], name, at))
    return found


def keep_baseline(
    connection: Connection, baseline: Baseline, *, reason: str, by: Person, at: datetime
) -> int:
    """Have the mill keep a baseline, and return its number among those of its chart.

    Raises Refused for who may not, and without a reason.
    """
    if by.role not in MAY_KEEP:
        raise Refused(_("This is for the {roles}", roles=either_of(MAY_KEEP)))
    words = readable_reason(reason)
    if not words:
        raise Refused(_("Say in words why these days are the baseline"))
    number = len(kept_baselines(connection, baseline.of, baseline.per)) + 1
    content = {"number": number, "reason": words, "role": by.role, **vars(baseline)}
    chain.tell(connection, BASELINE, content, by=by, at=at)
    return number


def _read(told: dict[str, str]) -> Baseline:
    first, last = (date.fromisoformat(told[name]) for name in ("first", "last"))
    limits = (float(told[name]) for name in ("low", "centre", "high", "moving_range"))
    return Baseline(told["of"], told["per"], first, last, int(told["count"]), *limits)
