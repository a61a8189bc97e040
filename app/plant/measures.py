"""What is weighed or analysed: unit, decimals, usual range, hard limits, and how often.

Ranges are common practice of the trade, for warnings; hard limits are where a number can no longer
be that material at all.
"""

from dataclasses import dataclass

from app.plant.streams import STREAMS
from app.plant.vessels import VESSELS

SHIFT, DAY, WEEK = "shift", "day", "week"

Range = tuple[float, float]


@dataclass(frozen=True)
class Measure:
    """One thing that is weighed or analysed.

    `stream` is a stream or a vessel; `prop` "weight", "brix", "pol" …; `grain` how often it is
    taken: each shift, or once a day or week, on its last shift. `carrier` names the weight by which
    an analysis is averaged over a period, and is empty for a weight. `due` tells whether its
    absence is a gap: an optional analysis is not.
    """

    name: str
    title: str
    stream: str
    station: str
    prop: str
    unit: str
    decimals: int
    usual: Range
    hard: Range
    grain: str
    carrier: str = ""
    due: bool = True


# property: (words, unit, decimals, hard limits where nothing narrower is known)
PROPERTIES: dict[str, tuple[str, str, int, Range]] = {
    "brix": ("brix", "°Bx", 2, (0, 100)),
    "pol": ("pol", "%", 2, (0, 100)),
    "purity": ("purity", "%", 2, (0, 100)),
    "true_purity": ("true purity", "%", 2, (0, 100)),
    "fibre": ("fibre", "%", 2, (0, 100)),
    "moisture": ("moisture", "%", 2, (0, 100)),
    "ph": ("pH", "pH", 2, (2, 13)),
    "colour": ("colour", "IU", 0, (0, 200_000)),
    "suspended_solids": ("suspended solids", "%", 2, (0, 20)),
    "reducing_sugars": ("reducing sugars", "%", 2, (0, 60)),
    "ash": ("ash", "%", 2, (0, 40)),
    "temperature": ("temperature", "°C", 1, (0, 150)),
    "open_cells": ("preparation index", "%", 1, (0, 100)),
    "sugar_trace": ("sugar trace", "mg/kg", 0, (0, 10_000)),
    "volume": ("volume", "m³", 1, (0, 5000)),
}

# weight: (title, unit, decimals, usual, hard, grain, station), of one shift unless a day is said
_WEIGHTS = {
    "cane": ("Cane crushed", "t", 1, (600, 2600), (0, 20_000), SHIFT),
    "imbibition": ("Imbibition water", "t", 1, (150, 1000), (0, 10_000), SHIFT),
    "mixed_juice": ("Mixed juice", "t", 1, (600, 2800), (0, 25_000), SHIFT),
    "bagasse": ("Bagasse", "t", 1, (150, 900), (0, 8000), SHIFT),
    "lime": ("Lime, as CaO", "t", 3, (0.4, 2.6), (0, 40), SHIFT),
    "filter_cake": ("Filter cake", "t", 1, (15, 150), (0, 2000), SHIFT),
    "sugar": ("Sugar bagged", "t", 1, (40, 320), (0, 3000), SHIFT),
    "final_molasses": ("Final molasses", "t", 1, (60, 320), (0, 3000), DAY),
    "steam": ("Steam raised", "t", 1, (250, 1400), (0, 12_000), SHIFT),
    "power": ("Power generated", "MWh", 1, (10, 90), (0, 1500), SHIFT),
}

_OPTIONAL_WEIGHTS = {"bagasse"}

