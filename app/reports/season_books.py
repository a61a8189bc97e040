"""A season's table of shifts, turned into figures for any of its periods."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from app.figures.conventions import CONVENTIONS
from app.figures.periods import Books, Period, Sheets
from app.plant.calendar import week_of
from app.plant.measures import ASKED, DAY, MEASURES
from app.reports.dates import short_day

CARRIERS = {m.name: m.carrier for m in MEASURES.values() if m.carrier}
DAILY = frozenset(m.name for m in MEASURES.values() if m.grain == DAY)


class ShiftKey(Protocol):
    """Which shift a row is: its factory day, its number from 1, and its length in hours."""

    @property
    def day(self) -> date: ...  # noqa: D102
    @property
    def number(self) -> int: ...  # noqa: D102


class ShiftTable(Protocol):
    """One row a shift, in order of time; a column for each measure, not a number where none is."""

    @property
    def shifts(self) -> Sequence[ShiftKey]: ...  # noqa: D102
    @property
    def measures(self) -> Mapping[str, NDArray[np.float64]]: ...  # noqa: D102
    @property
    def states(self) -> Mapping[tuple[int, str], str]: ...  # noqa: D102
    @property
    def corrected(self) -> Collection[tuple[int, str]]: ...  # noqa: D102


ConventionRow = tuple[str, str, date, str]


@dataclass(frozen=True)
class InForce:
    """A convention as it stood on a day: its value, since when, and who says so."""

    name: str
    title: str
    value: str
    unit: str
    since: date | None
    source: str
    note: str


class SeasonBooks:
    """Periods and figures of one season, from its shifts and the conventions in force."""

    def __init__(self, table: ShiftTable, convention_rows: Iterable[ConventionRow] = ()) -> None:
        self.shifts = list(table.shifts)
        self.measures = table.measures
        self.states = table.states
        self.corrected = table.corrected
        self.convention_rows = sorted(convention_rows, key=lambda row: row[2])
        self.days = [shift.day for shift in self.shifts]

    @cached_property
    def books(self) -> Books:
        """Every figure of every shift, worked out once."""
        weeks = [week_of(day) for day in self.days]
        return Books(
            Sheets(
                entered=self.measures,
                conventions=self._conventions(),
                day=_numbered(self.days),
                week=_numbered(weeks),
                carriers=CARRIERS,
                asked=ASKED,
                daily=DAILY,
            )
        )

    @cached_property
    def shifts_a_day(self) -> int:
        """How many shifts a day has, as far as the season shows it."""
        return max(shift.number for shift in self.shifts)

    def _conventions(self) -> dict[str, NDArray]:  # type: ignore[type-arg]
        days = np.array(self.days, dtype="datetime64[D]")
        columns = {}
        for name, convention in CONVENTIONS.items():
            kind = object if convention.choices else float
            columns[name] = np.full(len(days), convention.default, dtype=kind)
        for name, value, since, _ in self.convention_rows:
            columns[name][days >= np.datetime64(since)] = CONVENTIONS[name].read(value)
        return columns

    def in_force(self, day: date) -> list[InForce]:
        """Return every convention as it stands on `day`."""
        latest = {row[0]: row for row in self.convention_rows if row[2] <= day}
        found = []
        for name, convention in CONVENTIONS.items():
            _, value, since, source = latest.get(
                name, (name, convention.default, None, str(convention.source))
            )
            text = f"{value:g}" if isinstance(value, float) else str(value)
            found.append(
                InForce(
                    name, convention.title, text, convention.unit, since, source, convention.note
                )
            )
        return found

    def shift(self, day: date, number: int) -> Period | None:
        """Return the period of one shift, or None where the season holds no such row."""
        for row, shift in enumerate(self.shifts):
            if shift.day == day and shift.number == number:
                return Period(row, row + 1)
        return None

    def between(self, first: date, last: date) -> Period:
        """Return the period of all shifts of the days `first` to `last`, both included."""
        rows = [row for row, day in enumerate(self.days) if first <= day <= last]
        return Period(rows[0], rows[-1] + 1) if rows else Period(0, 0)

    def day(self, day: date) -> Period:
        """Return the period of one factory day."""
        return self.between(day, day)

    def week_to(self, day: date) -> Period:
        """Return the period from Monday to `day`."""
        return self.between(day - timedelta(days=day.weekday()), day)

    def to(self, day: date) -> Period:
        """Return the period from the season's first day to `day`."""
        return self.between(date.min, day)

    def whole(self) -> Period:
        """Return the period of all rows."""
        return Period(0, len(self.shifts))

    def shift_words(self, row: int) -> str:
        """Return how a page names a row: "shift 2 of 14 Jul"."""
        if not 0 <= row < len(self.shifts):
            return "before the season"
        shift = self.shifts[row]
        return f"shift {shift.number} of {short_day(shift.day)}"


def _numbered(keys: Sequence[object]) -> NDArray[np.int64]:
    numbers: dict[object, int] = {}
    return np.array([numbers.setdefault(key, len(numbers)) for key in keys], dtype=np.int64)
