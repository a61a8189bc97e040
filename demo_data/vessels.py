"""The vessels of the invented mill, their tables, and what was dipped in them each day."""

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np

from app.plant.books.stock import table_of, volume_at

from .books import SINCE, Kept, Shift, Written
from .closing import about, number
from .factory import SEED, SHIFTS_A_DAY

SURVEYED = "by tape and water meter, May 2026"


class Vessel(NamedTuple):
    """A vessel: its code, what it is, its part of its group's contents, and its table."""

    code: str
    title: str
    share: float
    table: str


PAN = "0=0; 0.8=14.2; 1.6=36.5; 3.2=82.9; 3.8=100.3"
SMALL_PAN = "0=0; 0.7=8.6; 1.5=24.4; 3=55.1; 3.6=67.4"
CRYSTALLIZER = "0=0; 0.5=11.8; 1=31.4; 1.5=52.9; 2=74.1; 2.5=91.6; 2.9=101.2"
TANK = "0=0; 6=169.6"
# the last of each group has what the others leave
VESSELS = {
    "juice_tanks": (
        Vessel("J1", "Clarifier", 0.6, ""),
        Vessel("J2", "Mixed juice tank", 0.17, TANK),
        Vessel("J3", "Clear juice tank", 0.23, "0=0; 7=219.9"),
    ),
    "syrup_tanks": (
        Vessel("Y1", "Syrup tank 1", 0.55, "0=0; 5=110.2"),
        Vessel("Y2", "Syrup tank 2", 0.45, "0=0; 5=110.2"),
    ),
    "a_pans": (
        Vessel("P1", "A pan 1", 0.36, PAN),
        Vessel("P2", "A pan 2", 0.29, PAN),
        Vessel("P3", "A pan 3", 0.0, PAN),
        Vessel("R1", "A receiver", 0.35, "0=0; 0.6=15.1; 1.2=40.3; 2.4=92.0"),
    ),
    "b_pans": (
        Vessel("P4", "B pan 1", 0.33, SMALL_PAN),
        Vessel("P5", "B pan 2", 0.27, SMALL_PAN),
        Vessel("R2", "B receiver", 0.4, "0=0; 0.6=13.4; 1.2=35.8; 2.4=81.5"),
    ),
    "c_pans": (
        Vessel("P6", "C pan", 0.14, PAN),
        Vessel("K1", "C crystallizer 1", 0.22, CRYSTALLIZER),
        Vessel("K2", "C crystallizer 2", 0.22, CRYSTALLIZER),
        Vessel("K3", "C crystallizer 3", 0.21, CRYSTALLIZER),
        Vessel("K4", "C crystallizer 4", 0.21, CRYSTALLIZER),
    ),
    "a_molasses_tanks": (
        Vessel("D1", "A molasses tank 1", 0.6, "0=0; 4=78.5"),
        Vessel("D2", "A molasses tank 2", 0.4, "0=0; 4=78.5"),
    ),
    "b_molasses_tanks": (
        Vessel("D3", "B molasses tank 1", 0.52, "0=0; 4=50.3"),
        Vessel("D4", "B molasses tank 2", 0.48, "0=0; 4=50.3"),
    ),
    "magma_mixers": (
        Vessel("G1", "Magma mixer", 0.38, "0=0; 0.5=6.9; 1=18.8; 1.8=38.6"),
        Vessel("G2", "Seed receiver", 0.62, "0=0; 0.6=12.1; 1.2=31.0; 2=57.4"),
    ),
    "remelt_tank": (Vessel("T1", "Remelt tank", 1.0, "0=0; 5=141.4"),),
}


def calibrations(shift: Shift) -> Iterator[Written]:
    """Yield every vessel of the mill, on the first shift that keeps the book."""
    if (shift.day, shift.of_day) != (SINCE, 1):
        return
    every = [(group, vessel) for group, vessels in VESSELS.items() for vessel in vessels]
    for place, (group, vessel) in enumerate(every):
        said = {"vessel": vessel.code, "title": vessel.title, "group": group}
        table = {"table": vessel.table, "surveyed": SURVEYED} if vessel.table else {}
        yield 30 + 2 * place, said | table


def dips(shift: Shift) -> Iterator[Written]:
    """Yield what each vessel held at the end of the day: together what the sheet would have."""
    if shift.of_day != SHIFTS_A_DAY:
        return
    random = np.random.default_rng((SEED, shift.number, 4))
    minutes = 400.0
    for group, vessels in VESSELS.items():
        whole = number(shift.texts, f"{group}_volume")
        if whole is None:
            continue
        dipped = _dipped(vessels, whole, random)
        for vessel, said in zip(vessels, _with_analyses(shift, group, dipped, random), strict=True):
            yield minutes + 30, {"vessel": vessel.code, "at": shift.clock(minutes), **said}
            minutes += 2


def _dipped(
    vessels: tuple[Vessel, ...], whole: float, random: np.random.Generator
) -> list[tuple[float, dict[str, str]]]:
    """Return the volume of each vessel with what was read of it; the last closes the sum."""
    found: list[tuple[float, dict[str, str]]] = []
    for vessel in vessels:
        left = whole - sum(volume for volume, _read in found)
        wanted = whole * vessel.share * random.normal(1, 0.015)
        found.append(_read(vessel, left if vessel is vessels[-1] else wanted))
    return found


def _read(vessel: Vessel, wanted: float) -> tuple[float, dict[str, str]]:
    if not vessel.table:
        return round(wanted, 1), {"volume": f"{wanted:.1f}"}
    levels, volumes = zip(*table_of(vessel.table), strict=True)
    level = round(float(np.interp(wanted, volumes, levels)), 3)
    return volume_at(table_of(vessel.table), level) or 0.0, {"level": f"{level:.3f}"}


def _with_analyses(
    shift: Shift, group: str, dipped: list[tuple[float, dict[str, str]]],
    random: np.random.Generator,
) -> list[dict[str, str]]:  # fmt: skip
    """Return what was read of each vessel with its analyses; an empty one has none."""
    volumes = [volume for volume, _read in dipped if volume]
    said = [dict(read) for _volume, read in dipped]
    filled = [record for record, (volume, _read) in zip(said, dipped, strict=True) if volume]
    weights = volumes
    for name, decimals, spread in (("temperature", 1, 1.5), ("brix", 2, 0.2), ("purity", 2, 0.5)):
        mean = number(shift.texts, f"{group}_{name}")
        if mean is None:
            continue
        apart = random.normal(0, spread, len(filled)).tolist()
        values = about(mean, weights, apart, decimals)
        for record, value in zip(filled, values, strict=True):
            record[name] = f"{value:.{decimals}f}"
        if name == "brix":
            weights = [volume * value for volume, value in zip(volumes, values, strict=True)]
    return said


CALIBRATIONS = Kept("calibrations", calibrations)
DIPS = Kept(
    "dips", dips,
    frozenset(
        f"{group}_{name}"
        for group in VESSELS
        for name in ("volume", "temperature", "brix", "purity")
    ),
)  # fmt: skip