# stream: grain, carrier, and of each property usual and hard limits; "?" marks one not always due
_ANALYSES: dict[str, tuple[str, str, dict[str, tuple[Range, Range]]]] = {
    "cane": (SHIFT, "cane", {
        "fibre?": ((12, 16), (5, 30)), "pol?": ((11, 15), (3, 25)),
        "brix?": ((13.5, 17.5), (5, 30)),
        "ash?": ((1, 3), (0, 20))}),
    "prepared_cane": (DAY, "cane", {"open_cells": ((82, 92), (30, 100))}),
    "imbibition": (SHIFT, "imbibition", {"temperature": ((60, 85), (5, 100))}),
    "first_expressed_juice": (SHIFT, "cane", {
        "brix": ((16, 22), (5, 35)), "pol": ((13, 20), (3, 33)), "purity?": ((80, 90), (40, 100)),
        "ph?": ((4.8, 5.8), (2, 13)), "reducing_sugars?": ((0.3, 1.5), (0, 10)),
        "ash?": ((0.2, 0.8), (0, 10))}),
    "last_expressed_juice": (SHIFT, "cane", {
        "brix": ((2, 6), (0, 20)), "pol": ((1.2, 4.8), (0, 18)), "purity?": ((66, 78), (30, 100))}),
    **{f"mill_{n}_bagasse": (WEEK, "cane", {
        "pol": ((1, 9), (0, 20)), "moisture": ((48, 66), (20, 85))}) for n in range(1, 7)},
    "diffuser_bagasse": (DAY, "cane", {
        "pol": ((0.6, 2.5), (0, 15)), "moisture": ((80, 84), (50, 95))}),
    "press_water": (DAY, "cane", {
        "brix": ((0.8, 3), (0, 15)), "pol": ((0.5, 2.4), (0, 15)),
        "purity?": ((60, 80), (30, 100))}),
    "bagasse": (SHIFT, "bagasse", {
        "pol": ((1.2, 2.6), (0, 15)), "moisture": ((48, 52), (20, 80)),
        "brix?": ((1.5, 4), (0, 20)),
        "purity?": ((66, 78), (30, 100)), "ash?": ((1.5, 4), (0, 30))}),
    "mixed_juice": (SHIFT, "mixed_juice", {
        "brix": ((11.5, 16), (3, 30)), "pol": ((9.5, 14), (2, 28)),
        "purity?": ((79, 88), (40, 100)),
        "ph": ((5.0, 5.8), (2, 13)), "suspended_solids": ((0.1, 0.9), (0, 10)),
        "temperature?": ((25, 45), (5, 100)), "colour?": ((8000, 25_000), (0, 200_000)),
        "reducing_sugars?": ((0.3, 1.2), (0, 10)), "ash?": ((0.2, 0.8), (0, 10))}),
    "limed_juice": (SHIFT, "mixed_juice", {
        "ph": ((7.4, 8.2), (2, 13)), "temperature": ((98, 105), (20, 115))}),
    "clear_juice": (SHIFT, "cane", {
        "brix": ((12, 16), (3, 30)), "pol": ((10, 14), (2, 28)), "purity?": ((80, 89), (40, 100)),
        "ph": ((6.9, 7.3), (2, 13)), "colour?": ((6000, 18_000), (0, 200_000)),
        "reducing_sugars?": ((0.3, 1.2), (0, 10)), "ash?": ((0.2, 0.8), (0, 10))}),
    "filtrate": (SHIFT, "cane", {
        "brix": ((8, 15), (1, 30)), "pol": ((6, 13), (0.5, 28)), "purity?": ((76, 88), (40, 100))}),
    "filter_cake": (SHIFT, "filter_cake", {
        "pol": ((0.8, 2.5), (0, 20)), "moisture": ((70, 78), (20, 95))}),
    "syrup": (SHIFT, "cane", {
        "brix": ((60, 68), (30, 85)), "pol": ((50, 60), (15, 83)), "purity?": ((80, 89), (40, 100)),
        "ph": ((6.0, 6.8), (2, 13)), "colour?": ((7000, 20_000), (0, 200_000))}),
    "clarified_syrup": (SHIFT, "cane", {
        "brix": ((58, 68), (30, 85)), "pol": ((48, 60), (15, 83)), "purity?": ((80, 89), (40, 100)),
        "ph?": ((5.8, 6.8), (2, 13)), "colour?": ((5000, 16_000), (0, 200_000))}),
    "a_massecuite": (SHIFT, "cane", {
        "brix": ((92, 93.5), (75, 100)), "purity": ((82, 88), (50, 100)),
        "pol?": ((75, 82), (35, 100)),
        "temperature?": ((60, 68), (20, 100))}),
    "b_massecuite": (SHIFT, "cane", {
        "brix": ((94, 95.5), (75, 100)), "purity": ((70, 76), (40, 100)),
        "pol?": ((65, 73), (30, 100)),
        "temperature?": ((62, 68), (20, 100))}),
    "c_massecuite": (SHIFT, "cane", {
        "brix": ((95.5, 97.5), (75, 100)), "purity": ((54, 61), (30, 100)),
        "pol?": ((51, 60), (25, 100)),
        "temperature?": ((62, 70), (20, 100))}),
    "a_molasses": (SHIFT, "cane", {
        "brix": ((68, 85), (40, 100)), "purity": ((64, 72), (30, 100)),
        "pol?": ((45, 60), (15, 95))}),
    "b_molasses": (SHIFT, "cane", {
        "brix": ((68, 88), (40, 100)), "purity": ((46, 54), (20, 100)),
        "pol?": ((32, 46), (10, 95))}),
    "b_magma": (SHIFT, "cane", {
        "brix": ((88, 94), (60, 100)), "purity": ((91, 95), (60, 100)),
        "pol?": ((80, 90), (40, 100))}),
    "c_magma": (SHIFT, "cane", {
        "brix": ((88, 94), (60, 100)), "purity": ((79, 86), (50, 100)),
        "pol?": ((70, 81), (30, 100))}),
    "remelt": (SHIFT, "cane", {
        "brix": ((58, 70), (30, 85)), "purity": ((84, 94), (50, 100)),
        "pol?": ((50, 64), (20, 85))}),
    "sugar": (SHIFT, "sugar", {
        "pol": ((97.5, 99.4), (80, 100)), "moisture": ((0.1, 0.6), (0, 10)),
        "colour": ((800, 4000), (0, 50_000)), "purity?": ((98, 99.8), (80, 100)),
        "reducing_sugars?": ((0.1, 0.6), (0, 10)), "ash?": ((0.1, 0.5), (0, 10)),
        "temperature": ((28, 38), (5, 90))}),
    "final_molasses": (DAY, "final_molasses", {
        "brix": ((80, 90), (50, 100)), "pol": ((26, 36), (10, 60)), "purity?": ((32, 40), (15, 70)),
        "true_purity?": ((36, 45), (15, 75)), "reducing_sugars": ((8, 20), (0, 60)),
        "ash": ((8, 18), (0, 40)), "temperature?": ((35, 50), (5, 100))}),
    "feed_water": (SHIFT, "steam", {
        "ph": ((8.5, 10.5), (2, 13)), "sugar_trace": ((0, 10), (0, 10_000))}),
}  # fmt: skip

