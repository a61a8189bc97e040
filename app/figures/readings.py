"""Results that follow from what an instrument showed, where the result itself was not entered.

What is entered as a result stands; the readings beside it are kept. A result of readings has its
formula and its source as a figure has, and the conventions of the method in force.
"""

from collections.abc import Callable, Mapping
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from app.chemistry.analysis import moisture_by_drying, suspended_solids_by_drying
from app.chemistry.polarimetry import (
    DRY_CLARIFICATION,
    NORMAL_WEIGHT,
    WATER_IN_AIR,
    WET_CLARIFICATION,
    direct_analysis,
    pol_of_bagasse,
    pol_of_filter_cake,
    pol_of_undiluted,
    polarization_at_20,
)
from app.chemistry.refractometry import brix_at_20
from app.chemistry.steam import saturation_temperature
from app.figures.declare import ENTERED, FIGURES, Figure, Values, Way
from app.figures.effects import EFFECTS
from app.figures.evaluate import Conventions, Ways, calculation, first_that_works
from app.figures.sources import COMMON_PRACTICE, DEFINITION, FROM_MEMORY, READ, Source

UNDILUTED = (
    "first_expressed_juice", "last_expressed_juice", "mixed_juice", "clear_juice", "filtrate",
)  # fmt: skip
SYRUPS = ("syrup", "clarified_syrup")
THICK = (
    "a_massecuite", "b_massecuite", "c_massecuite", "a_molasses", "b_molasses", "b_magma",
    "c_magma", "remelt", "final_molasses",
)  # fmt: skip

SUGAR_SCALE = Source("International Sugar Scale (ICUMSA), on densities of SPS-4", READ)
TABLE_1936 = Source("International temperature corrections of 1936 (AOAC 932.14)", FROM_MEMORY)
TABLE_1974 = Source("Temperature corrections on the basis of 1974 (OIV)", READ)
DISINTEGRATOR = Source("mass balance of the extract of a wet disintegrator", COMMON_PRACTICE)
POLARIZATION = Source("ICUMSA form: R × (1 + k × (t - 20))", FROM_MEMORY)
STEAM = Source("IAPWS-IF97", READ)

# end of a result's name: its unit and decimals; of any other, percent
UNITS = {"brix": ("°Bx", 2), "temperature": ("°C", 1)}

RESULTS: dict[str, Figure] = {}


Listed = tuple[Callable[..., Values], tuple[str, ...], str, Mapping[str, tuple[str, ...]]]


def _result(name: str, source: Source, note: str, *ways: Listed) -> None:
    unit, decimals = UNITS.get(name.rpartition("_")[2], ("%", 2))
    RESULTS[name] = Figure(
        ENTERED + name, name.replace("_", " "), unit, decimals, "result", "", source, note,
        ways=[Way(run, inputs, when, said) for run, inputs, said, when in ways],
    )  # fmt: skip


def _as_read(reading: Values, dilution: Values | float = 1.0) -> Values:
    return reading * _stated(dilution)


def _stated(dilution: Values | float) -> Values:
    """A dilution of 0 is not stated: nothing follows from it."""
    return np.where(np.asarray(dilution) > 0, dilution, np.nan)


def _by_1936(reading: Values, temperature: Values, dilution: Values | float = 1.0) -> Values:
    return brix_at_20(reading, temperature, table="1936") * _stated(dilution)


def _by_1974(reading: Values, temperature: Values, dilution: Values | float = 1.0) -> Values:
    return brix_at_20(reading, temperature, table="1974") * _stated(dilution)


def _dry(reading: Values, brix: Values, dilution: Values | float = 1.0) -> Values:
    times = _stated(dilution)
    return pol_of_undiluted(reading, brix / times, DRY_CLARIFICATION) * times


def _wet(reading: Values, brix: Values, dilution: Values | float = 1.0) -> Values:
    times = _stated(dilution)
    return pol_of_undiluted(reading, brix / times, WET_CLARIFICATION) * times


