"""Results that were due and are not there."""

from dataclasses import dataclass
from datetime import date

import numpy as np

from app.figures.sheets import Period
from app.plant.measures import DAY, MEASURES, SHIFT, Measure
from app.plant.typed import STATES
from app.reports.lines import measure_title
from app.reports.season_books import SeasonBooks

SETTLED = (STATES["bd"], STATES["nd"])


@dataclass(frozen=True)
class Gap:
    """A result that lacks on one sheet, with the state that stands there instead, if any.

    `weight` tells that no total can do without it.
    """

    measure: str
    title: str
    day: date
    number: int
    weight: bool
    state: str


def gaps(books: SeasonBooks, period: Period) -> tuple[Gap, ...]:
    """Return what lacks in a period: results that are due, of measures the mill does take.

    What is taken once a day is due on the day's last shift. An analysis of what did not flow is no
    gap, nor of an empty vessel; nor is what is below detection or not due.
    """
    found = [
        _gap(books, measure, row)
        for measure in MEASURES.values()
        for row in _lacking_rows(books, measure, period)
    ]
    return tuple(sorted(found, key=lambda gap: (gap.day, gap.number)))


def _lacking_rows(books: SeasonBooks, measure: Measure, period: Period) -> list[int]:
    lacks = np.isnan(books.books.entered[measure.name])  # with what follows from readings
    if lacks.all():
        return []
    carried = books.books.rows.get(measure.carrier, books.measures.get(_volume(measure)))
    if carried is not None:
        lacks &= carried != 0
    return [
        row
        for row in range(period.first, period.last)
        if lacks[row]
        and _owed(books, measure.name, row)
        and books.states.get((row, measure.name)) not in SETTLED
    ]


def _owed(books: SeasonBooks, name: str, row: int) -> bool:
    """Tell whether the mill takes a measure on a sheet, each time or once a day."""
    shift = books.shifts[row]
    taken = books.plan.on(shift.day).get(name)
    if taken is None or not taken.due:
        return False
    return taken.grain == SHIFT or (taken.grain == DAY and shift.number == books.shifts_a_day)


def _volume(measure: Measure) -> str:
    return f"{measure.stream}_volume" if measure.prop != "volume" else ""


def _gap(books: SeasonBooks, measure: Measure, row: int) -> Gap:
    shift = books.shifts[row]
    return Gap(
        measure.name,
        measure_title(measure.name),
        shift.day,
        shift.number,
        not measure.carrier,
        books.states.get((row, measure.name), ""),
    )


def never_entered(books: SeasonBooks) -> tuple[str, ...]:
    """Return what this mill is asked for each shift or day and has not entered all season."""
    return tuple(
        measure_title(measure.name)
        for measure in books.plan.on(max(books.days, default=date.max)).values()
        if measure.due
        and measure.grain in (SHIFT, DAY)
        and np.isnan(books.books.entered[measure.name]).all()
        and not any(name == measure.name for _, name in books.states)
    )
