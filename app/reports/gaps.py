"""Results that were due and are not there."""

from dataclasses import dataclass
from datetime import date

import numpy as np

from app.figures.periods import Period
from app.plant.measures import MEASURES, SHIFT, Measure
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
    """Return what lacks in a period: results due each shift, of measures the mill does take.

    A shift that crushed nothing owes its weights and no analysis; what is below detection or not
    due is no gap.
    """
    cane = books.measures["cane"]
    found = []
    for measure in MEASURES.values():
        column = books.measures[measure.name]
        if not measure.due or measure.grain != SHIFT or np.isnan(column).all():
            continue
        found += [
            _gap(books, measure, row)
            for row in range(period.first, period.last)
            if np.isnan(column[row])
            and not (measure.carrier and cane[row] == 0)
            and books.states.get((row, measure.name)) not in SETTLED
        ]
    return tuple(sorted(found, key=lambda gap: (gap.day, gap.number)))


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
