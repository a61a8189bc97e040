"""Every figure of one period, by station: its value, how sure it is, or what to measure for it."""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from app.figures import FIGURES
from app.figures.declare import Figure
from app.figures.sheets import Period
from app.plant.measures import MEASURES
from app.plant.streams import STATIONS
from app.reports.lines import Cell, cell
from app.reports.numbers import plus_minus
from app.reports.season_books import SeasonBooks

HEADINGS = {"account": "Sugar account and recovery"} | STATIONS


@dataclass(frozen=True)
class Worked:
    """A figure of a period, as printed, with twice its standard uncertainty."""

    figure: Figure
    cell: Cell
    doubt: str


@dataclass(frozen=True)
class Station:
    """The figures of one station: those with a value, and those that lack something.

    What needs a stream that the mill has not is left out.
    """

    name: str
    title: str
    figures: tuple[Worked, ...]
    lacking: tuple[Worked, ...]


def figures_of(station: str) -> list[Figure]:
    """Return the public figures of a station, as declared."""
    return [f for f in FIGURES.values() if f.station == station and not f.internal]


def by_station(books: SeasonBooks, period: Period) -> tuple[Station, ...]:
    """Return all figures of a period."""
    books.need(FIGURES)
    result = books.over(period)
    result.certainty.cover(tuple(n for n in FIGURES if np.isfinite(result.values[n][0])))
    found = []
    for name, title in HEADINGS.items():
        worked = [
            Worked(
                figure,
                cell(figure.name, result, 0, books),
                plus_minus(result.certainty.standard(figure.name), figure.decimals),
            )
            for figure in figures_of(name)
        ]
        there = tuple(w for w in worked if w.cell.value is not None)
        lacking = tuple(
            w
            for w in worked
            if w.cell.value is None and _could_be(result.missing(w.figure.name), books.streams)
        )
        if there or lacking:
            found.append(Station(name, title, there, lacking))
    return tuple(found)


def _could_be(missing: Iterable[str], streams: frozenset[str]) -> bool:
    """Tell whether a mill has the streams whose measures lack: a tandem has no press water."""
    return all(MEASURES[m].stream in streams for m in missing if m in MEASURES)
