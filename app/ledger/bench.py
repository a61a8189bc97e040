"""The mill's own table of lime: how much it adds for a step of pH. Rows are only ever added."""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from sqlalchemy import Connection, select

from app.language import _
from app.ledger import chain, tables
from app.ledger.cells import LONGEST_TEXT
from app.ledger.mills import Mill
from app.ledger.people import Person
from app.plant.typed import Unreadable, number

LARGEST_DOSE = 100  # kg per tonne; far above any juice, so only a slip is refused


@dataclass(frozen=True)
class LimeDose:
    """Calcium oxide, kg per tonne of juice, that takes juice from one pH to another."""

    from_ph: Decimal
    to_ph: Decimal
    dose: Decimal
    recorded_name: str
    recorded_at: datetime


class NotADose(ValueError):
    """A row that the table does not take; `where` is the name of what is wrong with it."""

    def __init__(self, where: str, message: str) -> None:
        super().__init__(message)
        self.where = where


def lime_doses(connection: Connection, mill: Mill) -> list[LimeDose]:
    """Return the doses that stand, by pH: the last row of each step, unless it took it out."""
    c, who = tables.lime_dose.c, tables.person.c
    query = (
        select(c.from_ph, c.to_ph, c.dose, who.printed_name, c.recorded_at)
        .join(tables.person, who.id == c.recorded_by)
        .where(c.mill_id == mill.id)
        .order_by(c.id)
    )
    last = {(Decimal(row.from_ph), Decimal(row.to_ph)): row for row in connection.execute(query)}
    return [
        LimeDose(*step, Decimal(row.dose), row.printed_name, row.recorded_at)
        for step, row in sorted(last.items())
        if row.dose
    ]


def set_lime_dose(
    connection: Connection,
    mill: Mill,
    *,
    from_ph: str,
    to_ph: str,
    dose: str,
    by: Person,
    at: datetime,
) -> LimeDose | None:
    """Let a dose stand for a step of pH, as typed; an empty one takes the step out: None.

    Raises NotADose for a pH outside 0 to 14 or one that does not rise, a dose that is not above 0,
    and a step taken out that does not stand.
    """
    low, high = _ph("from_ph", from_ph), _ph("to_ph", to_ph)
    if low >= high:
        raise NotADose("to_ph", _("Lime raises the pH: this is to be above {low}", low=low))
    kept = _dose(dose) if dose.strip() else None
    if kept is None and (low, high) not in {
        (standing.from_ph, standing.to_ph) for standing in lime_doses(connection, mill)
    }:
        raise NotADose(
            "dose",
            _("Fill in the dose: there is no step from {low} to {high} yet", low=low, high=high),
        )
    values = {"from_ph": str(low), "to_ph": str(high), "dose": "" if kept is None else str(kept)}
    who = {"mill_id": mill.id, "recorded_by": by.id, "recorded_at": at}
    chain.add(connection, tables.lime_dose, values | who, by=by, at=at)
    return None if kept is None else LimeDose(low, high, kept, by.printed_name, at)


def _ph(where: str, typed: str) -> Decimal:
    value = _number(where, typed)
    if not 0 <= value <= 14:
        raise NotADose(
            where, _("A pH lies between 0 and 14; {typed} does not", typed=typed.strip())
        )
    return value


def _dose(typed: str) -> Decimal:
    value = _number("dose", typed)
    if not 0 < value <= LARGEST_DOSE:
        words = _(
            "A dose is above 0 and at most {most} kg per tonne; {typed} is not",
            most=LARGEST_DOSE,
            typed=typed.strip(),
        )
        raise NotADose("dose", words)
    return value


def _number(where: str, typed: str) -> Decimal:
    if len(typed) > LONGEST_TEXT:
        raise NotADose(where, _("Write at most {count} characters", count=LONGEST_TEXT))
    try:
        return number(typed)
    except Unreadable:
        advice = _("Write a number like 6.8 or 6,8, with no other mark or letter")
        raise NotADose(where, advice) from None
