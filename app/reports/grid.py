"""The cells of a sheet laid out: tables of streams down and properties across."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from app.plant.measures import PROPERTIES, Measure
from app.plant.readings import KINDS
from app.plant.streams import STATIONS, STREAMS
from app.plant.vessels import VESSELS

if TYPE_CHECKING:
    from app.reports.sheet import Cell

# tables in their order: name, title, properties across
TABLES = (
    ("results", "Weights and analyses", (
        "weight", "hours", "brix", "pol", "purity", "true_purity", "fibre", "moisture", "ph",
        "colour", "suspended_solids", "reducing_sugars", "ash", "temperature", "open_cells",
        "sugar_trace")),
    ("stops", "Hours stopped, by cause", ("hours",)),
    ("evaporator", "Evaporator, by effect", ("brix", "temperature", "vapour_temperature")),
    ("boilers", "Boilers, power and water", (
        "weight", "pressure", "temperature", "oxygen", "ph", "sugar_trace")),
    ("further", "Further analyses", (
        "volume", "sucrose", "phosphate", "sulphur_dioxide", "calcium_oxide", "turbidity",
        "extraneous_matter", "available", "cooled_temperature", "reheated_temperature",
        "grain_size", "grain_variation")),
    ("stock", "Stock in process at the end of the day", (
        "volume", "temperature", "brix", "purity")),
    ("readings", "Instrument readings: enter them and the result follows", tuple(KINDS)),
)  # fmt: skip
_FURTHER = frozenset(next(across for name, _, across in TABLES if name == "further"))

# heads of narrow columns, with the places where a long word may be parted
_HEADS = {
    "weight": ("weight", "t"),
    "hours": ("hours", "h"),
    "ph": ("pH", ""),
    "suspended_solids": ("sus\u00adpended solids", "%"),
    "temperature": ("temper\u00adature", "°C"),
    "open_cells": ("prepa\u00adration index", "%"),
}

_ROWS = {"stock": "Vessel", "stops": "Cause", "evaporator": "Effect"}


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
    cells: tuple["Cell | None", ...]


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
        return self.name not in ("results", "stock")

    @property
    def head(self) -> str:
        """What its rows are."""
        return _ROWS.get(self.name, "Stream")


def tables_of(cells: Iterable["Cell"]) -> tuple[Table, ...]:
    """Return the tables that have a cell, each with only the columns and rows that are in use."""
    by_table: dict[str, list[Cell]] = {}
    for cell in cells:
        by_table.setdefault(_table_of(cell.measure), []).append(cell)
    return tuple(
        _table(name, title, by_table[name], across)
        for name, title, across in TABLES
        if name in by_table
    )


_OF_STATION = {"stock": "stock", "time": "stops", "boilers": "boilers", "water": "boilers"}


def _table_of(measure: Measure) -> str:
    if measure.prop in KINDS:
        return "readings"
    if measure.stream.startswith("effect_"):
        return "evaporator"
    return _OF_STATION.get(measure.station) or (
        "further" if measure.prop in _FURTHER else "results"
    )


def _table(name: str, title: str, cells: list["Cell"], across: tuple[str, ...]) -> Table:
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
    folded = not any(cell.measure.due or cell.result or cell.attempt for cell in cells)
    return Table(name, title, columns, groups, folded)


def _column(prop: str) -> Column:
    if prop in _HEADS:
        return Column(prop, *_HEADS[prop])
    words, unit, *_ = PROPERTIES.get(prop) or KINDS[prop]
    return Column(prop, words, unit)


def _with_unit(title: str, row: tuple["Cell | None", ...]) -> str:
    """Return the title of a row, with the unit of its weight where that is not tonnes."""
    weight = next((c.measure for c in row if c and c.measure.prop == "weight"), None)
    return title if weight is None or weight.unit == "t" else f"{title}, {weight.unit}"
