"""What a change of plan, conventions or targets does: to figures, to the sheet, to results."""

import math
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from app.figures import FIGURES
from app.figures.declare import Figure
from app.figures.sheets import Period
from app.language import _, ngettext
from app.plant.calendar import Clock
from app.plant.measures import Measure
from app.plant.plan import Plan
from app.plant.samples import times
from app.reports.dates import short_day, weekday
from app.reports.day import ACCOUNT, PLAN, STOCK
from app.reports.lines import Cell, Line, cell, line
from app.reports.numbers import MINUS, printed, rounded
from app.reports.season_books import SeasonBooks, ShiftKey
from app.reports.sheet import measures_of_shift

WITHIN = 7  # days in which a box that appears or goes is looked for

# the account, then milling, boiling house and losses as in the morning report
MAIN = tuple(
    dict.fromkeys(
        (
            "pol_in_cane", *(name for _, *names in ACCOUNT for name in names),
            *(name for names in PLAN.values() for name in names), *STOCK,
        )
    )
)  # fmt: skip
FURTHER = tuple(f.name for f in FIGURES.values() if not f.internal and f.name not in MAIN)


@dataclass(frozen=True)
class Effect:
    """A figure of one period as it is and as it would be; what lacks where there is none."""

    before: Cell
    after: Cell
    difference: str

    @property
    def seen(self) -> bool:
        """Whether it differs as printed, and not only in digits that are not."""
        return (self.before.text, self.before.missing) != (self.after.text, self.after.missing)


@dataclass(frozen=True)
class FigureEffects:
    """What happens to a figure: an effect for each period, nothing where it stays."""

    figure: Figure
    cells: tuple[Effect | None, ...]

    @property
    def seen(self) -> bool:
        """Whether it differs as printed in any period."""
        return any(effect and effect.seen for effect in self.cells)


@dataclass(frozen=True)
class Effects:
    """What happens to the figures of some periods: only those that change, the main ones first."""

    periods: tuple[str, ...]
    figures: tuple[FigureEffects, ...]

    @property
    def seen(self) -> tuple[FigureEffects, ...]:
        """The main figures that differ as printed."""
        return tuple(f for f in self.figures if f.seen and f.figure.name in MAIN)

    @property
    def further(self) -> tuple[FigureEffects, ...]:
        """The other figures that differ as printed."""
        return tuple(f for f in self.figures if f.seen and f.figure.name not in MAIN)

    @property
    def unseen(self) -> tuple[FigureEffects, ...]:
        """The figures that differ only in digits that are not printed."""
        return tuple(figure for figure in self.figures if not figure.seen)


def last_over(books: SeasonBooks, today: date) -> date | None:
    """Return the last day before `today` that the season holds: what runs is not yet in."""
    return max((day for day in books.days if day < today), default=None)


def periods_to(books: SeasonBooks, last: date) -> dict[str, Period]:
    """Return the season to `last`, its last seven days and that day alone, by their titles."""
    return {
        _("Season to {title}", title=short_day(last)): books.to(last),
        _("Last 7 days"): books.between(last - timedelta(days=6), last),
        f"{weekday(last)} {short_day(last)}": books.day(last),
    }


def effects(before: SeasonBooks, after: SeasonBooks, last: date) -> Effects:
    """Return what happens to all figures between two books of the same sheets."""
    periods = periods_to(before, last)
    both = []
    for books in (before, after):
        books.need((*MAIN, *FURTHER))
        both.append((books.books.over(list(periods.values())), books))
    found = []
    for name in (*MAIN, *FURTHER):
        pairs = [
            tuple(cell(name, result, index, books) for result, books in both)
            for index in range(len(periods))
        ]
        cells = tuple(_effect(name, was, would) for was, would in pairs)
        if any(cells):
            found.append(FigureEffects(FIGURES[name], cells))
    return Effects(tuple(periods), tuple(found))


def _effect(name: str, was: Cell, would: Cell) -> Effect | None:
    if was == would:
        return None
    return Effect(was, would, difference(was.value, would.value, FIGURES[name].decimals))


def difference(was: float | None, now: float | None, decimals: int) -> str:
    """Return what lies between two numbers as they are printed, with its sign."""
    if was is None or now is None:
        return ""
    text = printed(rounded(now, decimals) - rounded(was, decimals), decimals)
    return text if text.startswith(MINUS) else f"+{text}"


@dataclass(frozen=True)
class _Without:
    """A table of shifts with some of its columns empty."""

    shifts: Sequence[ShiftKey]
    measures: Mapping[str, NDArray[np.float64]]
    states: Mapping[tuple[int, str], str]
    corrected: Collection[tuple[int, str]]
    booked: Collection[tuple[int, str]]
    shares: Mapping[tuple[int, str], float]


