"""Cane consignments of the invented mill: its growers, their loads, and the cane in the yard."""

from collections.abc import Iterator
from datetime import date, timedelta

import numpy as np

from .books import SINCE, Kept, Shift, Written
from .factory import SHIFTS, SHIFTS_A_DAY, Values
from .typed import FIRST_DAY

LOADS = 34  # in a shift, each a road train of three bins
FIRST_TICKET = 40_111
SPOILT = 7  # loads of a day before a ticket was torn up
BRIDGE_READS = 1.0015  # the weighbridge, over the scale at the carrier

# grower: field, variety, and by how much its cane differs: pol of juice, fibre, trash
GROWERS = (
    ("G104", "G104-3", "early ridge", 0.45, -0.5, -1.5),
    ("G117", "G117-1", "river red", -0.30, 0.4, 1.0),
    ("G122", "G122-8", "early ridge", 0.15, 0.1, 0.2),
    ("G139", "G139-2", "late broadleaf", -0.55, 0.9, 2.4),
    ("G150", "G150-5", "river red", 0.10, -0.6, -0.8),
)  # fmt: skip


def yard(day: date) -> float:
    """Return the tonnes that lay in the yard at the end of a day."""
    return round(640 + 160 * np.sin(0.9 * (day - SINCE).days), 0)


def yard_of_season() -> Values:
    """Return the tonnes in the yard by shift, NaN but at the end of each day once they are told."""
    found = np.full(SHIFTS, np.nan)
    for day in range((SINCE - FIRST_DAY).days - 1, SHIFTS // SHIFTS_A_DAY):
        found[day * SHIFTS_A_DAY + SHIFTS_A_DAY - 1] = yard(FIRST_DAY + timedelta(days=day))
    return found


def consignments(shift: Shift) -> Iterator[Written]:
    """Yield the loads of a shift: as much cane as it crushed and its part of the yard's growth."""
    growth = yard(shift.day) - yard(shift.day - timedelta(days=1))
    came = float(shift.texts["cane"]) * BRIDGE_READS + growth / SHIFTS_A_DAY
    for load in range(LOADS):
        minutes = (load + 0.5) * 480 / LOADS
        of_day = (shift.of_day - 1) * LOADS + load
        before = (shift.day - SINCE).days * (SHIFTS_A_DAY * LOADS + 1)
        ticket = FIRST_TICKET + before + of_day + (of_day >= SPOILT)
        weighed = {"ticket": f"{ticket}", "weighed": shift.clock(minutes)}
        yield minutes + 3, weighed | _load(shift, load, came / LOADS, shift.random)


def _load(shift: Shift, load: int, mean: float, random: np.random.Generator) -> dict[str, str]:
    grower, field, variety, richer, fibre, trash = GROWERS[(load + shift.number) % len(GROWERS)]
    net, tare = mean + random.normal(0, 1.6), 21.5 + random.normal(0, 0.4)
    pol, brix = (_number(shift, f"first_expressed_juice_{part}") for part in ("pol", "brix"))
    of_sample = richer + random.normal(0, 0.2)
    found = {
        "grower": grower, "field": field, "variety": variety,
        "harvest": "green" if grower == "G122" else "burnt",
        "gross": f"{net + tare:.2f}", "tare": f"{tare:.2f}",
    }  # fmt: skip
    if load % 3:
        return found  # every third load is sampled
    return found | {
        "juice_pol": f"{pol + of_sample:.2f}",
        "juice_brix": f"{brix + 0.9 * of_sample + random.normal(0, 0.05):.2f}",
        "fibre": f"{14.6 + fibre + random.normal(0, 0.3):.2f}",
        "extraneous_matter": f"{6.2 + trash + random.normal(0, 0.5):.1f}",
    }


def _number(shift: Shift, measure: str) -> float:
    return float(shift.texts[measure])


BOOK = Kept("consignments", consignments)
