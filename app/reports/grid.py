"""The cells of a sheet laid out: tables of streams down and properties across, or of times down."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from app.language import _, ngettext
from app.plant.measures import PROPERTIES, Measure
from app.plant.readings import KINDS
from app.plant.streams import STATIONS, STREAMS
from app.plant.vessels import VESSELS
from app.reports.cells import Cell, Made

TITLES = {
    "results": "Weights and analyses",
    "stops": "Hours stopped, by cause",
    "evaporator": "Evaporator, by effect",
    "boilers": "Boilers, power and water",
    "further": "Further analyses",
    "stock": "Stock in process at the end of the day",
    "readings": "Instrument readings: enter them and the result follows",
}

# tables in their order: properties across
TABLES = {
    "results": (
        "weight", "hours", "brix", "pol", "purity", "true_purity", "fibre", "moisture", "ph",
        "colour", "suspended_solids", "reducing_sugars", "ash", "temperature", "open_cells",
        "sugar_trace"),
    "stops": ("hours",),
    "evaporator": ("brix", "temperature", "vapour_temperature"),
    "boilers": ("weight", "pressure", "temperature", "oxygen", "ph", "sugar_trace"),
    "further": (
        "volume", "sucrose", "phosphate", "sulphur_dioxide", "calcium_oxide", "turbidity",
        "extraneous_matter", "available", "cooled_temperature", "reheated_temperature",
        "grain_size", "grain_variation"),
    "stock": ("volume", "temperature", "brix", "purity"),
    "readings": tuple(KINDS),
}  # fmt: skip

# heads of narrow columns, with the places where a long word may be parted
HEADS = {
    "weight": ("weight", "t"),
    "hours": ("hours", "h"),
    "ph": ("pH", ""),
    "suspended_solids": ("sus\u00adpended solids", "%"),
    "temperature": ("temper\u00adature", "°C"),
    "open_cells": ("prepa\u00adration index", "%"),
}

ROWS = {"stock": "Vessel", "stops": "Cause", "evaporator": "Effect"}
TIME, STREAM = "Time", "Stream"


@dataclass(frozen=True)
class Column:
    """A property across: its words and unit."""

    prop: str
    title: str
    unit: str


@dataclass(frozen=True)
class Row:
    """A stream, vessel or time down, with a cell, what samples made, or nothing for each column."""

    title: str
    cells: tuple[Cell | Made | None, ...]

    @property
    def troubled(self) -> tuple[Cell, ...]:
        """The boxes of it that were not saved, and say why."""
        return tuple(cell for cell in self.cells if isinstance(cell, Cell) and cell.trouble)


@dataclass(frozen=True)
class Group:
    """The rows of one station."""

    title: str
    rows: tuple[Row, ...]


@dataclass(frozen=True)
class Table:
    """One table of a sheet; one that folds is folded while nothing in it is due or was entered."""

    name: str
    title: str
    columns: tuple[Column, ...]
    groups: tuple[Group, ...]
    folded: bool

    @property
    def folds(self) -> bool:
        """Whether it may be folded away: all but what every mill fills in."""
        return self.name not in ("results", "stock") and not self.by_time

    @property
    def by_time(self) -> bool:
        """Whether its rows are the times of samples."""
        return self.name.startswith("every-")

    @property
    def head(self) -> str:
        """What its rows are."""
        return TIME if self.by_time else ROWS.get(self.name, STREAM)


def tables_of(cells: Iterable[Cell], made: Mapping[str, Made]) -> tuple[Table, ...]:
    """Return the tables that have a cell, each with only the columns and rows that are in use.

    Samples by the hour come first, in a table for each station and frequency; what they make
    stands among the results of the shift.
    """
    by_table: dict[str, list[Cell | Made]] = {}
    by_time: dict[tuple[str, int], list[Cell]] = {}
    for cell in cells:
        measure = cell.measure
        if not measure.every:
            by_table.setdefault(_table_of(measure), []).append(cell)
            continue
        by_time.setdefault((measure.station, measure.every), []).append(cell)
        if cell.place.sample == 1:
            by_table.setdefault(_table_of(measure), []).append(made[measure.name])
    return (
        *(_by_time(station, every, found) for (station, every), found in by_time.items()),
        *(
            _table(name, by_table[name], across)
            for name, across in TABLES.items()
            if name in by_table
        ),
    )


def _by_time(station: str, every: int, cells: list[Cell]) -> Table:
    """Lay samples out: their times down, what was sampled across."""
    measures = {cell.measure.name: cell.measure for cell in cells}
    columns = tuple(
        Column(name, measure.title, "" if measure.prop == "ph" else measure.unit)
        for name, measure in measures.items()
    )
    rows: dict[str, dict[str, Cell]] = {}
    for cell in sorted(cells, key=lambda cell: cell.due_at):
        rows.setdefault(cell.at, {})[cell.measure.name] = cell
    laid = tuple(Row(at, tuple(row.get(name) for name in measures)) for at, row in rows.items())
    often = ngettext("each hour", "each {count} hours", every)
    title = f"{_(STATIONS[station])}, {often}"
    return Table(f"every-{every}-{station}", title, columns, (Group("", laid),), folded=False)


_OF_STATION = {"stock": "stock", "time": "stops", "boilers": "boilers", "water": "boilers"}


def _table_of(measure: Measure) -> str:
    if measure.prop in KINDS:
        return "readings"
    if measure.stream.startswith("effect_"):
        return "evaporator"
    return _OF_STATION.get(measure.station) or (
        "further" if measure.prop in TABLES["further"] else "results"
    )


def _table(name: str, cells: list[Cell | Made], across: tuple[str, ...]) -> Table:
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
    folded = not any(cell.measure.due or _filled(cell) for cell in cells)
    return Table(name, TITLES[name], columns, groups, folded)


def _column(prop: str) -> Column:
    if prop in HEADS:
        return Column(prop, *HEADS[prop])
    words, unit, *_ = PROPERTIES.get(prop) or KINDS[prop]
    return Column(prop, words, unit)


def _filled(cell: Cell | Made) -> bool:
    """Tell whether something was typed there, saved or not."""
    return bool(getattr(cell, "result", None) or getattr(cell, "attempt", None))


def _with_unit(title: str, row: tuple[Cell | Made | None, ...]) -> str:
    """Return the title of a row, with the unit of its weight where that is not tonnes."""
    weight = next((c.measure for c in row if c and c.measure.prop == "weight"), None)
    return title if weight is None or weight.unit == "t" else f"{_(title)}, {_(weight.unit)}"
