"""The evaporator over some days, effect by effect: what each took off, and how its tubes scale."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from app.figures import FIGURES
from app.figures.effects import EFFECTS
from app.figures.periods import Result
from app.plant.streams import STREAMS
from app.reports.lines import Cell, Line, cell
from app.reports.numbers import MINUS, plus_minus, printed
from app.reports.season_books import SeasonBooks

# end of a figure's name: what it is of each effect
ROWS = {
    "brix": "Brix leaving",
    "temperature": "Juice temperature",
    "vapour_temperature": "Vapour temperature",
    "evaporation_share": "Share of the water evaporated",
    "specific_evaporation": "Specific evaporation",
    "heat_transfer": "Heat transfer coefficient",
    "evaporation_coefficient": "Evaporation coefficient",
    "dessin_coefficient": "Dessin's coefficient",
    "coefficient_on_dessin": "Coefficient % of Dessin's",
}
SCALING = "coefficient_on_dessin"
FEWEST_DAYS = 3  # of a straight line that can be unsure


@dataclass(frozen=True)
class DayOfEffects:
    """The coefficient of each effect on one day."""

    day: date
    cells: tuple[Cell, ...]


@dataclass(frozen=True)
class Evaporator:
    """The effects in use over the days that are over: all days together, and day by day.

    `names` are those of the figures by day; `change` is that of a straight line through the days
    of each effect, from the first that has a coefficient to the last, with twice its standard
    error.
    """

    first: date
    last: date
    effects: tuple[str, ...]
    names: tuple[str, ...]
    lines: tuple[Line, ...]
    days: tuple[DayOfEffects, ...]
    change: tuple[str, ...]


def evaporator_over(books: SeasonBooks, first: date, last: date, today: date) -> Evaporator | None:
    """Return the evaporator over the days from `first` to `last` that lie before `today`.

    None where the season holds no such day.
    """
    days = sorted({day for day in books.days if first <= day <= last and day < today})
    if not days:
        return None
    effects = [f"effect_{n}" for n in EFFECTS if f"effect_{n}" in books.streams]
    books.need(f"{effect}_{row}" for effect in effects for row in ROWS)
    whole = books.over(books.between(days[0], days[-1]))
    names = tuple(f"{effect}_{SCALING}" for effect in effects)
    lines = []
    for row, title in ROWS.items():
        cells = tuple(_of_rounds(f"{effect}_{row}", whole, books) for effect in effects)
        lines.append(Line(row, title, FIGURES[f"{effects[0]}_{row}"].unit, cells))
    books.work_out(books.day(day) for day in days)
    by_day = tuple(
        DayOfEffects(
            day, tuple(_of_rounds(name, books.over(books.day(day)), books) for name in names)
        )
        for day in days
    )
    return Evaporator(
        days[0],
        days[-1],
        tuple(STREAMS[effect].title for effect in effects),
        names,
        tuple(lines),
        by_day,
        tuple(_change(days, [day.cells[n].value for day in by_day]) for n in range(len(names))),
    )


def _of_rounds(name: str, result: Result, books: SeasonBooks) -> Cell:
    """Return a figure as printed; of rounds it is no matter on which shifts they fell."""
    return replace(cell(name, result, 0, books), coverage="", stands=False)


def _change(days: Sequence[date], values: Sequence[float | None]) -> str:
    """Return by how much a straight line through the days changes over them, and how surely."""
    found = [(day.toordinal(), v) for day, v in zip(days, values, strict=True) if v is not None]
    if len(found) < FEWEST_DAYS:
        return ""
    at, value = np.array(found).T
    from_mean = at - at.mean()
    slope = from_mean @ value / (from_mean @ from_mean)
    left = value - value.mean() - slope * from_mean
    error = np.sqrt(left @ left / (len(at) - 2) / (from_mean @ from_mean))
    days_between = at[-1] - at[0]
    change = printed(float(slope * days_between), 0)
    sign = "" if change.startswith(MINUS) else "+"
    return f"{sign}{change} {plus_minus(float(error * days_between), 0)}".strip()