def lacking_without(books: SeasonBooks, gone: Collection[str], last: date) -> list[Figure]:
    """Return the main figures that a day like `last` has, and would lack without some measures."""
    measures = {
        name: np.full_like(column, np.nan) if name in gone else column
        for name, column in books.measures.items()
    }
    table = _Without(
        books.shifts, measures, books.states, books.corrected, books.booked, books.shares
    )
    without = SeasonBooks(table, books.convention_rows, books.uncertainty_rows, books.plan)
    values = []
    for each in (books, without):
        each.need(MAIN)
        values.append(each.over(each.day(last)).values)
    has, would = values
    return [FIGURES[n] for n in MAIN if np.isfinite(has[n][0]) and not np.isfinite(would[n][0])]


@dataclass(frozen=True)
class Verdicts:
    """A figure of one period against its target as it is and as it would be."""

    period: str
    value: Cell
    before: str
    after: str


def verdicts(
    books: SeasonBooks, name: str, before: Mapping[str, float], after: Mapping[str, float],
    last: date,
) -> list[Verdicts]:  # fmt: skip
    """Return how a figure stands against two targets, in each period."""
    books.need((name,))
    found = []
    for title, period in periods_to(books, last).items():
        result = books.books.over([period])
        lines = [line(name, result, books, targets) for targets in (before, after)]
        found.append(Verdicts(title, lines[0].cells[0], *(_against(one) for one in lines)))
    return found


def _against(said: Line) -> str:
    if not said.target:
        return _("no target")
    if said.verdict:
        return _("{verdict}, target {target}", verdict=said.verdict, target=said.target)
    return _("target {target}", target=said.target)


@dataclass(frozen=True)
class Boxes:
    """How many boxes a measure has on a sheet as it is and as it would be, and at which times."""

    measure: Measure
    before: int
    after: int
    at: tuple[str, ...]

    @property
    def words(self) -> str:
        """What happens: that its boxes appear, go, or become more or fewer."""
        if not self.after:
            if self.before == 1:
                return _("goes")
            return ngettext("its {count} box goes", "its {count} boxes go", self.before)
        boxes = ngettext("{count} box", "{count} boxes", self.after)
        if self.after > 1:
            boxes = _("{boxes}, at {times}", boxes=boxes, times=", ".join(self.at))
        if self.before:
            return _("{boxes}, in place of {count}", boxes=boxes, count=self.before)
        return _("{boxes}, new", boxes=boxes)


@dataclass(frozen=True)
class SheetChange:
    """A sheet on which boxes first appear or go: its day and number, and which they are."""

    day: date
    number: int
    boxes: tuple[Boxes, ...]


def sheet_changes(
    before: Plan, after: Plan, clock: Clock, first: tuple[date, int]
) -> tuple[SheetChange, ...]:
    """Return the sheets of a week from `first` on, each with the boxes that differ there first.

    A day's boxes stand on its last sheet, and a week's on Sunday's, so that no one sheet has all.
    """
    found, told = [], set[str]()
    for gone in range(WITHIN + 1):
        day = first[0] + timedelta(days=gone)
        for number in range(1 if gone else first[1], clock.shifts_a_day + 1):
            differ = _boxes(before, after, clock, day, number)
            boxes = tuple(each for each in differ if each.measure.name not in told)
            if boxes:
                told |= {each.measure.name for each in boxes}
                found.append(SheetChange(day, number, boxes))
    return tuple(found)


def _boxes(before: Plan, after: Plan, clock: Clock, day: date, number: int) -> Iterable[Boxes]:
    bounds = clock.shift_bounds(day, number)
    sheets = [
        {m.name: m for m in measures_of_shift(plan.on(day).values(), clock, day, number)}
        for plan in (before, after)
    ]
    for name in {**sheets[0], **sheets[1]}:
        due = [times(*bounds, sheet[name].every) if name in sheet else [] for sheet in sheets]
        if due[0] != due[1]:
            measure = sheets[1].get(name) or sheets[0][name]
            at = tuple(f"{clock.local(instant):%H:%M}" for instant in due[1])
            yield Boxes(measure, len(due[0]), len(due[1]), at)


def beyond(measure: Measure, values: Sequence[float]) -> tuple[int, int]:
    """Return how many values lie outside the usual range of `measure`, and outside its limits."""
    low, high = measure.hard
    outside = sum(bool(measure.side(value)) for value in values)
    return outside, sum(not low <= value <= high for value in values if math.isfinite(value))
