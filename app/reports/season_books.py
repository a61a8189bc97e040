"""A season's table of shifts, turned into figures for any of its periods."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from app.figures.certainty import default_of_rows
from app.figures.conventions import CONVENTIONS
from app.figures.declare import FIGURES
from app.figures.evaluate import behind
from app.figures.periods import EVERYTHING, Books, Result
from app.figures.readings import with_results
from app.figures.sheets import Period, Sheets, Stated
from app.language import _
from app.plant.calendar import week_of
from app.plant.measures import CARRIERS, MEASURES
from app.plant.plan import Plan
from app.plant.readings import READINGS, SYRUPS, THICK
from app.reports.composites import composites, stand_once_a_day
from app.reports.dates import short_day
from app.reports.numbers import printed
from app.reports.sources import source_words
from app.reports.standing import (
    empty_vessels,
    hard_limits,
    shares_by_row,
    well_analysed,
    while_stops_last,
)


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
    @property
    def booked(self) -> Collection[tuple[int, str]]: ...  # noqa: D102
    @property
    def shares(self) -> Mapping[tuple[int, str], float]: ...  # noqa: D102


ConventionRow = tuple[str, str, date, str]
# measure, random, systematic, whether they are % of the value, since when, who says so
UncertaintyRow = tuple[str, float, float, bool, date, str]


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

    def __init__(
        self,
        table: ShiftTable,
        convention_rows: Iterable[ConventionRow] = (),
        uncertainty_rows: Iterable[UncertaintyRow] = (),
        plan: Plan | None = None,
        names: Iterable[str] = (),
        *,
        starts_empty: bool = True,
    ) -> None:
        self.shifts = list(table.shifts)
        self.states = table.states
        self.corrected = table.corrected
        self.shares = table.shares
        self.convention_rows = sorted(convention_rows, key=lambda row: row[2])
        self.uncertainty_rows = sorted(uncertainty_rows, key=lambda row: row[4])
        self.days = [shift.day for shift in self.shifts]
        self.measures, self.booked = well_analysed(table, self._conventions()["coverage_needed"])
        self.plan, self._last = plan or Plan(), self.days[-1] if self.days else date.max
        self.streams = frozenset(m.stream for m in self.plan.on(self._last).values())
        self._starts_empty = starts_empty
        self._results: dict[Period, Result] = {}
        self._names = tuple(names)  # nothing, where all was read
        self._read = frozenset(self._names)

    def need(self, names: Iterable[str]) -> None:
        """Have figures worked out, with what they follow from; all of them until this is said.

        Of a table in which only some figures' measures were read, others are a KeyError.
        """
        wanted = set(names)
        if self._read and not wanted <= self._read:
            raise KeyError(f"not read: {sorted(wanted - self._read)}")
        if "books" in self.__dict__:
            if wanted <= set(self.books.names):
                return
            del self.__dict__["books"]
            self._results.clear()
        self._names = tuple(sorted(wanted | set(self._names)))

    @cached_property
    def books(self) -> Books:
        """The figures of every shift, worked out once."""
        day, week = _numbered(self.days), _numbered([week_of(day) for day in self.days])
        taken = [self.plan.every(day) for day in self.days]
        chosen, size = self._conventions(), len(self.days)
        stops, chosen["stops_left_blank"] = while_stops_last(
            self.measures, self.shares, chosen["stops_left_blank"]
        )
        shares = composites(shares_by_row(self.shares, size), taken, day, week)
        return Books(
            Sheets(
                entered=composites(self.measures, taken, day, week)
                | empty_vessels(self.plan, self.days, self.measures)
                | stops,
                conventions=chosen,
                day=day,
                week=week,
                carriers=CARRIERS,
                asked=self.plan.asked(self._last),
                daily=stand_once_a_day(taken),
                stated=self._stated(),
                limits=hard_limits(taken),
                shares={name: np.where(np.isnan(c), 1.0, c) for name, c in shares.items()},
                starts_empty=self._starts_empty,
            ),
            self._names or EVERYTHING,
        )

    @cached_property
    def shifts_a_day(self) -> int:
        """How many shifts a day has, as far as the season shows it."""
        return max(shift.number for shift in self.shifts)

    def _conventions(self) -> dict[str, NDArray]:  # type: ignore[type-arg]
        days = np.array(self.days, dtype="datetime64[D]")
        columns = {}
        for name, convention in CONVENTIONS.items():
            kind = float if convention.is_number else object
            columns[name] = np.full(len(days), convention.default, dtype=kind)
        for name, value, since, _source in self.convention_rows:
            columns[name][days >= np.datetime64(since)] = CONVENTIONS[name].read(value)
        return columns

    def _stated(self) -> dict[str, Stated]:
        """Return the uncertainties that the mill says of its measures, from their days on."""
        days = np.array(self.days, dtype="datetime64[D]")
        found: dict[str, Stated] = {}
        for measure, random, systematic, relative, since, _source in self.uncertainty_rows:
            stated = found.setdefault(measure, default_of_rows(measure, len(days)))
            rows = days >= np.datetime64(since)
            stated.random[rows], stated.systematic[rows] = random, systematic
            stated.relative[rows] = relative
        return found

    def in_force(self, day: date) -> list[InForce]:
        """Return every convention as it stands on `day`."""
        latest = {row[0]: row for row in self.convention_rows if row[2] <= day}
        found = []
        for name, convention in CONVENTIONS.items():
            _, value, since, source = latest.get(
                name, (name, convention.default, None, source_words(convention.source))
            )
            text = f"{value:g}" if isinstance(value, float) else str(value)
            found.append(
                InForce(
                    name, convention.title, text, convention.unit, since, source, convention.note
                )
            )
        return found

    def in_force_for(self, names: Iterable[str], day: date) -> list[InForce]:
        """Return the conventions on `day` that some formula behind figures of `names` asks for."""
        ways = [way for name in behind(tuple(sorted(names))) for way in FIGURES[name].ways]
        asked = {name for way in ways for name in (*way.when, *way.inputs)}
        return [convention for convention in self.in_force(day) if convention.name in asked]

    def work_out(self, periods: Iterable[Period]) -> None:
        """Work out the figures of several periods at once, which costs little more than one."""
        new = [period for period in dict.fromkeys(periods) if period not in self._results]
        if new:
            result = self.books.over(new)
            self._results |= {period: result.part(n) for n, period in enumerate(new)}

    def over(self, period: Period) -> Result:
        """Return all figures of one period, worked out once."""
        if period not in self._results:
            self._results[period] = self.books.over([period])
        return self._results[period]

    def shift(self, day: date, number: int) -> Period | None:
        """Return the period of one shift, or None where the season holds no such row."""
        rows = (n for n, s in enumerate(self.shifts) if (s.day, s.number) == (day, number))
        return next((Period(row, row + 1) for row in rows), None)

    def results_of_readings(self, day: date, number: int) -> dict[str, float]:
        """Return what follows from the readings of one sheet, by measure."""
        period = self.shift(day, number)
        if period is None:
            return {}
        row, books = period.first, self.books
        return {
            measure: float(books.entered[measure][row])
            for measure, taken in books.ways_of_results.items()
            if taken[row] >= 0
        }

    def booked_on(self, day: date, number: int) -> dict[str, float]:
        """Return what the other books give on one sheet where nothing was typed, by measure."""
        period = self.shift(day, number)
        if period is None:
            return {}
        here = (name for row, name in self.booked if row == period.first)
        return {name: float(self.measures[name][period.first]) for name in here}

    def readings_without_result(self, day: date, number: int) -> dict[str, str]:
        """Say of each result whose readings are all there, but which they do not give, why not."""
        period = self.shift(day, number)
        if period is None:
            return {}
        row, books = period.first, self.books
        one = slice(row, row + 1)
        read = {name: column[one] for name, column in self.measures.items()}
        chosen = {name: column[one] for name, column in books.sheets.conventions.items()}
        unlimited = with_results(read, chosen, {})[0]
        found = {}
        for measure, readings in READINGS.items():
            lacking = {name for name in readings if not np.isfinite(read[name][0])}
            lacking -= {f"{MEASURES[measure].stream}_reading_temperature"}
            if np.isfinite(books.entered[measure][row]) or lacking:
                continue
            value = float(unlimited[measure][0])
            if np.isfinite(value):
                text = printed(value, MEASURES[measure].decimals)
                found[measure] = _(
                    "its readings give {text}, which cannot be: check them", text=text
                )
            elif MEASURES[measure].prop in ("moisture", "suspended_solids"):
                found[measure] = _("its masses give no result: check them")
            elif MEASURES[measure].stream in (*SYRUPS, *THICK):
                found[measure] = _(
                    "no result follows: the dilution is not stated (see conventions)"
                )
        return found

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
            return _("before the season")
        shift = self.shifts[row]
        return _("shift {number} of {day}", number=shift.number, day=short_day(shift.day))


def _numbered(keys: Sequence[object]) -> NDArray[np.int64]:
    numbers: dict[object, int] = {}
    return np.array([numbers.setdefault(key, len(numbers)) for key in keys], dtype=np.int64)
