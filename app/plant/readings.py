"""What an instrument shows before it is a result: readings that may be entered in its place."""

from app.plant.grains import Range
from app.plant.juice import MOST_EFFECTS

# of each kind: words, unit, decimals, usual and hard limits
KINDS: dict[str, tuple[str, str, int, Range, Range]] = {
    "polarimeter_reading": ("polarimeter", "°Z", 2, (0, 100), (-30, 120)),
    "refractometer_reading": ("refractometer", "°Bx", 2, (0, 70), (0, 95)),
    "reading_temperature": ("temperature of reading", "°C", 1, (15, 30), (0, 60)),
    "dish_mass": ("dish", "g", 4, (5, 200), (0, 5000)),
    "wet_mass": ("dish and wet sample", "g", 4, (10, 600), (0, 10_000)),
    "dried_mass": ("dish and dried sample", "g", 4, (5, 500), (0, 10_000)),
    "paper_mass": ("filter paper, dry", "g", 4, (0.5, 20), (0, 500)),
    "sample_mass": ("juice taken", "g", 1, (100, 2000), (1, 20_000)),
    "residue_mass": ("paper and dry residue", "g", 4, (0.5, 40), (0, 1000)),
    "vapour_pressure": ("vapour pressure, absolute", "kPa", 1, (10, 160), (1, 400)),
}

# usual readings that are known more narrowly
USUAL: dict[str, Range] = {
    "bagasse_polarimeter_reading": (0.4, 1.0),
    "filter_cake_polarimeter_reading": (0.8, 2.5),
    "sugar_polarimeter_reading": (97.5, 99.5),
    "last_expressed_juice_polarimeter_reading": (4.5, 18),
}

POLARIMETER = ("polarimeter_reading",)
REFRACTOMETER = ("refractometer_reading", "reading_temperature")
DRYING = ("dish_mass", "wet_mass", "dried_mass")
FILTERING = ("paper_mass", "sample_mass", "residue_mass")
SATURATED = ("vapour_pressure",)

UNDILUTED = (
    "first_expressed_juice", "last_expressed_juice", "mixed_juice", "clear_juice", "filtrate",
)  # fmt: skip
SYRUPS = ("syrup", "clarified_syrup")
THICK = (
    "a_massecuite", "b_massecuite", "c_massecuite", "a_molasses", "b_molasses", "b_magma",
    "c_magma", "remelt", "final_molasses",
)  # fmt: skip
EFFECTS = tuple(f"effect_{n}" for n in range(1, MOST_EFFECTS + 1))

# result: the readings it may follow from
READINGS: dict[str, tuple[str, ...]] = {
    f"{stream}_{prop}": tuple(f"{stream}_{reading}" for reading in readings)
    for streams, prop, readings in (
        ((*UNDILUTED, *SYRUPS, *THICK), "brix", REFRACTOMETER),
        ((*UNDILUTED, *SYRUPS, *THICK, "bagasse", "filter_cake"), "pol", POLARIMETER),
        (("sugar",), "pol", (*POLARIMETER, "reading_temperature")),
        (("bagasse", "filter_cake", "sugar"), "moisture", DRYING),
        (("mixed_juice",), "suspended_solids", FILTERING),
        (EFFECTS, "vapour_temperature", SATURATED),
    )
    for stream in streams
}

# reading: the results that may follow from it
SERVES: dict[str, tuple[str, ...]] = {
    reading: tuple(result for result, readings in READINGS.items() if reading in readings)
    for readings in READINGS.values()
    for reading in readings
}
