"""Signs: a shift by who entered it, a day by somebody else; opens again what was signed.

A signature names the content it covers by its digest. What comes later never changes it: the
signature then says how many entries it does not cover.
"""

from collections.abc import Iterable, Mapping
from datetime import date, datetime
from typing import Any

from sqlalchemy import Connection, select

from app.ledger import chain, tables
from app.ledger.canonical import canonical
from app.ledger.cells import Refused, readable_reason
from app.ledger.chain import About
from app.ledger.mills import Season
from app.ledger.people import Person
from app.ledger.signed import (
    APPROVED,
    ENTERED,
    REOPENED,
    DaySigned,
    Signed,
    covers_day,
    covers_shift,
    signed,
    signed_day,
    signed_shift,
)
from app.plant.typed import NUMBER, VOID

MAY_SIGN = ("chemist", "chief chemist")
MAY_APPROVE = ("chief chemist", "manager")
MAY_REOPEN = ("chief chemist", "manager")


_shift, _entry = tables.shift.c, tables.entry.c


class Gaps(Exception):
    """What keeps a shift from being signed: due results that are blank, states without reason."""

    def __init__(self, blank: tuple[str, ...], unexplained: tuple[str, ...]) -> None:
        super().__init__(f"blank: {', '.join(blank)}; without reason: {', '.join(unexplained)}")
        self.blank = blank
        self.unexplained = unexplained


def sign_shift(  # noqa: PLR0913  a shift is found by three things and signed by four
    connection: Connection,
    season: Season,
    day: date,
    number: int,
    *,
    blank: Iterable[str],
    remarks: Mapping[str, str],
    by: Person,
    at: datetime,
) -> int:
    """Sign that a shift was entered; returns the signature's id.

    `blank` names the due results that are not there. Raises Gaps for them, and for named states
    that have neither the reason of their entry nor a remark; Refused where nothing of the shift
    was entered by the signer.
    """
    stands = {
        measure: (state, reason)
        for measure, state, reason in _states(connection, season, day, number)
    }
    said = {name: words for name, text in remarks.items() if (words := readable_reason(text))}
    named = {n: reason for n, (state, reason) in stands.items() if state not in (NUMBER, VOID)}
    unexplained = tuple(name for name, reason in named.items() if not (reason or said.get(name)))
    _must_be(by, MAY_SIGN)
    gaps = Gaps(tuple(blank), unexplained)
    if gaps.blank or gaps.unexplained:
        raise gaps
    if not _wrote(connection, season, day, by, number):
        raise Refused("A shift is signed by somebody who entered a result of it")
    state = signed_shift(connection, season, day, number)
    if state.whole:
        raise Refused(f"This shift is signed already, by {state.by}")
    values = {
        "meaning": ENTERED,
        "covers": covers_shift(connection, season, day, number),
        "entries": state.entries,
        "remarks": canonical({name: words for name, words in said.items() if name in named}),
    }
    return _sign(connection, season, day, number, values, by, at)


def approve_day(
    connection: Connection,
    season: Season,
    day: date,
    *,
    shifts_a_day: int,
    by: Person,
    at: datetime,
) -> int:
    """Approve a day whose shifts are all signed; returns the signature's id.

    Raises Refused where one is not, or where the approver entered or signed something of the day.
    """
    _must_be(by, MAY_APPROVE)
    state = signed_day(connection, season, day, shifts_a_day)
    if why := why_not_approved(connection, season, day, state, by):
        raise Refused(why)
    values = {
        "meaning": APPROVED,
        "covers": covers_day(connection, season, day, shifts_a_day),
        "entries": state.day.entries,
    }
    return _sign(connection, season, day, None, values, by, at)


def why_not_approved(
    connection: Connection, season: Season, day: date, state: DaySigned, by: Person
) -> str:
    """Say why `by` cannot approve a day that stands so; nothing where they can."""
    if state.unsigned:
        return f"{_shifts(state.unsigned)} not signed yet"
    if state.day.whole:
        return f"This day is approved already, by {state.day.by}"
    signers = {s.signature.recorded_by for s in state.shifts.values() if s.signature}
    if by.id in signers or _wrote(connection, season, day, by):
        return "A day is approved by somebody who entered and signed nothing of it"
    return ""


def _shifts(numbers: list[int]) -> str:
    if len(numbers) == 1:
        return f"Shift {numbers[0]} is"
    return f"Shifts {', '.join(map(str, numbers[:-1]))} and {numbers[-1]} are"


def reopen(
    connection: Connection,
    season: Season,
    day: date,
    number: int | None,
    *,
    reason: str,
    by: Person,
    at: datetime,
) -> int:
    """Open a signed shift, or an approved day (no number), again; returns the reopening's id.

    Raises Refused without a reason, and where nothing is signed.
    """
    _must_be(by, MAY_REOPEN)
    words = readable_reason(reason)
    if not words:
        raise Refused("Say in words why it is opened again")
    places = signed(connection, season, day, day)
    state = places.get((day, number), Signed())
    if number is not None and places.get((day, None), Signed()).signature:
        raise Refused("The day is approved: open the day again first")
    if state.signature is None:
        raise Refused("Nothing is signed here")
    values = {
        "meaning": REOPENED,
        "covers": state.signature.covers,
        "entries": state.entries,
        "reason": words,
    }
    return _sign(connection, season, day, number, values, by, at)


def _must_be(by: Person, roles: tuple[str, ...]) -> None:
    if by.role not in roles:
        raise Refused(f"This is for the {' or the '.join(roles)}")


def _sign(
    connection: Connection,
    season: Season,
    day: date,
    number: int | None,
    values: Mapping[str, Any],
    by: Person,
    at: datetime,
) -> int:
    row = {"season_id": season.id, "day": day, "number": number, "role": by.role, **values}
    row |= {"recorded_by": by.id, "recorded_name": by.printed_name, "recorded_at": at}
    about = About(season.id, day)
    return chain.add(connection, tables.signature, row, by=by, at=at, about=about)


def _states(
    connection: Connection, season: Season, day: date, number: int
) -> list[tuple[str, str, str | None]]:
    standing = tables.standing.c
    query = (
        select(_entry.measure, _entry.state, _entry.reason)
        .join(tables.standing, standing.entry_id == _entry.id)
        .join(tables.shift, _shift.id == standing.shift_id)
        .where(_shift.season_id == season.id, _shift.day == day, _shift.number == number)
    )
    return [tuple(row) for row in connection.execute(query)]


def _wrote(
    connection: Connection, season: Season, day: date, by: Person, number: int | None = None
) -> bool:
    query = (
        select(_entry.id)
        .join(tables.shift, _shift.id == _entry.shift_id)
        .where(_shift.season_id == season.id, _shift.day == day, _entry.recorded_by == by.id)
    )
    if number is not None:
        query = query.where(_shift.number == number)
    return connection.scalar(query.limit(1)) is not None
