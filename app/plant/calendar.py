"""Factory days, shifts and weeks, with a mill's own clock: a day may have 23, 24 or 25 hours."""

import re
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

LATE_AFTER = timedelta(hours=1)  # what comes, or is missing, so long after its time is late


@dataclass(frozen=True)
class Clock:
    """A mill's zone, the local time its factory day begins, and its shifts a day (3 or 2)."""

    zone: str
    day_starts: time
    shifts_a_day: int

    def shift_bounds(self, day: date, number: int) -> tuple[datetime, datetime]:
        """Return the instants (UTC) at which shift `number`, from 1, of `day` begins and ends.

        Bounds are local clock times, so that the shift in which clocks change is an hour longer or
        shorter. Raises ValueError for a shift the mill does not have, and for the first and last
        year that dates can name, where a zone leads beyond them.
        """
        if not 1 < day.year < 9999:
            raise ValueError(f"no shift runs on {day}")
        if not 1 <= number <= self.shifts_a_day:
            raise ValueError(f"shifts are numbered 1 to {self.shifts_a_day}")
        return self._bound(day, number - 1), self._bound(day, number)

    def _bound(self, day: date, shifts_gone: int) -> datetime:
        wall = datetime.combine(day, self.day_starts) + timedelta(
            hours=24 // self.shifts_a_day * shifts_gone
        )
        return wall.replace(tzinfo=ZoneInfo(self.zone)).astimezone(UTC)

    def shift_at(self, instant: datetime) -> tuple[date, int]:
        """Return the factory day and shift number running at `instant` (aware)."""
        day = instant.astimezone(ZoneInfo(self.zone)).date()
        for candidate in (day, day - timedelta(days=1)):
            for number in range(1, self.shifts_a_day + 1):
                begins, ends = self.shift_bounds(candidate, number)
                if begins <= instant < ends:
                    return candidate, number
        raise ValueError(f"no shift runs at {instant}")

    def local(self, instant: datetime) -> datetime:
        """Return `instant` on the mill's own clock."""
        return instant.astimezone(ZoneInfo(self.zone))


def week_of(day: date) -> tuple[int, int]:
    """Return the ISO year and week that `day` belongs to."""
    year, week, _ = day.isocalendar()
    return year, week


def week_name(day: date) -> str:
    """Return the week of `day` as addresses write it: 2026-W29."""
    year, week = week_of(day)
    return f"{year}-W{week:02d}"


def days_of_week(name: str) -> list[date]:
    """Return Monday to Sunday of a week named like 2026-W29; ValueError for another name."""
    if not re.fullmatch(r"\d{4}-W\d{2}", name, re.ASCII):
        raise ValueError("a week is written like 2026-W29")
    year, week = int(name[:4]), int(name[6:])
    return [date.fromisocalendar(year, week, weekday) for weekday in range(1, 8)]
