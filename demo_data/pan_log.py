"""The pan log of the invented mill, its crystallizers and its centrifugals.

The strikes of a shift add up to what the sheet would have had of their grade.
"""

from collections.abc import Iterator
from datetime import timedelta

import numpy as np

from .books import SINCE, Kept, Shift, Written
from .closing import about, number, shared
from .factory import SEED, SHIFTS_A_DAY
from .typed import FIRST_DAY

FIRST = (SINCE - FIRST_DAY).days * SHIFTS_A_DAY
WRITTEN_AFTER = 25  # minutes after the drop, once its sample is analysed
COOLS = 3  # shifts that a C strike stays in its crystallizer
CRYSTALLIZERS = 4

# grade: m³ of a strike, hours of boiling, temperature at drop, pans, seed
PANS = {
    "a": (89, 3.2, 65.4, ("P1", "P2", "P3"), {"seed": "magma", "seed_amount": "9000"}),
    "b": (54, 4.6, 66.1, ("P4", "P5"), {"seed": "footing"}),
    "c": (81, 7.4, 66.8, ("P6",), {"seed": "slurry", "seed_amount": "6.5"}),
}
# grade: purity of its mother liquor at the drop, less that of its molasses
LIQUOR_BELOW = {"a": 1.3, "b": 1.1}
C_LIQUOR_AT_DROP, C_LIQUOR_AS_CURED = 38.6, 34.5
WRITTEN = ("volume", "brix", "purity", "temperature")


def _random(shift: Shift, book: int) -> np.random.Generator:
    return np.random.default_rng((SEED, shift.number, book))


def strike_name(grade: str, shift: int, of_shift: int = 0) -> str:
    """Return how a strike is called: by its grade and its number in the season."""
    return f"{grade.upper()}{shift * len(PANS[grade][3]) + of_shift + 1}"


def strikes(shift: Shift) -> Iterator[Written]:
    """Yield the strikes of a shift: their volumes and analyses make what the sheet has."""
    random = _random(shift, 1)
    for grade, (size, _hours, usual, _pans, _seed) in PANS.items():
        whole = number(shift.texts, f"{grade}_massecuite_volume")
        brix = number(shift.texts, f"{grade}_massecuite_brix")
        purity = number(shift.texts, f"{grade}_massecuite_purity")
        if not whole or brix is None or purity is None:
            continue
        count = max(1, round(whole / size))
        volumes = shared(whole, random.normal(1, 0.04, count).tolist(), 1)
        brixes = about(brix, volumes, random.normal(0, 0.2, count).tolist(), 2)
        of_brix = [v * b for v, b in zip(volumes, brixes, strict=True)]
        purities = about(purity, of_brix, random.normal(0, 0.4, count).tolist(), 2)
        at = number(shift.texts, f"{grade}_massecuite_temperature")
        apart = random.normal(0, 0.5, count).tolist()
        heats = about(usual + random.normal(0, 0.3) if at is None else at, volumes, apart, 1)
        for place, said in enumerate(zip(volumes, brixes, purities, heats, strict=True)):
            yield _strike(shift, grade, (place, count), said, random)


def _strike(
    shift: Shift, grade: str, place: tuple[int, int], said: tuple[float, ...],
    random: np.random.Generator,
) -> Written:  # fmt: skip
    _size, hours, _usual, pans, seed = PANS[grade]
    turn, count = place
    dropped = (turn + 0.7) * 480 / count
    started = dropped - 60 * hours - random.integers(-15, 16)
    decimals = (1, 2, 2, 1)
    written = {name: f"{v:.{d}f}" for name, v, d in zip(WRITTEN, said, decimals, strict=True)}
    if turn == 0:
        written["mother_liquor_purity"] = f"{_liquor(shift, grade) + random.normal(0, 0.25):.2f}"
    return dropped + WRITTEN_AFTER, {
        "strike": strike_name(grade, shift.number, turn), "grade": grade, "pan": pans[turn],
        "boiled": "batch", **seed, "started": shift.clock(started),
        "grained": shift.clock(started + 40 + 12 * hours), "dropped": shift.clock(dropped),
        **written, "pressure": f"{13.5 + random.normal(0, 0.6):.1f}",
    }  # fmt: skip


