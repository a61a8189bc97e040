"""What an instrument sends, at the desk: which shift each thing belongs to, and what is wrong."""

from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from typing import NamedTuple
from zoneinfo import ZoneInfo

from sqlalchemy import Connection

from app.language import _
from app.ledger import instruments
from app.ledger.instruments import Instrument
from app.ledger.mills import Mill, Season, season_of, the_mill
from app.ledger.plan import plan_of
from app.ledger.sent import NOWHERE, UNFIT, NotTaken, Placed, Problem
from app.plant.grains import SHIFT, WEEK
from app.plant.plan import Plan

CLOCKS_DIFFER = timedelta(minutes=5)  # so far ahead of the ledger’s a sender’s clock may be
DAYS_BACK = timedelta(days=7)  # so long after a shift is over an instrument may write into it


class Shift(NamedTuple):
    """A shift by its season, day and number, and when it begins and ends."""

    season: Season
    day: date
    number: int
    begins: datetime
    ends: datetime


@dataclass
class Desk:
    """Where things are taken from one instrument: the mill, its plan, and what was wrong so far.

    Nothing new is taken of a shift that was over longer than `back` ago.
    """

    connection: Connection
    instrument: Instrument
    now: datetime
    back: timedelta = DAYS_BACK
    mill: Mill = field(init=False)
    plan: Plan = field(init=False)
    problems: list[Problem] = field(default_factory=list, init=False)
    _shifts: dict[tuple[date, int], Shift] = field(default_factory=dict, init=False)

    def __post_init__(self) -> None:
        self.mill = the_mill(self.connection)
        self.plan = plan_of(self.connection, self.mill)
        instruments.used(self.connection, self.instrument, self.now)

    def note(self, item: int | None, wrong: NotTaken) -> None:
        """Note what is wrong with one thing sent."""
        self.problems += [problem._replace(item=item) for problem in wrong.problems]

    def stop_if_wrong(self) -> None:
        """Raise NotTaken where anything was wrong."""
        if self.problems:
            raise NotTaken(self.problems)

    def too_old(self, shift: Shift) -> str:
        """Say why nothing new is written in a shift that was over too long ago; else nothing."""
        if self.now - shift.ends <= self.back:
            return ""
        clock = self.mill.clock
        return _(
            "shift {n} of {day} was over at {ended}, and it is {now}: an instrument writes for "
            "{count} days after; look at its clock, or have somebody type it or bring it in",
            n=shift.number, day=shift.day, ended=f"{clock.local(shift.ends):%Y-%m-%d %H:%M}",
            now=f"{clock.local(self.now):%Y-%m-%d %H:%M}", count=self.back.days,
        )  # fmt: skip

    def shift_of(self, sent: Placed, measure: str = "") -> Shift:
        """Return the shift that something belongs to.

        A moment names the shift that ran then; of a measure that is taken once a day or week, the
        last shift of that.
        """
        if sent.at is None:
            assert sent.day is not None and sent.shift is not None  # noqa: S101, PT018  as it was read
            return self._begun(sent.day, sent.shift)
        day, number = self._at(self.moment(sent.at), measure)
        told = (sent.day or day, sent.shift or number)
        if told != (day, number):
            raise wrong(UNFIT, "at", _("it lies in shift {n} of {day}", n=number, day=day))
        return self._begun(day, number)

    def moment(self, at: datetime) -> datetime:
        """Return a moment with its offset, by the mill's clock where it has none; not ahead."""
        if at.tzinfo is None:
            zone = ZoneInfo(self.mill.zone)
            either = {at.replace(tzinfo=zone, fold=fold).utcoffset() for fold in (0, 1)}
            if len(either) > 1:
                words = _("clocks change at that time: write its offset from UTC with it")
                raise wrong(UNFIT, "at", words)
            at = at.replace(tzinfo=zone)
        if at > self.now + CLOCKS_DIFFER:
            raise wrong(UNFIT, "at", _("it lies ahead of the ledger’s clock"))
        return at

    def _at(self, at: datetime, measure: str) -> tuple[date, int]:
        clock = self.mill.clock
        try:
            day, number = clock.shift_at(at)
        except ValueError:
            raise wrong(NOWHERE, "at", _("no season of this mill holds it")) from None
        grain = self.plan.every(day)[measure].grain if measure else SHIFT
        if grain == SHIFT:
            return day, number
        sunday = day + timedelta(days=7 - day.isoweekday())
        return sunday if grain == WEEK else day, clock.shifts_a_day

    def _begun(self, day: date, number: int) -> Shift:
        if (day, number) not in self._shifts:
            self._shifts[day, number] = self._find(day, number)
        return self._shifts[day, number]

    def _find(self, day: date, number: int) -> Shift:
        season, last = season_of(self.connection, self.mill, day), self.mill.shifts_a_day
        if season is None:
            raise wrong(NOWHERE, "", _("{day} is in no season of this mill", day=day))
        if not 1 <= number <= last:
            words = _("shifts of this mill are numbered 1 to {count}", count=last)
            raise wrong(NOWHERE, "", words)
        begins, ends = self.mill.clock.shift_bounds(day, number)
        if begins > self.now:
            raise wrong(NOWHERE, "", _("shift {n} of {day} has not begun", n=number, day=day))
        return Shift(season, day, number, begins, ends)


def wrong(kind: int, where: str, words: str) -> NotTaken:
    """Return what is wrong with one thing sent, for `Desk.note` to say with which."""
    return NotTaken([Problem(kind, None, where, words)])