def _brix_and_pol(stream: str, dilution: tuple[str, ...]) -> None:
    entered = f"{ENTERED}{stream}"
    read = (f"{entered}_refractometer_reading",)
    warm = (*read, f"{entered}_reading_temperature")
    times = " × dilution" if dilution else ""
    _result(
        f"{stream}_brix", TABLE_1936,
        "Brix by refractometer at 20 °C, of the sample before it was diluted.",
        (_as_read, (*read, *dilution), f"reading{times}",
         {"refractometer_correction": ("by the instrument",)}),
        (_by_1936, (*warm, *dilution), f"(reading + correction of 1936){times}",
         {"refractometer_correction": ("by the table of 1936",)}),
        (_by_1974, (*warm, *dilution), f"(reading + correction of 1974){times}",
         {"refractometer_correction": ("by the table of 1974",)}),
    )  # fmt: skip
    pol = (f"{entered}_polarimeter_reading", f"{entered}_brix", *dilution)
    _result(
        f"{stream}_pol", SUGAR_SCALE,
        "Pol from the polarimeter and the brix of what was read: 26 g in 100 mL turn 100 °Z.",
        (_dry, pol, f"26 × reading ÷ (99.718 × specific gravity){times}",
         {"juice_clarified": ("dry",)}),
        (_wet, pol, f"1.1 × 26 × reading ÷ (99.718 × specific gravity){times}",
         {"juice_clarified": ("wet",)}),
    )  # fmt: skip


for _stream in UNDILUTED:
    _brix_and_pol(_stream, ())
for _stream in SYRUPS:
    _brix_and_pol(_stream, ("syrup_dilution",))
for _stream in THICK:
    _brix_and_pol(_stream, ("massecuite_dilution",))


def _pure_extract(reading: Values) -> Values:
    """Brix of an extract so thin that its purity does not count: that of its pol."""
    return NORMAL_WEIGHT / WATER_IN_AIR * reading


def _bagasse(reading: Values, moisture: Values, water: Values) -> Values:
    return pol_of_bagasse(
        reading, _pure_extract(reading), moisture, water,
        dissolved_solids=0.0, fibre=0.0, brix_free_water=0.0,
    )  # fmt: skip


def _bagasse_less_water_of_fibre(
    reading: Values, moisture: Values, water: Values, free: Values, purity: Values
) -> Values:
    pol = pol_of_undiluted(reading, _pure_extract(reading), DRY_CLARIFICATION)
    return direct_analysis(100 * pol / purity, pol, moisture, water, brix_free_water=free).pol


def _cake(reading: Values, insolubles: Values) -> Values:
    return pol_of_filter_cake(reading, insolubles)


def _sugar(reading: Values, coefficient: Values) -> Values:
    # made up and read at 20 °C, or on an instrument that compensates
    return np.where(coefficient == 0, reading, np.nan)


def _sugar_at_20(reading: Values, temperature: Values, coefficient: Values) -> Values:
    return polarization_at_20(reading, temperature, coefficient)


_result(
    "bagasse_pol", DISINTEGRATOR, "Pol of bagasse from its cold extract, read in 200 mm.",
    (_bagasse,
     ("entered_bagasse_polarimeter_reading", "entered_bagasse_moisture", "bagasse_water"),
     "pol of extract × (water + moisture) ÷ 100", {"bagasse_extract": ("water and moisture",)}),
    (_bagasse_less_water_of_fibre,
     ("entered_bagasse_polarimeter_reading", "entered_bagasse_moisture", "bagasse_water",
      "brix_free_water", "residual_juice_fixed_purity"),
     "pol of extract × (water + moisture + brix - brix-free water) ÷ 100",
     {"bagasse_extract": ("less brix-free water",)}),
)  # fmt: skip
_result(
    "filter_cake_pol", SUGAR_SCALE, "Pol of filter cake: 50 g made up to 200 mL, read in 200 mm.",
    (_cake, ("entered_filter_cake_polarimeter_reading", "cake_insolubles"),
     "26 × reading × (200 - insolubles) ÷ (100 × 50)", {}),
)  # fmt: skip
_result(
    "sugar_pol", POLARIZATION, "Polarization of the normal weight of sugar, at 20 °C.",
    (_sugar, ("entered_sugar_polarimeter_reading", "polarization_coefficient"), "reading", {}),
    (_sugar_at_20,
     ("entered_sugar_polarimeter_reading", "entered_sugar_reading_temperature",
      "polarization_coefficient"),
     "reading × (1 + k × (temperature - 20))", {}),
)  # fmt: skip
for _stream in ("bagasse", "filter_cake", "sugar"):
    _result(
        f"{_stream}_moisture", DEFINITION, "Moisture: what drying takes away.",
        (moisture_by_drying,
         tuple(f"{ENTERED}{_stream}_{mass}" for mass in ("dish_mass", "wet_mass", "dried_mass")),
         "100 × (wet - dried) ÷ (wet - dish)", {}),
    )  # fmt: skip