def _liquor(shift: Shift, grade: str) -> float:
    molasses = number(shift.texts, f"{grade}_molasses_purity")
    return C_LIQUOR_AT_DROP if molasses is None else molasses - LIQUOR_BELOW[grade]


def crystallizers(shift: Shift) -> Iterator[Written]:
    """Yield the crystallizer that was emptied on a shift, with the C strike that it had."""
    if shift.number - COOLS < FIRST:
        return  # its strike was dropped before the log was kept
    random = _random(shift, 2)
    emptied = 300
    filled = shift.begins + timedelta(minutes=336 + 20, hours=-8 * COOLS)
    cooled, reheated = (
        number(shift.texts, f"c_massecuite_{kind}_temperature")
        for kind in ("cooled", "reheated")
    )  # fmt: skip
    cooled = 44.2 + random.normal(0, 0.4) if cooled is None else cooled
    reheated = 54.6 + random.normal(0, 0.4) if reheated is None else reheated
    yield emptied + 15, {
        "strike": strike_name("c", shift.number - COOLS),
        "crystallizer": f"K{shift.number % CRYSTALLIZERS + 1}",
        "filled": f"{filled:%Y-%m-%d %H:%M}", "emptied": shift.clock(emptied),
        "entered_at": f"{66 + random.normal(0, 0.4):.1f}",
        "cooled": f"{cooled:.1f}", "reheated": f"{reheated:.1f}",
        "mother_liquor_purity": f"{C_LIQUOR_AS_CURED + random.normal(0, 0.25):.2f}",
    }  # fmt: skip


# grade: minutes of its two samples, machines, batch or not, cycles, and what is analysed
CURED = {
    "a": ((150, 330), ("M1", "M2"), "batch", (58, 54), ("molasses_brix", "molasses_purity")),
    "b": ((150, 330), ("M5", "M6"), "continuous", (),
          ("molasses_brix", "molasses_purity", "sugar_brix", "sugar_purity")),
    "c": ((320, 440), ("M7", "M8"), "continuous", (), ("sugar_brix", "sugar_purity")),
}  # fmt: skip


def centrifugals(shift: Shift) -> Iterator[Written]:
    """Yield two samples of each grade: their means make what the sheet has."""
    random = _random(shift, 3)
    for grade, (minutes, machines, kind, cycles, analysed) in CURED.items():
        apart = random.normal(0, 0.3, 2).tolist()
        found: dict[str, list[float]] = {}
        for name in analysed:
            stream = name.replace("sugar", "magma")
            mean = number(shift.texts, f"{grade}_{stream}")
            if mean is not None:
                found[name] = about(mean, cycles or (1, 1), apart, 2)
        if not found:
            continue
        for turn in range(2):
            said = {name: f"{values[turn]:.2f}" for name, values in found.items()}
            if cycles:
                said |= {"cycles": f"{cycles[turn]}", "cycle_time": "195", "wash_water": "38"}
            if grade == "c":
                said["molasses_purity"] = f"{36.1 + random.normal(0, 0.2):.2f}"
            yield minutes[turn] + 20, {
                "at": shift.clock(minutes[turn]), "grade": grade,
                "strike": strike_name(grade, shift.number - (COOLS if grade == "c" else 0)),
                "machine": machines[turn], "cured": kind, **said,
            }  # fmt: skip


STRIKES = Kept(
    "strikes", strikes,
    frozenset(
        f"{grade}_massecuite_{prop}" for grade in PANS for prop in ("volume", "brix", "purity")
    )
    | {"c_massecuite_temperature"},
)  # fmt: skip
CRYSTALLIZED = Kept("crystallizers", crystallizers)
CENTRIFUGED = Kept(
    "centrifugals", centrifugals,
    frozenset(
        f"{grade}_{name.replace('sugar', 'magma')}"
        for grade, (*_said, analysed) in CURED.items()
        for name in analysed
    ),
)  # fmt: skip
