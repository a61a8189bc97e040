"""The evaporator over some days, effect by effect: what each took off, and how its tubes scale."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from app.figures import FIGURES
from app.figures.effects import EFFECTS
from app.plant.streams import STREAMS
from app.reports.effects import difference
from app.reports.lines import Cell, Line, cell
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


@dataclass(frozen=True)
class DayOfEffects:
    """The coefficient of each effect on one day."""

    day: date
    cells: tuple[Cell, ...]


@dataclass(frozen=True)
class Evaporator:
    """The effects in use over the days that are over: all days together, and day by day.

    `names` are those of the figures by day; `change` is from the first day that has a coefficient
    to the last, of each effect.
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
        cells = tuple(cell(f"{effect}_{row}", whole, 0, books) for effect in effects)
        lines.append(Line(row, title, FIGURES[f"{effects[0]}_{row}"].unit, cells))
    books.work_out(books.day(day) for day in days)
    by_day = tuple(
        DayOfEffects(day, tuple(cell(name, books.over(books.day(day)), 0, books) for name in names))
        for day in days
    )
    return Evaporator(
        days[0],
        days[-1],
        tuple(STREAMS[effect].title for effect in effects),
        names,
        tuple(lines),
        by_day,
        tuple(_change([day.cells[n].value for day in by_day]) for n in range(len(names))),
    )


def _change(values: Sequence[float | None]) -> str:
    """Return by how much the last of some values differs from the first, as printed."""
    found = [value for value in values if value is not None]
    return difference(found[0], found[-1], 0) if len(found) > 1 else ""
