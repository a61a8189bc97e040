"""The last stock-taking of some days, vessel by vessel, and what changed since the one before."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from app.plant.vessels import VESSELS
from app.reports.numbers import printed

Values = Mapping[str, Any]
HELD = ("volume_taken", "contents", "brix_held", "pol_held")


@dataclass(frozen=True)
class Vessel:
    """What one vessel held; numbers as printed, "" for what lacks."""

    code: str
    title: str
    record: int
    level: str
    brix: str
    purity: str
    temperature: str
    held: tuple[str, ...]


@dataclass(frozen=True)
class Group:
    """A group of vessels: each of them, what they hold together, and its growth since the last.

    `absent` are the vessels that were not dipped: without them the group holds nobody knows what.
    """

    name: str
    title: str
    vessels: tuple[Vessel, ...]
    held: tuple[str, ...]
    growth: tuple[str, ...]
    absent: tuple[str, ...]


@dataclass(frozen=True)
class StockReport:
    """A stock-taking, and when the one before it was, if it was in these days."""

    day: date
    shift: int
    before: date | None
    groups: tuple[Group, ...]
    whole: tuple[str, ...]
    growth: tuple[str, ...]


def stock_report(dips: Sequence[Values], vessels: Sequence[Values]) -> StockReport | None:
    """Return the last stock-taking that some dips tell of, with the `vessels` as described.

    What a group or all of them hold is none while one of their vessels lacks it. Nothing for no
    dips.
    """
    takings: dict[tuple[str, float], list[Values]] = {}
    for dip in dips:
        takings.setdefault((dip["day"], dip["shift"]), []).append(dip)
    if not takings:
        return None
    *earlier, last = sorted(takings)
    now = _by_group(takings[last], _described(vessels, last))
    then = _by_group(takings[earlier[-1]], _described(vessels, earlier[-1])) if earlier else {}
    held = {name: _held(*group) for name, group in now.items()}
    held_then = {name: _held(*group) for name, group in then.items()}
    described = _described(vessels, last)
    return StockReport(
        date.fromisoformat(last[0]),
        int(last[1]),
        date.fromisoformat(earlier[-1][0]) if earlier else None,
        tuple(
            Group(
                name,
                VESSELS[name],
                tuple(_vessel(dip, described) for dip in group),
                _printed(held[name]),
                _printed(_less(held[name], held_then.get(name))),
                absent,
            )
            for name, (group, absent) in now.items()
        ),
        _printed(_together(held.values())),
        _printed(_less(_together(held.values()), _all_of(held_then, of=held))),
    )


def _described(vessels: Sequence[Values], at: tuple[str, float]) -> dict[str, Values]:
    """Return what was said last of each vessel until a shift, by its code."""
    until = sorted(
        (each for each in vessels if (each["day"], each["shift"]) <= at),
        key=lambda each: (each["day"], each["shift"], each["record"]),
    )
    return {each["vessel"].casefold(): each for each in until}


def _by_group(
    dips: Sequence[Values], described: Mapping[str, Values]
) -> dict[str, tuple[list[Values], tuple[str, ...]]]:
    """Return the dips of each group in the order of the factory, and the vessels it lacks."""
    dipped = {dip["vessel"].casefold() for dip in dips}
    found = {}
    for name in VESSELS:
        group = [dip for dip in dips if dip.get("group") == name]
        absent = tuple(
            each["vessel"]
            for key, each in described.items()
            if each["group"] == name and each.get("dipped") != "no" and key not in dipped
        )
        if group or absent:
            found[name] = (group, absent)
    return found


def _held(dips: Sequence[Values], absent: tuple[str, ...]) -> tuple[float, ...]:
    """Return what vessels hold together, NaN where one of them lacks it."""
    if absent:
        return (math.nan,) * len(HELD)
    return tuple(math.fsum(dip.get(name, math.nan) for dip in dips) for name in HELD)


def _together(groups: Any) -> tuple[float, ...]:
    return tuple(math.fsum(parts) for parts in zip(*groups, strict=True))


def _all_of(
    groups: Mapping[str, tuple[float, ...]], of: Mapping[str, tuple[float, ...]]
) -> tuple[float, ...] | None:
    """Return what groups hold together, none where they are not those `of` another time."""
    return _together(groups.values()) if groups.keys() == of.keys() else None


def _less(now: tuple[float, ...], then: tuple[float, ...] | None) -> tuple[float, ...]:
    return tuple(n - t for n, t in zip(now, then, strict=True)) if then else ()


def _printed(values: Sequence[float]) -> tuple[str, ...]:
    return tuple(printed(value, 1) for value in values)


def _vessel(dip: Values, described: Mapping[str, Values]) -> Vessel:
    said = described.get(dip["vessel"].casefold(), {})
    return Vessel(
        dip["vessel"],
        said.get("title", ""),
        int(dip["record"]),
        printed(dip.get("level"), 3),
        printed(dip.get("brix"), 2),
        printed(dip.get("purity"), 2),
        printed(dip.get("temperature"), 1),
        _printed([dip.get(name, math.nan) for name in HELD]),
    )