# vessel: usual brix and purity of its contents, and the most it holds, m³
_CONTENTS: dict[str, tuple[Range, Range, float]] = {
    "juice_tanks": ((12, 17), (80, 88), 1500),
    "syrup_tanks": ((58, 68), (80, 89), 600),
    "a_pans": ((91, 94), (82, 88), 600),
    "b_pans": ((93, 96), (70, 76), 400),
    "c_pans": ((95, 98), (54, 61), 900),
    "a_molasses_tanks": ((66, 85), (64, 72), 300),
    "b_molasses_tanks": ((66, 88), (46, 54), 300),
    "magma_mixers": ((86, 94), (79, 95), 150),
    "remelt_tank": ((58, 70), (84, 94), 150),
}


def _weights() -> list[Measure]:
    return [
        Measure(
            name, title, name, STREAMS[name].station, "weight", unit, decimals, usual, hard, grain,
            due=name not in _OPTIONAL_WEIGHTS,
        )
        for name, (title, unit, decimals, usual, hard, grain) in _WEIGHTS.items()
    ] + [
        Measure(
            "crushing_hours", "Hours crushing", "cane", "milling", "hours", "h", 2,
            (6, 12), (0, 13), SHIFT,
        )
    ]  # fmt: skip


def _analyses() -> list[Measure]:
    found = []
    for stream, (grain, carrier, properties) in _ANALYSES.items():
        for marked, (usual, hard) in properties.items():
            prop = marked.rstrip("?")
            words, unit, decimals, _ = PROPERTIES[prop]
            found.append(
                Measure(
                    f"{stream}_{prop}", f"{STREAMS[stream].title}, {words}", stream,
                    STREAMS[stream].station, prop, unit, decimals, usual, hard, grain, carrier,
                    due=not marked.endswith("?"),
                )
            )  # fmt: skip
    return found


def _stock() -> list[Measure]:
    found = []
    for vessel, (brix, purity, most) in _CONTENTS.items():
        usual = {
            "volume": (0, most), "temperature": (25, 105), "brix": brix, "purity": purity,
        }  # fmt: skip
        for prop, expected in usual.items():
            words, unit, decimals, hard = PROPERTIES[prop]
            found.append(
                Measure(
                    f"{vessel}_{prop}", f"{VESSELS[vessel]}, {words}", vessel, "stock", prop,
                    unit, decimals, expected, hard, DAY,
                )
            )  # fmt: skip
    return found


MEASURES: dict[str, Measure] = {m.name: m for m in (*_weights(), *_analyses(), *_stock())}


# What a laboratory is asked for where it lacks; the purity of last expressed juice is often all
# that is known of that juice.
ASKED = frozenset(m.name for m in MEASURES.values() if m.due) | {"last_expressed_juice_purity"}

# What a file for `compute` may also hold: any of these analyses of any stream that has others.
EXTRA_PROPERTIES = (
    "brix", "pol", "purity", "moisture", "ph", "colour", "suspended_solids", "reducing_sugars",
    "ash",
)  # fmt: skip
