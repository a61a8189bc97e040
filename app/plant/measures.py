"""What is weighed or analysed: unit, decimals, usual range, hard limits, and how often.

Ranges are common practice of the trade, for warnings; hard limits are where a number can no longer
be that material at all.
"""

from dataclasses import dataclass
from decimal import Decimal

from app.language import _, decimal_sign
from app.plant import boiling_house, juice, milling, utilities
from app.plant.grains import DAY, SHIFT, WEEK, Range
from app.plant.readings import KINDS, READINGS, USUAL
from app.plant.samples import LAST, MEAN, SUM
from app.plant.streams import STREAMS
from app.plant.vessels import VESSELS

__all__ = ["DAY", "SHIFT", "WEEK"]

# readings that stay as they were from one weighing to the next
CARRIED = ("dish_mass", "paper_mass", "reading_temperature")

# weights of what is there at a time, which are not summed
COUNTED = ("cane_in_yard", "sugar_in_store")


@dataclass(frozen=True)
class Measure:
    """One thing that is weighed or analysed.

    `stream` is a stream or a vessel; `prop` "weight", "brix", "pol" …; `grain` how often it is
    taken: each shift, or once a day or week, on its last shift; `every` how many hours lie between
    its samples within a shift, 0 for one, and `rule` how those make the shift's result. `carrier`
    names the weight by which an analysis is averaged over a period, and is empty for a weight.
    `due` tells whether its absence is a gap: an optional analysis is not.
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
    every: int = 0
    rule: str = MEAN

    def side(self, value: Decimal | float) -> str:
        """Say on which side of the usual range `value` lies; nothing where it lies within."""
        low, high = self.usual
        if float(value) > high:
            return _("above the usual {limit}", limit=_limit(high))
        return _("below the usual {limit}", limit=_limit(low)) if float(value) < low else ""

    def direction(self, value: Decimal | float) -> int:
        """Tell whether `value` lies above the usual range, 1, below it, -1, or within, 0."""
        low, high = self.usual
        return (float(value) > high) - (float(value) < low)

    @property
    def may_be_carried(self) -> bool:
        """Whether what stood before may be entered again: a tare, never what is measured anew."""
        return self.prop in CARRIED


def _limit(value: float) -> str:
    return f"{value:g}".replace(".", decimal_sign())


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
    "sucrose": ("sucrose", "%", 2, (0, 100)),
    "phosphate": ("phosphate, as P₂O₅", "mg/kg", 0, (0, 3000)),
    "sulphur_dioxide": ("sulphur dioxide", "mg/kg", 0, (0, 5000)),
    "calcium_oxide": ("lime salts, as CaO", "mg/L", 0, (0, 10_000)),
    "turbidity": ("turbidity", "NTU", 0, (0, 10_000)),
    "extraneous_matter": ("extraneous matter", "%", 1, (0, 60)),
    "available": ("available lime", "%", 1, (0, 100)),
    "temperature": ("temperature", "°C", 1, (0, 150)),
    "vapour_temperature": ("vapour", "°C", 1, (0, 150)),
    "cooled_temperature": ("temperature, cooled", "°C", 1, (0, 100)),
    "reheated_temperature": ("temperature, reheated", "°C", 1, (0, 100)),
    "pressure": ("pressure above atmosphere", "bar", 1, (0, 150)),
    "oxygen": ("oxygen", "% vol.", 1, (0, 21)),
    "grain_size": ("mean aperture", "mm", 2, (0, 5)),
    "grain_variation": ("coefficient of variation", "%", 0, (0, 200)),
    "open_cells": ("preparation index", "%", 1, (0, 100)),
    "chemical_oxygen_demand": ("chemical oxygen demand", "mg/L", 0, (0, 500_000)),
    "biochemical_oxygen_demand": ("biochemical oxygen demand, 5 days", "mg/L", 0, (0, 300_000)),
    "suspended_matter": ("suspended matter", "mg/L", 0, (0, 200_000)),
    "sugar_trace": ("sugar trace", "mg/kg", 0, (0, 10_000)),
    "volume": ("volume", "m³", 1, (0, 5000)),
}

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


_PARTS = (milling, juice, boiling_house, utilities)


def _due(marked: str) -> tuple[str, bool]:
    return marked.rstrip("?"), not marked.endswith("?")


def _weights() -> list[Measure]:
    return [
        Measure(
            name, title, name, STREAMS[name].station, "weight", unit, decimals, usual, hard, grain,
            due=due, rule=LAST if name in COUNTED else SUM,
        )
        for part in _PARTS
        for marked, (title, unit, decimals, usual, hard, grain) in part.WEIGHTS.items()
        for name, due in [_due(marked)]
    ]  # fmt: skip


def _amounts() -> list[Measure]:
    return [
        Measure(
            name, title, stream, STREAMS[stream].station, prop, unit, decimals, usual, hard, grain,
            due=due, rule=SUM,
        )
        for part in (milling, boiling_house, utilities)
        for marked, amount in part.AMOUNTS.items()
        for stream, prop, title, unit, decimals, usual, hard, grain in [amount]
        for name, due in [_due(marked)]
    ]  # fmt: skip


def title_of_stream(measure: Measure) -> str:
    """Return what the stream or vessel of a measure is called."""
    return VESSELS.get(measure.stream) or STREAMS[measure.stream].title


def words_of_property(measure: Measure) -> str:
    """Return what is measured of it, in words."""
    return (PROPERTIES.get(measure.prop) or KINDS[measure.prop])[0]


def _analyses() -> list[Measure]:
    return [
        _analysis(stream, marked, ranges, grain, carrier)
        for part in _PARTS
        for stream, (grain, carrier, properties) in part.ANALYSES.items()
        for marked, ranges in properties.items()
    ]


def _analysis(
    stream: str, marked: str, ranges: tuple[Range, Range], grain: str, carrier: str
) -> Measure:
    prop, due = _due(marked)
    words, unit, decimals, _ = PROPERTIES[prop]
    return Measure(
        f"{stream}_{prop}", f"{STREAMS[stream].title}, {words}", stream, STREAMS[stream].station,
        prop, unit, decimals, *ranges, grain, carrier, due=due,
    )  # fmt: skip


def _readings(analyses: list[Measure]) -> list[Measure]:
    """Return the readings that a result may follow from, each taken as often as the result."""
    found: dict[str, Measure] = {}
    for result in analyses:
        for name in READINGS.get(result.name, ()):
            prop = name.removeprefix(f"{result.stream}_")
            words, unit, decimals, usual, hard = KINDS[prop]
            found[name] = Measure(
                name, f"{STREAMS[result.stream].title}, {words}", result.stream, result.station,
                prop, unit, decimals, USUAL.get(name, usual), hard, result.grain, due=False,
            )  # fmt: skip
    return list(found.values())


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
                    unit, decimals, expected, hard, DAY, rule=LAST,
                )
            )  # fmt: skip
    return found


_ANALYSED = _analyses()
MEASURES: dict[str, Measure] = {
    m.name: m for m in (*_weights(), *_amounts(), *_ANALYSED, *_stock(), *_readings(_ANALYSED))
}


# What a laboratory is asked for where it lacks; the purity of last expressed juice is often all
# that is known of that juice.
ASKED = frozenset(m.name for m in MEASURES.values() if m.due) | {"last_expressed_juice_purity"}

# What a file for `compute` may also hold: any of these analyses of any stream that has others.
EXTRA_PROPERTIES = (
    "brix", "pol", "purity", "moisture", "ph", "colour", "suspended_solids", "reducing_sugars",
    "ash", "sucrose",
)  # fmt: skip

# outside these a number can no longer be that measure
HARD: dict[str, Range] = {m.name: m.hard for m in MEASURES.values()}

# the weight that each analysis is averaged by
CARRIERS: dict[str, str] = {m.name: m.carrier for m in MEASURES.values() if m.carrier}
