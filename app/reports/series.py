"""A measure or figure over the shifts, days or weeks of a season: one value at each place, or none.

A figure is that of each period. An analysis that no figure means is meaned here by the weight that
carries it; what has no such weight, as a reading, by the number of its results.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from app.figures import FIGURES
from app.figures.declare import Values
from app.figures.estimate import weighted_means
from app.figures.sheets import Period
from app.plant.calendar import week_name
from app.plant.measures import MEASURES
from app.reports.dates import short_day
from app.reports.season_books import SeasonBooks

PER = ("day", "shift", "week")


@dataclass(frozen=True)
class Thing:
    """What is charted: a measure or a figure."""

    name: str
    title: str
    unit: str
    decimals: int
    adds: bool

    @property
    def opens(self) -> bool:
        """Whether it is a figure, which opens to its formula."""
        return self.name in FIGURES


@dataclass(frozen=True)
class Place:
    """One shift, day or week: its words, short for an axis too, its address and its rows."""

    title: str
    short: str
    address: str
    first: date
    last: date
    period: Period


def things() -> dict[str, Thing]:
    """Return every measure and public figure by name; where both have one, it is the figure."""
    figures = [
        Thing(f.name, f.title, f.unit, f.decimals, f.kind == "adds")
        for f in FIGURES.values() if not f.internal
    ]  # fmt: skip
    measures = [
        Thing(m.name, m.title, m.unit, m.decimals, adds=False)
        for m in MEASURES.values() if m.name not in FIGURES
    ]  # fmt: skip
    return {thing.name: thing for thing in (*figures, *measures)}


def days_entered(books: SeasonBooks) -> frozenset[date]:
    """Return the days of which something stands that was read; books have a row for every day."""
    filled = np.zeros(len(books.days), dtype=bool)
    for name in MEASURES.keys() & books.measures.keys():
        filled |= np.isfinite(books.measures[name])
    rows = {*np.flatnonzero(filled), *(row for row, _measure in books.states)}
    return frozenset(books.days[row] for row in rows)


def places_of(books: SeasonBooks, per: str, days: Sequence[date]) -> list[Place]:
    """Return the shifts, days or weeks of `days`, which are over, in their order.

    A week whose days are not all over while the season runs on is left out, unless it is all
    there is.
    """
    if per == "shift":
        held = set(days)
        return [
            Place(
                books.shift_words(row), f"{short_day(shift.day)}/{shift.number}",
                f"/shifts/{shift.day}/{shift.number}", shift.day, shift.day, Period(row, row + 1),
            )
            for row, shift in enumerate(books.shifts) if shift.day in held
        ]  # fmt: skip
    if per == "day":
        rows: dict[date, list[int]] = {}
        for row, day in enumerate(books.days):
            rows.setdefault(day, []).append(row)
        periods = {day: Period(rows[day][0], rows[day][-1] + 1) for day in days}
        return [
            Place(short_day(day), short_day(day), f"/days/{day}", day, day, periods[day])
            for day in days
        ]
    return _weeks(books, days)


def _weeks(books: SeasonBooks, days: Sequence[date]) -> list[Place]:
    mondays = sorted({day - timedelta(days=day.weekday()) for day in days})
    found = []
    for monday in mondays:
        last = min(monday + timedelta(days=6), days[-1])
        period = books.between(monday, last)
        name = week_name(monday)
        first = max(monday, days[0])
        found.append(Place(name, name, f"/weeks/{name}", first, last, period))
    runs = days[-1] < books.days[-1] and days[-1].weekday() != 6
    return found[:-1] if runs and len(found) > 1 else found


def values_of(books: SeasonBooks, name: str, periods: Sequence[Period]) -> list[float | None]:
    """Return the value of a measure or figure in each period, or None."""
    if name in FIGURES:
        return figures_over(books, (name,), periods)[name]
    column = _of_measure(books, name, periods)
    return [float(value) if math.isfinite(value) else None for value in column]


def figures_over(
    books: SeasonBooks, names: Sequence[str], periods: Sequence[Period]
) -> dict[str, list[float | None]]:
    """Return the values of several figures, worked out at once, by name."""
    books.need(names)
    found = books.books.over(periods).values
    return {
        name: [float(value) if math.isfinite(value) else None for value in found[name]]
        for name in names
    }


def _of_measure(books: SeasonBooks, name: str, periods: Sequence[Period]) -> Values:
    carrier = MEASURES[name].carrier
    books.need((carrier or "cane",))
    entered = books.books.entered.get(name, np.full(len(books.shifts), np.nan))
    if carrier and any(p.last - p.first > 1 for p in periods):
        parts = [slice(p.first, p.last) for p in periods]
        return weighted_means({name: entered}, books.books.rows, {name: carrier}, parts)[name]
    real = [column[np.isfinite(column)] for p in periods for column in [entered[p.first : p.last]]]
    return np.array([column.mean() if len(column) else np.nan for column in real])
