"""Sugar after the dryers: its lots, and where the loads that left the store went."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from app.reports.numbers import printed


@dataclass(frozen=True)
class Lot:
    """A lot that was bagged: its record, and its tonnes as printed."""

    name: str
    record: int
    tonnes: str


@dataclass(frozen=True)
class Part:
    """The loads of one lot or customer; `never_bagged` of a lot that the book does not have."""

    title: str
    loads: int
    tonnes: str
    certified: int
    never_bagged: bool = False


@dataclass(frozen=True)
class DispatchReport:
    """Loads by customer and by lot, in the order of their names."""

    customers: tuple[Part, ...]
    lots: tuple[Part, ...]


def lots_bagged(records: Sequence[Mapping[str, Any]]) -> tuple[Lot, ...]:
    """Return lots in the order in which they ended, each of which may have its certificate."""
    return tuple(
        Lot(each["lot"], int(each["record"]), printed(each.get("tonnes"), 2)) for each in records
    )


def dispatch_report(records: Sequence[Mapping[str, Any]]) -> DispatchReport:
    """Return the loads that left the store, by customer and by lot."""
    lots = _parts(records, "lot")
    unknown = {each["lot"].strip() for each in records if each.get("bagged_here") == "no"}
    return DispatchReport(
        _parts(records, "customer"),
        tuple(replace(lot, never_bagged=lot.title in unknown) for lot in lots),
    )


def _parts(records: Sequence[Mapping[str, Any]], by: str) -> tuple[Part, ...]:
    groups: dict[str, list[Mapping[str, Any]]] = {}
    for record in records:
        groups.setdefault(record[by].strip(), []).append(record)
    return tuple(
        Part(
            title,
            len(loads),
            printed(_tonnes(loads), 2),
            sum(load.get("certificate") == "yes" for load in loads),
        )
        for title, loads in sorted(groups.items())
    )


def _tonnes(loads: Sequence[Mapping[str, Any]]) -> float | None:
    """Return the tonnes of some loads; none where one of them was not weighed."""
    weights = [load["tonnes"] for load in loads if "tonnes" in load]
    return math.fsum(weights) if len(weights) == len(loads) else None
