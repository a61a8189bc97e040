"""Cane consignments by grower: loads, tonnes, quality by weight; and tickets that are missing.

Payment follows the local agreement, with its own samples, constants and rounding: nothing here is
an account of payment.
"""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from app.reports.numbers import printed

# what is averaged by the net weight of the loads that have it: title, unit and decimals
AVERAGED = {
    "fibre": ("Fibre", "% cane", 2),
    "cane_pol": ("Pol", "% cane", 2),
    "purity": ("Juice purity", "%", 2),
    "extraneous_matter": ("Extraneous", "% cane", 1),
    "recoverable": ("Recoverable sugar", "% cane", 2),
}
MOST_GAPS = 20


@dataclass(frozen=True)
class Grower:
    """The loads of one grower, or of all: how many, how many sampled, tonnes, and means."""

    code: str
    loads: int
    sampled: int
    net: str
    means: tuple[str, ...]
    recoverable: str


@dataclass(frozen=True)
class GrowersReport:
    """Consignments by grower, in the order of their codes, all together, and tickets missing."""

    growers: tuple[Grower, ...]
    whole: Grower
    missing: tuple[str, ...]
    more: int
    is_valued: bool

    @property
    def columns(self) -> tuple[tuple[str, str], ...]:
        """Title and unit of each mean."""
        return tuple((title, unit) for title, unit, _ in AVERAGED.values())


def growers_report(records: Sequence[Mapping[str, Any]]) -> GrowersReport:
    """Return consignments by grower.

    Tonnes of recoverable sugar are the mean of the loads that were sampled, on all tonnes.
    """
    groups: dict[str, list[Mapping[str, Any]]] = {}
    for record in records:
        groups.setdefault(record["grower"].strip().upper(), []).append(record)
    growers = [_grower(code, loads) for code, loads in sorted(groups.items())]
    gaps = missing_tickets(record["ticket"] for record in records)
    return GrowersReport(
        tuple(growers),
        _grower("", records),
        tuple(gaps[:MOST_GAPS]),
        max(len(gaps) - MOST_GAPS, 0),
        any("recoverable" in record for record in records),
    )


def _grower(code: str, loads: Sequence[Mapping[str, Any]]) -> Grower:
    net = math.fsum(load.get("net", math.nan) for load in loads)  # none while one is not weighed
    means = {name: mean_by_net(loads, name) for name in AVERAGED}
    sampled = sum("fibre" in load or "juice_pol" in load or "pol" in load for load in loads)
    recoverable = means["recoverable"]
    return Grower(
        code,
        len(loads),
        sampled,
        printed(net, 2),
        tuple(printed(means[name], decimals) for name, (_, _, decimals) in AVERAGED.items()),
        printed(None if recoverable is None else net * recoverable / 100, 2),
    )


def mean_by_net(loads: Iterable[Mapping[str, Any]], name: str) -> float | None:
    """Return the mean of an analysis by the net weight of the loads that have it."""
    pairs = [(load[name], load["net"]) for load in loads if name in load and load.get("net")]
    whole = math.fsum(net for _, net in pairs)
    return math.fsum(value * net for value, net in pairs) / whole if whole else None


def missing_tickets(tickets: Iterable[str]) -> list[str]:
    """Return the numbers, or runs of them, that lack between the lowest ticket and the highest.

    Nothing where any ticket is not a plain number.
    """
    texts = [ticket.strip() for ticket in tickets]
    if not texts or not all(text.isascii() and text.isdigit() for text in texts):
        return []
    numbers = sorted({int(text) for text in texts})
    found = []
    for one, other in pairwise(numbers):
        if other - one == 2:
            found.append(f"{one + 1}")
        elif other - one > 2:
            found.append(f"{one + 1} – {other - 1}")
    return found
