"""Where many results or records are brought in: the shifts they belong to, and what stands there.

What is needed of the ledger is read at once, not shift by shift.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Protocol

from sqlalchemy import Connection, select

from app.language import _
from app.ledger import tables
from app.ledger.book import Rules
from app.ledger.cells import Refused
from app.ledger.entries import ENTRY, Entry, entry_of
from app.ledger.mills import Mill, Season, seasons, the_mill
from app.ledger.plan import plan_of
from app.ledger.signed import Place as Signable
from app.ledger.signed import Signed, signed
from app.plant.calendar import LATE_AFTER
from app.plant.grains import DAY, SHIFT, WEEK
from app.plant.measures import MEASURES, Measure
from app.plant.plan import Plan


@dataclass(frozen=True)
class OpenShift:
    """A shift that something is brought in to: its rules, what is in use, and what stands.

    `closed` says why nothing new may be written there; empty where it may.
    """

    season: Season
    number: int
    zone: str
    rules: Rules
    in_use: Mapping[str, Measure]
    standing: Mapping[str, Entry]
    closed: str


class WholeRow(Refused):
    """A whole row is of a shift that takes nothing."""


class Measured(Protocol):
    """A result by where it belongs; without a number, on the last shift of its day."""

    @property
    def day(self) -> date: ...  # noqa: D102
    @property
    def number(self) -> int | None: ...  # noqa: D102
    @property
    def measure(self) -> str: ...  # noqa: D102


class Desk:
    """Where things of some days are brought in, at a time."""

    def __init__(self, connection: Connection, days: Sequence[date], now: datetime) -> None:
        self.mill: Mill = the_mill(connection)
        self.plan: Plan = plan_of(connection, self.mill)
        self.seasons = seasons(connection, self.mill)
        self.now = now
        first, last = min(days), max(days)
        self._standing: dict[tuple[date, int], dict[str, Entry]] = {}
        self._signed: dict[Signable, Signed] = {}
        for season in self.seasons:
            self._signed |= signed(connection, season, first, last)
            _read_standing(connection, season, (first, last), self._standing)
        self._shifts: dict[tuple[date, int], OpenShift | str] = {}

    def shift(self, day: date, number: int) -> OpenShift:
        """Return a shift; WholeRow where it takes nothing."""
        if (day, number) not in self._shifts:
            self._shifts[day, number] = self._find(day, number)
        found = self._shifts[day, number]
        if isinstance(found, str):
            raise WholeRow(found)
        return found

    def shift_of(self, cell: Measured) -> OpenShift:
        """Return the shift that a result belongs to; Refused where none takes it."""
        last = self.mill.shifts_a_day
        found = self.shift(cell.day, cell.number or last)
        measure = found.in_use.get(cell.measure)
        if measure is None:
            title = _(MEASURES[cell.measure].title)
            raise Refused(_("{title} is not taken by the mill on that day", title=title))
        if measure.grain == SHIFT and cell.number is None:
            raise Refused(_("It is taken each shift: say which"))
        if measure.grain == DAY and found.number != last:
            raise Refused(_("It is taken once a day: it stands on shift {number}", number=last))
        if measure.grain == WEEK and (found.number != last or cell.day.isoweekday() != 7):
            raise Refused(
                _("It is taken once a week: it stands on shift {number} of Sunday", number=last)
            )
        return found

    def _find(self, day: date, number: int) -> OpenShift | str:
        """Return a shift, or why it takes nothing."""
        season = next((season for season in self.seasons if day in season), None)
        if season is None:
            return _("{day} is in no season: an administrator begins one", day=day)
        if not 1 <= number <= self.mill.shifts_a_day:
            return _("Shifts of this mill are numbered 1 to {count}", count=self.mill.shifts_a_day)
        bounds = self.mill.clock.shift_bounds(day, number)
        if bounds[1] > self.now:
            return _("Shift {number} of {day} has not ended", number=number, day=day)
        rules = Rules(self.plan.every(day), bounds, late=self.now > bounds[1] + LATE_AFTER)
        standing = self._standing.get((day, number), {})
        return OpenShift(
            season, number, self.mill.zone, rules, self.plan.on(day), standing,
            self._closed(day, number),
        )  # fmt: skip

    def _closed(self, day: date, number: int) -> str:
        of_day, of_shift = (self._signed.get((day, n), Signed()).signature for n in (None, number))
        if of_day:
            return _(
                "This day is approved by {name}: it is to be opened again",
                name=of_day.recorded_name,
            )
        if of_shift:
            return _(
                "This shift is signed by {name}: nothing is brought in there",
                name=of_shift.recorded_name,
            )
        return ""


def _read_standing(
    connection: Connection,
    season: Season,
    days: tuple[date, date],
    found: dict[tuple[date, int], dict[str, Entry]],
) -> None:
    shift, standing = tables.shift.c, tables.standing.c
    query = (
        select(shift.day, shift.number, *ENTRY)
        .join(tables.standing, standing.entry_id == tables.entry.c.id)
        .join(tables.shift, shift.id == standing.shift_id)
        .where(shift.season_id == season.id, shift.day.between(*days))
    )
    for day, number, *row in connection.execute(query):
        entry = entry_of(row)
        found.setdefault((day, number), {})[entry.key] = entry
