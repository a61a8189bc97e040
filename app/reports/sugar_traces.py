"""Sugar traces in water: place by place, and each above the usual with what was done about it."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from app.plant.books.utilities import PLACES, WATER
from app.plant.grains import Range
from app.plant.plan import Plan
from app.reports.numbers import printed, unrounded


@dataclass(frozen=True)
class PlaceLine:
    """The traces of one place: how many, their mean and highest, and how many above the usual.

    Of those above, `silent` counts the ones of which nothing says what was done. `place` is its
    name, and `most` the highest exactly.
    """

    title: str
    samples: int
    mean: str
    highest: str
    above: int
    silent: int
    place: str = ""
    most: float = math.nan


@dataclass(frozen=True)
class Alarm:
    """A trace above the usual: its record, when and where, and what was done; "" if nothing is."""

    record: int
    day: date
    number: int
    place: str
    trace: str
    usual: str
    done: str


@dataclass(frozen=True)
class TracesReport:
    """Traces by place, in the order of the book, and alarms, the newest first."""

    places: tuple[PlaceLine, ...]
    alarms: tuple[Alarm, ...]

    @property
    def sweet(self) -> tuple[PlaceLine, ...]:
        """The places that had a trace above the usual."""
        return tuple(place for place in self.places if place.above)


def traces_report(records: Sequence[Mapping[str, Any]], plan: Plan) -> TracesReport:
    """Return the traces of some days, held against what the mill's plan calls usual on each.

    Where the plan has no such measure, the usual range of the book counts.
    """
    groups: dict[str, list[Mapping[str, Any]]] = {place: [] for place in PLACES}
    for record in records:
        groups[record["place"]].append(record)
    places = tuple(_place(place, of, plan) for place, of in groups.items() if of)
    alarms = tuple(_alarm(record, plan) for record in reversed(records) if _above(record, plan))
    return TracesReport(places, alarms)


def _place(place: str, records: Sequence[Mapping[str, Any]], plan: Plan) -> PlaceLine:
    traces = [record["trace"] for record in records]
    above = [record for record in records if _above(record, plan)]
    return PlaceLine(
        PLACES[place], len(traces), printed(math.fsum(traces) / len(traces), 1),
        printed(max(traces), 0), len(above), sum("done" not in record for record in above),
        place, float(max(traces)),
    )  # fmt: skip


def _usual(record: Mapping[str, Any], plan: Plan) -> Range:
    measure = plan.every(date.fromisoformat(record["day"])).get(f"{record['place']}_sugar_trace")
    usual = measure.usual if measure else WATER.field("trace").usual
    return usual or (0, 0)


def _above(record: Mapping[str, Any], plan: Plan) -> bool:
    return bool(record["trace"] > _usual(record, plan)[1])


def _alarm(record: Mapping[str, Any], plan: Plan) -> Alarm:
    return Alarm(
        int(record["record"]), date.fromisoformat(record["day"]), int(record["shift"]),
        PLACES[record["place"]], printed(record["trace"], 0), unrounded(_usual(record, plan)[1]),
        record.get("done", ""),
    )  # fmt: skip
