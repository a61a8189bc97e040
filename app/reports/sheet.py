"""The sheet of one shift as a grid: streams down, properties across, a cell where they meet."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal
from typing import Protocol

from app.plant.calendar import Clock
from app.plant.measures import DAY, MEASURES, PROPERTIES, SHIFT, Measure
from app.plant.streams import STATIONS, STREAMS
from app.plant.typed import NUMBER, VOID
from app.plant.vessels import VESSELS
from app.reports.dates import moment
from app.reports.numbers import printed

ACROSS = (
    "weight", "hours", "volume", "brix", "pol", "purity", "true_purity", "fibre", "moisture", "ph",
    "colour", "suspended_solids", "reducing_sugars", "ash", "temperature", "open_cells",
    "sugar_trace",
)  # fmt: skip
ACROSS_STOCK = ("volume", "temperature", "brix", "purity")

# heads of narrow columns, with the places where a long word may be parted
_HEADS = {
    "weight": ("weight", "t"),
    "hours": ("hours", "h"),
    "ph": ("pH", ""),
    "suspended_solids": ("sus\u00adpended solids", "%"),
    "temperature": ("temper\u00adature", "°C"),
    "open_cells": ("prepa\u00adration index", "%"),
}


class Result(Protocol):
    """What stands in a cell, as the ledger keeps it."""

    @property
    def id(self) -> int: ...  # noqa: D102
    @property
    def state(self) -> str: ...  # noqa: D102
    @property
    def typed(self) -> str: ...  # noqa: D102
    @property
    def value(self) -> Decimal | None: ...  # noqa: D102
    @property
    def supersedes_id(self) -> int | None: ...  # noqa: D102
    @property
    def recorded_name(self) -> str: ...  # noqa: D102
    @property
    def recorded_at(self) -> datetime: ...  # noqa: D102


@dataclass(frozen=True)
class Trouble:
    """Why a cell was not saved, and what would save it: a reason, in a choice and in words."""

    message: str
    asks_reason: bool = False
    choice: str = ""
    words: str = ""
    theirs: str | None = None


@dataclass(frozen=True)
class Attempt:
    """What somebody typed that is not saved, and what stood in the way in that cell, if it did."""

    text: str
    trouble: Trouble | None = None


@dataclass(frozen=True)
class Cell:
    """One box of a sheet: its measure, what stands in it, and what was typed but not saved.

    A purity that follows from brix and pol is `derived`, and is no box.
    """

    measure: Measure
    result: Result | None = None
    outside: str = ""
    written: str = ""
    derived: str = ""
    attempt: Attempt | None = None
    saved: bool = False

    @property
    def label(self) -> str:
        """The name of the box, with its unit: "Mixed juice, brix, °Bx"."""
        unit = "" if self.measure.prop == "ph" else f", {self.measure.unit}"
        weight = ", weight" if self.measure.prop == "weight" else ""
        return f"{self.measure.title}{weight}{unit}"

    @property
    def text(self) -> str:
        """What the box says."""
        if self.attempt:
            return self.attempt.text
        return self.result.typed if self.result else ""

    @property
    def trouble(self) -> Trouble | None:
        """Why what it says is not saved, if it was refused."""
        return self.attempt.trouble if self.attempt else None

    @property
    def corrected(self) -> bool:
        """Whether something else stood here before."""
        return self.result is not None and self.result.supersedes_id is not None

    @property
    def filled(self) -> bool:
        """Whether a number or a named state stands here."""
        return bool(self.derived) or (self.result is not None and self.result.state != VOID)


@dataclass(frozen=True)
class Column:
    """A property across: its words and unit."""

    prop: str
    title: str
    unit: str


@dataclass(frozen=True)
class Row:
    """A stream or vessel down, with a cell or nothing for each column."""

    title: str
    cells: tuple[Cell | None, ...]


@dataclass(frozen=True)
class Group:
    """The rows of one station."""

    title: str
    rows: tuple[Row, ...]


@dataclass(frozen=True)
class Table:
    """One table of a sheet."""

    name: str
    title: str
    columns: tuple[Column, ...]
    groups: tuple[Group, ...]


@dataclass(frozen=True)
class Sheet:
    """The tables of a shift, and how far it is filled."""

    tables: tuple[Table, ...]
    cells: Mapping[str, Cell]
    due: tuple[Cell, ...]

    @property
    def missing(self) -> tuple[Cell, ...]:
        """The results that are due and not there."""
        return tuple(cell for cell in self.due if not cell.filled)

    @property
    def entered(self) -> int:
        """How many of the due results are there."""
        return len(self.due) - len(self.missing)

    @property
    def outside(self) -> tuple[Cell, ...]:
        """The results outside their usual range."""
        return tuple(cell for cell in self.cells.values() if cell.outside)


@dataclass(frozen=True)
class Filling:
    """What goes into the cells of a sheet.

    `usual` says on which side of its usual range a value lies; `attempts` is what was typed and
    not saved; `saved` names the measures saved just now.
    """

    clock: Clock
    results: Mapping[str, Result]
    usual: Callable[[str, Decimal], str]
    attempts: Mapping[str, Attempt] = field(default_factory=dict)
    saved: frozenset[str] = frozenset()


def measures_of_shift(
    streams: Iterable[str], clock: Clock, day: date, number: int
) -> tuple[Measure, ...]:
    """Return what is taken on one shift: what is daily on its day's last, weekly on Sunday's."""
    in_use = {*streams, *VESSELS}
    last = number == clock.shifts_a_day
    taken = {SHIFT} | ({DAY} if last else set())
    everything = last and day.isoweekday() == 7
    return tuple(
        measure
        for measure in MEASURES.values()
        if measure.stream in in_use and (everything or measure.grain in taken)
    )


def sheet_of(measures: Iterable[Measure], filling: Filling) -> Sheet:
    """Return the sheet of a shift on which `measures` are taken."""
    cells = {measure.name: _cell(measure, filling) for measure in measures}
    process = [cell for cell in cells.values() if cell.measure.station != "stock"]
    stock = [cell for cell in cells.values() if cell.measure.station == "stock"]
    tables = [_table("results", "Weights and analyses", process, ACROSS)]
    if stock:
        tables.append(
            _table("stock", "Stock in process at the end of the day", stock, ACROSS_STOCK)
        )
    due = tuple(cell for cell in cells.values() if _is_due(cell, filling.results))
    return Sheet(tuple(tables), cells, due)


def _cell(measure: Measure, filling: Filling) -> Cell:
    name = measure.name
    result = filling.results.get(name)
    standing = result is not None and result.state != VOID
    return Cell(
        measure,
        result,
        outside=_outside(result, filling),
        written=_written(result, filling.clock),
        derived="" if standing or name in filling.attempts else _derived(measure, filling.results),
        attempt=filling.attempts.get(name),
        saved=name in filling.saved,
    )


def _outside(result: Result | None, filling: Filling) -> str:
    if result is None or result.value is None:
        return ""
    return filling.usual(getattr(result, "measure", ""), result.value)


def _written(result: Result | None, clock: Clock) -> str:
    if result is None:
        return ""
    return f"{result.recorded_name}, {moment(result.recorded_at, clock)}"


def _derived(measure: Measure, results: Mapping[str, Result]) -> str:
    """Return the purity that brix and pol give, as printed."""
    if measure.prop != "purity":
        return ""
    brix, pol = (results.get(f"{measure.stream}_{prop}") for prop in ("brix", "pol"))
    if not (brix and pol and brix.value and pol.value is not None):
        return ""
    return printed(100 * pol.value / brix.value, measure.decimals)


def _is_due(cell: Cell, results: Mapping[str, Result]) -> bool:
    """Tell whether a cell is owed: not of a mill that stood still, nor of an empty vessel."""
    measure = cell.measure
    if not measure.due or cell.derived:
        return False
    carrier = "cane" if measure.carrier else f"{measure.stream}_volume"
    if carrier == measure.name:
        return True
    carried = results.get(carrier)
    return carried is None or carried.state != NUMBER or carried.value != 0


def _table(name: str, title: str, cells: list[Cell], across: tuple[str, ...]) -> Table:
    """Lay cells out: only the columns that some stream uses, only the streams that have a cell."""
    found = {(cell.measure.stream, cell.measure.prop): cell for cell in cells}
    props = [prop for prop in across if any(key[1] == prop for key in found)]
    columns = tuple(_column(prop) for prop in props)
    titles = VESSELS if name == "stock" else {s.name: s.title for s in STREAMS.values()}
    rows: dict[str, list[Row]] = {}
    for stream, words in titles.items():
        row = tuple(found.get((stream, prop)) for prop in props)
        if any(row):
            station = "stock" if name == "stock" else STREAMS[stream].station
            rows.setdefault(station, []).append(Row(_with_unit(words, row), row))
    groups = tuple(
        Group(STATIONS[station], tuple(rows[station])) for station in STATIONS if station in rows
    )
    return Table(name, title, columns, groups)


def _column(prop: str) -> Column:
    if prop in _HEADS:
        return Column(prop, *_HEADS[prop])
    words, unit, _, _ = PROPERTIES[prop]
    return Column(prop, words, unit)


def _with_unit(title: str, row: tuple[Cell | None, ...]) -> str:
    """Return the title of a row, with the unit of its weight where that is not tonnes."""
    weight = next((c.measure for c in row if c and c.measure.prop == "weight"), None)
    return title if weight is None or weight.unit == "t" else f"{title}, {weight.unit}"
