"""Signs: a shift by who entered it, a day by somebody else; opens again what was signed.

A signature names the content it covers by its digest. What comes later never changes it: the
signature then says how many entries it does not cover.
"""

from collections.abc import Iterable, Mapping
from datetime import date, datetime
from types import MappingProxyType
from typing import Any

from sqlalchemy import Connection, select

from app.language import _
from app.ledger import chain, tables
from app.ledger.booked import unfinished
from app.ledger.canonical import canonical
from app.ledger.cells import Refused, readable_reason
from app.ledger.chain import About
from app.ledger.entries import sheet
from app.ledger.mills import Season
from app.ledger.notes import Asks, add_answers
from app.ledger.people import Person, either_of
from app.ledger.records import Record
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
from app.plant.typed import BELOW, NUMBER, VOID

MAY_SIGN = ("chemist", "chief chemist")
MAY_APPROVE = ("chief chemist", "manager")
MAY_REOPEN = ("chief chemist", "manager")


_shift, _entry = tables.shift.c, tables.entry.c


class Gaps(Exception):
    """What keeps a shift from being signed.

    Due results that are blank and states without a reason, by the keys of their places; checks
    without an answer; records of other books that are not finished.
    """

    def __init__(
        self,
        blank: tuple[str, ...],
        unexplained: tuple[str, ...],
        unanswered: tuple[Asks, ...] = (),
        unfinished: tuple[Record, ...] = (),
    ) -> None:
        checks = ", ".join(about.rule for about in unanswered)
        super().__init__(
            f"blank: {', '.join(blank)}; without reason: {', '.join(unexplained)}; "
            f"without answer: {checks}"
        )
        self.blank = blank
        self.unexplained = unexplained
        self.unanswered = unanswered
        self.unfinished = unfinished


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
    answers: Mapping[Asks, str] = MappingProxyType({}),
) -> int:
    """Sign that a shift was entered; returns the signature's id.

    `blank` has the keys of due results that are not there, `remarks` words by the keys of places,
    `answers` words for each check that has no answer yet; they are kept with the signature. Raises
    Gaps for what is blank, for named states that have neither the reason of their entry nor a
    remark, and for checks without words; Refused where nothing of the shift was entered by the
    signer.
    """
    said = {key: words for key, text in remarks.items() if (words := readable_reason(text))}
    named = _without_number(connection, season, day, number)
    unexplained = tuple(key for key, reason in named.items() if not (reason or said.get(key)))
    unanswered = tuple(about for about, text in answers.items() if not readable_reason(text))
    _must_be(by, MAY_SIGN)
    open_records = unfinished(connection, season, day, number)
    gaps = Gaps(tuple(blank), unexplained, unanswered, open_records)
    if gaps.blank or gaps.unexplained or gaps.unanswered or gaps.unfinished:
        raise gaps
    if not _wrote(connection, season, day, by, number):
        raise Refused(_("A shift is signed by somebody who entered a result of it"))
    state = signed_shift(connection, season, day, number)
    if state.whole:
        raise Refused(_("This shift is signed already, by {name}", name=state.by))
    add_answers(connection, season, day, number, said=answers, by=by, at=at)
    values = {
        "meaning": ENTERED,
        "covers": covers_shift(connection, season, day, number),
        "entries": state.entries,
        "remarks": canonical({key: words for key, words in said.items() if key in named}),
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
        return _not_signed(state.unsigned)
    if state.day.whole:
        return _("This day is approved already, by {name}", name=state.day.by)
    signers = {s.signature.recorded_by for s in state.shifts.values() if s.signature}
    if by.id in signers or _wrote(connection, season, day, by):
        return _("A day is approved by somebody who entered and signed nothing of it")
    return ""


def _not_signed(numbers: list[int]) -> str:
    *others, last = numbers
    if not others:
        return _("Shift {number} is not signed yet", number=last)
    return _(
        "Shifts {numbers} and {last} are not signed yet",
        numbers=", ".join(map(str, others)),
        last=last,
    )


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
        raise Refused(_("Say in words why it is opened again"))
    places = signed(connection, season, day, day)
    state = places.get((day, number), Signed())
    if number is not None and places.get((day, None), Signed()).signature:
        raise Refused(_("The day is approved: open the day again first"))
    if state.signature is None:
        raise Refused(_("Nothing is signed here"))
    values = {
        "meaning": REOPENED,
        "covers": state.signature.covers,
        "entries": state.entries,
        "reason": words,
    }
    return _sign(connection, season, day, number, values, by, at)


def _must_be(by: Person, roles: tuple[str, ...]) -> None:
    if by.role not in roles:
        raise Refused(_("This is for the {roles}", roles=either_of(roles)))


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


def _without_number(
    connection: Connection, season: Season, day: date, number: int
) -> dict[str, str | None]:
    """Return the reasons of the results that have no number, by their keys.

    Below detection is a result: its state is reason enough.
    """
    return {
        key: entry.reason or (BELOW if entry.state == BELOW else None)
        for key, entry in sheet(connection, season, day, number).items()
        if entry.state not in (NUMBER, VOID)
    }


def _wrote(
    connection: Connection, season: Season, day: date, by: Person, number: int | None = None
) -> bool:
    for c in (_entry, tables.record.c):
        query = (
            select(c.id)
            .join(tables.shift, _shift.id == c.shift_id)
            .where(_shift.season_id == season.id, _shift.day == day, c.recorded_by == by.id)
        )
        if number is not None:
            query = query.where(_shift.number == number)
        if connection.scalar(query.limit(1)) is not None:
            return True
    return False
