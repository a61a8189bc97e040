"""A survey of the tandem, mill by mill: how brix falls, and what each took of the pol fed to it."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, NamedTuple

from app.chemistry.extraction import extraction_to_bagasse
from app.chemistry.validity import OutOfRange
from app.plant.books.mill_survey import LAST_MILL, MILLS
from app.reports.numbers import printed

WIDTH, HEIGHT = 320, 120  # of the curve, in its own units


class Cane(NamedTuple):
    """Pol and fibre of the cane of a day, % cane; not a number where they are not known."""

    pol: float
    fibre: float


NO_CANE = Cane(math.nan, math.nan)


@dataclass(frozen=True)
class MillLine:
    """One mill of a survey, as printed.

    `extraction` is up to its bagasse, of the pol in cane; `net_extraction` is its own, of the pol
    that it was fed.
    """

    title: str
    brix: str
    purity: str
    drop: str
    fibre: str
    pol_on_fibre: str
    extraction: str
    net_extraction: str
    settings: tuple[str, str, str]


@dataclass(frozen=True)
class Survey:
    """The samples of one shift, mill after mill, and the points of their brix as a curve."""

    day: date
    number: int
    mills: tuple[MillLine, ...]
    curve: str


def mill_surveys(
    records: Sequence[Mapping[str, Any]], cane: Mapping[date, Cane], mills: Mapping[date, int]
) -> tuple[Survey, ...]:
    """Return the surveys of some days, each of one shift; of a mill sampled twice the last one.

    `cane` is that of their days, and `mills` how many the tandem has on each.
    """
    shifts: dict[tuple[date, int], dict[str, Mapping[str, Any]]] = {}
    for record in records:
        place = date.fromisoformat(record["day"]), int(record["shift"])
        of_shift = shifts.setdefault(place, {})
        of_shift[record["mill"]] = record
    return tuple(
        _survey(day, number, sampled, cane.get(day, NO_CANE), mills[day])
        for (day, number), sampled in shifts.items()
    )


def _survey(
    day: date, number: int, sampled: Mapping[str, Mapping[str, Any]], cane: Cane, mills: int
) -> Survey:
    places = [name for name in MILLS if name in sampled]
    lines = []
    for name in places:
        before = sampled.get(str((mills if name == LAST_MILL else int(name)) - 1), {})
        lines.append(_line(name, sampled[name], before, cane))
    brixes = [sampled[name]["juice_brix"] for name in places if "juice_brix" in sampled[name]]
    return Survey(day, number, tuple(lines), curve(brixes))


def _line(name: str, mill: Mapping[str, Any], before: Mapping[str, Any], cane: Cane) -> MillLine:
    drop = before["purity"] - mill["purity"] if "purity" in mill and "purity" in before else None
    settings = (("hydraulic_pressure", 0), ("roller_speed", 2), ("top_roll_lift", 1))
    return MillLine(
        MILLS[name],
        printed(mill.get("juice_brix"), 2),
        printed(mill.get("purity"), 2),
        printed(drop, 2),
        printed(mill.get("bagasse_fibre"), 2),
        printed(mill.get("pol_on_fibre"), 2),
        printed(_extraction(mill, cane), 2),
        printed(_net(mill, before), 2),
        tuple(printed(mill.get(each), decimals) for each, decimals in settings),  # type: ignore[arg-type]
    )


def _extraction(mill: Mapping[str, Any], cane: Cane) -> float | None:
    """Return the pol extracted up to this mill; none where it cannot be of that cane."""
    if "pol_on_fibre" not in mill:
        return None
    try:
        found = extraction_to_bagasse(mill["bagasse_pol"], mill["bagasse_fibre"], *cane)
    except OutOfRange:
        return None
    return float(found)


def _net(mill: Mapping[str, Any], before: Mapping[str, Any]) -> float | None:
    """Return what this mill took of the pol that the mill before it left, %.

    Fibre passes through: what is left of the pol is as pol on fibre after to before.
    """
    if "pol_on_fibre" not in mill or not before.get("pol_on_fibre"):
        return None
    return float(100 * (1 - mill["pol_on_fibre"] / before["pol_on_fibre"]))


def curve(values: Sequence[float]) -> str:
    """Return the points of a line through some values, evenly apart, from zero up."""
    if len(values) < 2:
        return ""
    step, most = WIDTH / (len(values) - 1), max(values) or 1.0
    points = ((n * step, HEIGHT * (1 - value / most)) for n, value in enumerate(values))
    return " ".join(f"{x:.1f},{y:.1f}" for x, y in points)
