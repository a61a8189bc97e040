"""The shift that an address names: one that has begun, and so may be filled and signed."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Annotated

from fastapi import Depends, HTTPException
from sqlalchemy import Connection

from app.language import _
from app.ledger.mills import Mill, Season, season_of, the_mill
from app.ledger.plan import plan_of
from app.plant.measures import Measure
from app.plant.plan import Plan
from app.plant.samples import Place, times
from app.reports.dates import long_day, moment
from app.reports.sheet import measures_of_shift
from app.web.requests import Day, Now, Reading, Writing


@dataclass(frozen=True)
class OpenShift:
    """A shift that has begun: one that may be filled."""

    mill: Mill
    season: Season
    day: date
    number: int
    plan: Plan

    @property
    def address(self) -> str:
        """Where its sheet is."""
        return f"/shifts/{self.day}/{self.number}"

    @property
    def title(self) -> str:
        """How pages name it."""
        return _("Shift {number} of {day}", number=self.number, day=long_day(self.day))

    @property
    def measures(self) -> tuple[Measure, ...]:
        """What is taken on it."""
        taken = self.plan.on(self.day).values()
        return measures_of_shift(taken, self.mill.clock, self.day, self.number)

    @property
    def streams(self) -> frozenset[str]:
        """The streams of which the mill takes something on its day."""
        return frozenset(measure.stream for measure in self.plan.on(self.day).values())

    @property
    def places(self) -> tuple[Place, ...]:
        """Where its results stand: one place for each sample of each measure."""
        return tuple(
            Place(measure.name, n)
            for measure in self.measures
            for n in range(1, len(times(*self.bounds, measure.every)) + 1)
        )

    @property
    def hours(self) -> str:
        """Its hours on the mill's clock."""
        begins, ends = (self.mill.clock.local(at) for at in self.bounds)
        return _("{begins} to {ends}", begins=f"{begins:%H:%M}", ends=f"{ends:%H:%M}")

    @property
    def bounds(self) -> tuple[datetime, datetime]:
        """When it begins and ends."""
        return self.mill.clock.shift_bounds(self.day, self.number)


def _shift_to_read(reading: Reading, now: Now, day: Day, number: int) -> OpenShift:
    return open_shift(reading, day, number, now)


def _shift_to_write(writing: Writing, now: Now, day: Day, number: int) -> OpenShift:
    return open_shift(writing, day, number, now)


ShiftToRead = Annotated[OpenShift, Depends(_shift_to_read)]
ShiftToWrite = Annotated[OpenShift, Depends(_shift_to_write)]


def open_shift(connection: Connection, day: date, number: int, now: datetime) -> OpenShift:
    """Return a shift; refuses one that no season holds or that has not begun."""
    mill = the_mill(connection)
    season = season_of(connection, mill, day)
    if season is None:
        raise HTTPException(404, _("{day} is in no season of this mill.", day=long_day(day)))
    if not 1 <= number <= mill.shifts_a_day:
        raise HTTPException(
            404, _("Shifts of this mill are numbered 1 to {count}.", count=mill.shifts_a_day)
        )
    begins = mill.clock.shift_bounds(day, number)[0]
    if begins > now:
        raise HTTPException(
            404,
            _(
                "This shift has not begun. It begins on {moment}.",
                moment=moment(begins, mill.clock),
            ),
        )
    return OpenShift(mill, season, day, number, plan_of(connection, mill))
