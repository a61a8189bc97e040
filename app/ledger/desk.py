"""What somebody who chooses for a mill has before them."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from sqlalchemy import Connection, func, select

from app.language import _
from app.ledger import tables
from app.ledger.mills import Mill, seasons
from app.ledger.plan import Choices, choices_of, stamp_of
from app.ledger.signed import APPROVED
from app.plant.typed import VOID

LONGEST_AHEAD = timedelta(days=365)


@dataclass(frozen=True)
class Desk:
    """What somebody who chooses has before them: all that was chosen, today, and what is approved.

    `begins` is the first day that anything may be chosen for, which is of the first season.
    `stamp` differs once anything else was chosen, or the last approved day is another. `entered`
    has the last day with a result of each measure.
    """

    choices: Choices
    today: date
    begins: date
    approved: date | None
    stamp: str
    entered: Mapping[str, date]

    @property
    def mill(self) -> Mill:
        """The mill."""
        return self.choices.mill

    @property
    def first(self) -> date:
        """The first day from which anything new may hold."""
        return self.approved + timedelta(days=1) if self.approved else self.begins

    def approved_by(self, day: date) -> str:
        """Say why nothing new may hold from `day` on, where it is approved; else nothing."""
        if self.approved is None or day > self.approved:
            return ""
        return _(
            "{approved} is approved, and what was approved does not change: choose {first} or "
            "later, or have the days opened again",
            approved=self.approved,
            first=self.first,
        )

    @property
    def last(self) -> date:
        """The last such day."""
        return self.today + LONGEST_AHEAD


def desk_of(connection: Connection, mill: Mill, at: datetime) -> Desk:
    """Return what is before somebody who chooses for `mill` at that time."""
    approved = _last_approved(connection, mill)
    stamp = f"{stamp_of(connection, mill)}-{approved or ''}"
    today = mill.clock.shift_at(at)[0]
    begins = min([today, *(season.first_day for season in seasons(connection, mill))])
    entered = _last_days(connection, mill)
    return Desk(choices_of(connection, mill), today, begins, approved, stamp, entered)


def _last_days(connection: Connection, mill: Mill) -> dict[str, date]:
    """Return the last day on which something stands of each measure."""
    standing, shift, season = tables.standing.c, tables.shift.c, tables.season.c
    query = (
        select(standing.measure, func.max(shift.day).label("last"))
        .join(tables.shift, shift.id == standing.shift_id)
        .join(tables.season, season.id == shift.season_id)
        .join(tables.entry, tables.entry.c.id == standing.entry_id)
        .where(season.mill_id == mill.id, tables.entry.c.state != VOID)
        .group_by(standing.measure)
    )
    return {row.measure: row.last for row in connection.execute(query)}


def _last_approved(connection: Connection, mill: Mill) -> date | None:
    """Return the last day of the mill that is approved and was not opened again."""
    s = tables.signature.c
    last = (
        select(func.max(s.id))
        .join(tables.season, tables.season.c.id == s.season_id)
        .where(tables.season.c.mill_id == mill.id, s.number.is_(None))
        .group_by(s.season_id, s.day)
    )
    query = select(func.max(s.day)).where(s.id.in_(last), s.meaning == APPROVED)
    found: date | None = connection.scalar(query)
    return found
