"""How sure the laboratory is: stated uncertainties of measures, and pairs of results of a sample.

Nothing is changed: what is stated later holds from its day on, a pair is withdrawn with a reason.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from sqlalchemy import ColumnElement, Connection, select
from sqlalchemy.exc import IntegrityError

from app.language import _
from app.ledger import chain, tables
from app.ledger.cells import Refused, readable_reason, understand
from app.ledger.chain import About
from app.ledger.mills import Mill, seasons
from app.ledger.people import Person
from app.plant.measures import MEASURES
from app.plant.typed import number

NO_DAY = "Write the day like 2026-07-14"
A_NUMBER = "Write a number with one decimal sign, like 14.26 or 14,26"
RANDOM_WRONG = "The random part is a number from 0 to {most} {unit}"
SYSTEMATIC_WRONG = "The systematic part is a number from 0 to {most} {unit}"


class WrongFields(Refused):
    """What was typed cannot be kept; `problems` says why, by the name of each wrong field."""

    def __init__(self, problems: Mapping[str, str]) -> None:
        super().__init__("; ".join(problems.values()))
        self.problems = dict(problems)


@dataclass(frozen=True)
class Stated:
    """What the mill says of a measure from a day on: in its unit, or `relative`, in % of it."""

    measure: str
    random: float
    systematic: float
    relative: bool
    since: date
    source: str
    recorded_name: str
    recorded_at: datetime


@dataclass(frozen=True)
class Withdrawal:
    """Why a pair counts no more, and who said so."""

    reason: str
    recorded_name: str
    recorded_at: datetime


@dataclass(frozen=True)
class Duplicate:
    """Two results of one sample, as typed."""

    id: int
    measure: str
    day: date
    first: str
    second: str
    recorded_name: str
    recorded_at: datetime
    withdrawal: Withdrawal | None = None

    @property
    def values(self) -> tuple[Decimal, Decimal]:
        """Both results, exactly."""
        return number(self.first), number(self.second)


def add_uncertainty(  # noqa: PLR0913  each part of what is stated is named
    connection: Connection,
    mill: Mill,
    *,
    measure: str,
    random: float,
    systematic: float,
    relative: bool,
    since: date | None,
    source: str,
    by: Person,
    at: datetime,
) -> date:
    """State the standard uncertainties of a measure from a day on; the last said for a day holds.

    Returns the day from which it counts: the mill's first, where it is stated from before that.
    Raises WrongFields for an unknown measure, for a part that is negative, no number or larger
    than the measure's whole range (100 where in percent), for no day, and for no words of source.
    """
    known = MEASURES.get(measure)
    if known is None:
        raise WrongFields({"measure": _("There is no measure called {name}", name=measure)})
    most, unit = (100, "%") if relative else (known.hard[1] - known.hard[0], known.unit)
    problems = {
        part: _(says, most=f"{most:g}", unit=_(unit))
        for part, says, value in (
            ("random", RANDOM_WRONG, random),
            ("systematic", SYSTEMATIC_WRONG, systematic),
        )
        if not (math.isfinite(value) and 0 <= value <= most)
    }
    try:
        source = readable_reason(source)
    except Refused as refused:
        problems["source"] = str(refused)
    if not source.strip():
        problems["source"] = _("Say in words who says so, or what it was found by")
    if since is None:
        raise WrongFields(problems | {"since": _(NO_DAY)})
    if problems:
        raise WrongFields(problems)
    values: dict[str, Any] = {"measure": measure, "random": random, "systematic": systematic}
    values |= {"relative": relative, "since": since, "source": source}
    chain.add(connection, tables.uncertainty, values | _who(mill, by, at), by=by, at=at)
    return max(since, _first_day(connection, mill))


def stated(connection: Connection, mill: Mill) -> list[Stated]:
    """Return what the mill has stated of its measures, earliest first."""
    u, person = tables.uncertainty.c, tables.person.c
    query = select(
        u.measure, u.random, u.systematic, u.relative, u.since, u.source, person.printed_name,
        u.recorded_at,
    ).where(u.mill_id == mill.id, person.id == u.recorded_by)  # fmt: skip
    return [Stated(*row) for row in connection.execute(query.order_by(u.since, u.id))]


def uncertainty_rows(
    connection: Connection, mill: Mill
) -> list[tuple[str, float, float, bool, date, str]]:
    """Return measure, random, systematic, relative, since and source, earliest first."""
    return [
        (row.measure, row.random, row.systematic, row.relative, row.since, row.source)
        for row in stated(connection, mill)
    ]


def add_duplicate(  # noqa: PLR0913  each part of a pair is named
    connection: Connection,
    mill: Mill,
    *,
    measure: str,
    day: date | None,
    first: str,
    second: str,
    by: Person,
    at: datetime,
) -> None:
    """Keep two results of one sample, as typed; WrongFields where one is not a possible number.

    No day, one that has not begun on the mill's clock, and one before its first season are refused
    too.
    """
    if measure not in MEASURES:
        raise WrongFields({"measure": _("There is no measure called {name}", name=measure)})
    typed = {"first": first, "second": second}
    problems = {field: why for field, text in typed.items() if (why := _wrong(measure, text))}
    if day is None:
        problems["day"] = _(NO_DAY)
    elif day > mill.clock.shift_at(at)[0]:
        problems["day"] = _("This day has not begun")
    elif day < (first_day := _first_day(connection, mill)):
        problems["day"] = _("The first season of this mill began on {day}", day=first_day)
    if problems:
        raise WrongFields(problems)
    values: dict[str, Any] = {
        "measure": measure,
        "day": day,
        "first": first.strip(),
        "second": second.strip(),
    }
    values |= _who(mill, by, at)
    chain.add(connection, tables.duplicate, values, by=by, at=at, about=About(day=day))


def _wrong(measure: str, typed: str) -> str:
    """Say why `typed` is no result of a pair; nothing where it is."""
    try:
        change = understand(measure, typed, unreadable=_(A_NUMBER))
    except Refused as refused:
        return str(refused)
    return "" if change.value is not None else _("A pair has two numbers")


def withdraw_duplicate(
    connection: Connection, mill: Mill, pair: int, *, reason: str, by: Person, at: datetime
) -> None:
    """Let a pair count no more; LookupError for one that is not there, Refused without reason."""
    found = next((row for row in duplicates(connection, mill) if row.id == pair), None)
    if found is None:
        raise LookupError(_("There is no such pair"))
    words = readable_reason(reason)
    if not words:
        raise Refused(_("Say in words why the pair is withdrawn"))
    values: dict[str, Any] = {"measure": found.measure, "day": found.day, "first": found.first}
    values |= {"second": found.second, "withdraws_id": pair, "reason": words}
    try:
        with connection.begin_nested():
            values |= _who(mill, by, at)
            about = About(day=found.day)
            chain.add(connection, tables.duplicate, values, by=by, at=at, about=about)
    except IntegrityError:
        raise Refused(_("This pair is withdrawn already")) from None


def duplicates(connection: Connection, mill: Mill, measure: str = "") -> list[Duplicate]:
    """Return the pairs of the mill, or of one measure, earliest first, withdrawn ones marked."""
    pair, taken_back = tables.duplicate.alias(), tables.duplicate.alias()
    by, taken_back_by = tables.person.alias(), tables.person.alias()
    of: list[ColumnElement[bool]] = [pair.c.mill_id == mill.id, pair.c.withdraws_id.is_(None)]
    of += [pair.c.measure == measure] if measure else []
    query = (
        select(
            pair.c.id, pair.c.measure, pair.c.day, pair.c.first, pair.c.second, by.c.printed_name,
            pair.c.recorded_at, taken_back.c.reason, taken_back_by.c.printed_name,
            taken_back.c.recorded_at,
        )
        .join(by, by.c.id == pair.c.recorded_by)
        .outerjoin(taken_back, taken_back.c.withdraws_id == pair.c.id)
        .outerjoin(taken_back_by, taken_back_by.c.id == taken_back.c.recorded_by)
        .where(*of)
        .order_by(pair.c.day, pair.c.id)
    )  # fmt: skip
    return [_pair(*row) for row in connection.execute(query)]


def _pair(*row: Any) -> Duplicate:
    reason, who, at = row[7:]
    pair = Duplicate(*row[:7])
    return replace(pair, withdrawal=Withdrawal(reason, who, at)) if reason else pair


def _first_day(connection: Connection, mill: Mill) -> date:
    return min((season.first_day for season in seasons(connection, mill)), default=date.min)


def _who(mill: Mill, by: Person, at: datetime) -> dict[str, Any]:
    return {"mill_id": mill.id, "recorded_by": by.id, "recorded_at": at}