_result(
    "mixed_juice_suspended_solids", DEFINITION, "What a filter holds of the juice, dried.",
    (suspended_solids_by_drying,
     tuple(f"{ENTERED}mixed_juice_{m}" for m in ("paper_mass", "residue_mass", "sample_mass")),
     "100 × (residue - paper) ÷ sample", {}),
)  # fmt: skip

for _n in EFFECTS:
    _result(
        f"effect_{_n}_vapour_temperature", STEAM,
        "Temperature of the vapour, which is saturated: it follows from its absolute pressure, "
        "which is that of the air and what a gauge shows above it, or less what it shows below.",
        (saturation_temperature, (f"{ENTERED}effect_{_n}_vapour_pressure",),
         "temperature at which water boils under vapour pressure", {}),
    )  # fmt: skip

# moisture before the pol of bagasse, brix before pol
ORDER = tuple(sorted(RESULTS, key=lambda name: name.endswith("_pol")))


# the same on every row, or one a row
Limits = Mapping[str, tuple[float | Values, float | Values]]


def with_results(
    entered: Mapping[str, Values], conventions: Conventions, limits: Limits
) -> tuple[dict[str, Values], dict[str, Ways]]:
    """Return what was entered, each gap of a result filled from readings, and the ways taken.

    A number of -1 is for a row whose result was entered, or has no readings either. What lies
    outside its `limits`, or is more pol than brix, is no result.
    """
    results = dict(entered)
    ways: dict[str, Ways] = {}
    with calculation():
        for name in ORDER:
            result = RESULTS[name]
            reading = entered.get(result.ways[0].inputs[0].removeprefix(ENTERED))
            if reading is None or np.isnan(reading).all():
                continue
            known = {ENTERED + measure: column for measure, column in results.items()}
            found, taken = first_that_works(result, known, conventions)
            cannot_be = (taken >= 0) & ~_possible(name, found, results, limits)
            found, taken = np.where(cannot_be, np.nan, found), np.where(cannot_be, -1, taken)
            if (taken >= 0).any():
                results[name], ways[name] = found, taken
    return results, ways


def _possible(
    name: str, found: Values, results: Mapping[str, Values], limits: Limits
) -> NDArray[np.bool_]:
    low, high = limits.get(name, (-np.inf, np.inf))
    brix = results.get(f"{name.removesuffix('_pol')}_brix") if name.endswith("_pol") else None
    within = (found >= low) & (found <= high)
    return within if brix is None else within & ~(found > brix)


@lru_cache(maxsize=256)
def measures_of(names: tuple[str, ...]) -> tuple[str, ...]:
    """Return the measures that figures ask for, and the readings that give those."""
    asked = [i for name in names for way in FIGURES[name].ways for i in way.inputs]
    found = dict.fromkeys(i.removeprefix(ENTERED) for i in asked if i.startswith(ENTERED))
    for result in [RESULTS[name] for name in found if name in RESULTS]:
        read = [i for way in result.ways for i in way.inputs if i.startswith(ENTERED)]
        found |= dict.fromkeys(i.removeprefix(ENTERED) for i in read)
    return tuple(found)
