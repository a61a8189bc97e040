"""A sheet as checks look at it: its numbers, and those of the shifts before."""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from app.plant.grains import DAY, WEEK
from app.plant.measures import Measure
from app.plant.readings import READINGS
from app.plant.samples import mean, place_of
from app.plant.vessels import VESSELS
from app.reports.cells import Cell, Result
from app.reports.season_books import SeasonBooks
from app.reports.sheet import Sheet

LOOKS_BACK = 20  # days
RAN = 0.9  # of the hours of a shift: less, and its weights are not those of a shift

Rows = NDArray[np.bool_]


@dataclass(frozen=True)
class Filled:
    """A sheet, what stands on it by the keys of places, and its `row` in the books."""

    sheet: Sheet
    standing: Mapping[str, Result]
    books: SeasonBooks
    row: int

    @cached_property
    def cells(self) -> dict[str, list[Cell]]:
        """The cells of each measure, in the order of their times."""
        found: dict[str, list[Cell]] = {}
        for cell in self.sheet.cells.values():
            found.setdefault(cell.measure.name, []).append(cell)
        return found

    @cached_property
    def _numbers(self) -> dict[str, list[tuple[int, str, float]]]:
        """The entries with numbers of each measure: id, key of the sample's first test, number."""
        found: dict[str, list[tuple[int, str, float]]] = {}
        for key, entry in self.standing.items():
            if entry.value is not None:
                place = place_of(key)._replace(determination=1)
                numbered = found.setdefault(place.measure, [])
                numbered.append((entry.id, place.key, float(entry.value)))
        return found

    def number(self, cell: Cell) -> float | None:
        """Return the number of a cell: the mean of its tests, or what follows from readings."""
        numbers = self._numbers.get(cell.measure.name, ())
        tests = [value for _, key, value in numbers if key == cell.key]
        if (value := mean(tests)) is not None:
            return value
        follows = cell.derived and cell.measure.name in READINGS and not cell.measure.every
        return self.result(cell.measure) if follows else None

    def result(self, measure: Measure) -> float | None:
        """Return the result of the shift, as far as there is one."""
        value = float(self.books.books.entered[measure.name][self.row])
        return value if math.isfinite(value) else None

    def before(self, measure: Measure) -> list[float]:
        """Return the results of the shifts before, oldest first; none of what is taken weekly."""
        if measure.grain == WEEK:
            return []
        rows = self._looked_back_on & (self._ends_a_day if measure.grain == DAY else True)
        if _is_weight(measure):
            rows = rows & self._ran
        column = self.books.books.entered[measure.name]
        found: list[float] = column[rows & np.isfinite(column)].tolist()
        return found

    def comparable(self, measure: Measure) -> bool:
        """Tell whether a result can be held against the usual: a weight, of a shift that ran.

        Hours stand in the time account, which is asked to add up.
        """
        return measure.prop != "hours" and (not _is_weight(measure) or bool(self._ran[self.row]))

    @cached_property
    def _looked_back_on(self) -> Rows:
        days = np.array(self.books.days, dtype="datetime64[D]")
        rows = days >= days[self.row] - LOOKS_BACK
        rows[self.row :] = False
        return rows

    @cached_property
    def _ran(self) -> Rows:
        entered = self.books.books.entered
        with np.errstate(invalid="ignore"):
            return ~(entered["crushing_hours"] < RAN * entered["gross_hours"])

    @cached_property
    def _ends_a_day(self) -> Rows:
        day = self.books.books.sheets.day
        return np.append(day[1:] != day[:-1], True)

    def entries(self, measures: Iterable[str]) -> tuple[int, ...]:
        """Return the entries behind some measures; those of readings where the result follows."""
        found: list[int] = []
        for name in measures:
            own = self._numbers.get(name, [])
            behind = own or [e for r in READINGS.get(name, ()) for e in self._numbers.get(r, ())]
            found += [entry for entry, *_ in behind]
        return tuple(sorted(set(found)))

    def entries_of(self, cell: Cell) -> tuple[int, ...]:
        """Return the entries behind the number of one cell."""
        own = self._numbers.get(cell.measure.name, ())
        of_it = tuple(entry for entry, key, _ in own if key == cell.key)
        return of_it or self.entries(READINGS.get(cell.measure.name, ()))


def _is_weight(measure: Measure) -> bool:
    """Tell whether a measure is an amount of a shift, which depends on how long the mill ran."""
    return not measure.carrier and measure.stream not in VESSELS
