"""What is typed of the invented season: noise of hands and instruments, gaps, and a drifting scale.

From 2026-09-21 the mixed juice scale reads high, more every day, by 1.5 % on 2026-10-27. Bagasse,
by difference, then comes out too light and the undetermined loss too high: the fault to be found.
"""

from datetime import date

import numpy as np

from app.plant.measures import MEASURES, Measure

from .factory import SEED, SHIFTS, SHIFTS_A_DAY, Values
from .samples import due_measures, taken

FIRST_DAY = date(2026, 6, 1)
SCALE_DRIFTS_FROM, SCALE_DRIFTS_TO, SCALE_DRIFT = date(2026, 9, 21), date(2026, 10, 27), 0.015
LAST_WITHOUT_GAPS = 6  # shifts: the demonstration's yesterday is complete

# Standard deviation of one result: by property in its unit, or by weight in parts of it.
BY_PROPERTY = {
    "brix": 0.05, "pol": 0.06, "purity": 0.4, "moisture": 0.3, "ph": 0.04, "colour": 60,
    "suspended_solids": 0.04, "reducing_sugars": 0.25, "ash": 0.2, "temperature": 0.5,
    "open_cells": 0.5, "sugar_trace": 0.8, "vapour_temperature": 0.12, "cooled_temperature": 0.4,
    "reheated_temperature": 0.4, "pressure": 0.2, "oxygen": 0.2, "phosphate": 8, "sucrose": 0.03,
    "true_purity": 0.3, "grain_size": 0.012, "grain_variation": 0.8, "hours": 0,
}  # fmt: skip
BY_MEASURE = {
    "sugar_moisture": 0.01, "filter_cake_pol": 0.08, "filter_cake_moisture": 0.5,
    "syrup_pol": 0.15, "syrup_brix": 0.15, "clarified_syrup_pol": 0.15, "final_molasses_pol": 0.2,
    "mixed_juice_reducing_sugars": 0.015, "clear_juice_reducing_sugars": 0.015,
    "syrup_reducing_sugars": 0.06, "sugar_reducing_sugars": 0.012,
    "mixed_juice_ash": 0.012, "clear_juice_ash": 0.012, "syrup_ash": 0.05, "sugar_ash": 0.008,
    "mixed_juice_colour": 500, "clear_juice_colour": 350, "syrup_colour": 350,
    "mud_suspended_solids": 0.25, "filter_cake_suspended_solids": 0.35,
    "filtrate_suspended_solids": 0.06, "bagasse_sucrose": 0.01, "filter_cake_sucrose": 0.01,
    "final_molasses_sucrose": 0.15, "steam_temperature": 1.5,
    "flue_gas_temperature": 2.5, **{f"effect_{n}_temperature": 0.12 for n in range(1, 5)},
}  # fmt: skip
BY_WEIGHT = {
    "cane": 0.001, "imbibition": 0.005, "mixed_juice": 0.002, "lime": 0.01, "filter_cake": 0.02,
    "sugar": 0.0005, "final_molasses": 0.002, "steam": 0.01, "power": 0.002, "crushing_hours": 0,
    "filter_wash": 0.02, "flocculant": 0.01, "evaporator_steam": 0.01, "bagasse_burnt": 0.015,
    "cane_in_yard": 0, "sugar_in_store": 0,
    "power_sold": 0.003, "power_bought": 0.003, "condenser_outlet": 0.03,
}  # fmt: skip
OF_VOLUME = 0.01
HEAVY_BRIX = 0.2  # massecuites, magmas and molasses are weighed out and dissolved first


def due_texts(true: dict[str, Values]) -> dict[str, list[str]]:
    """Return what was rightly typed for each due measure, a text a shift, "" where nothing."""
    random = np.random.Generator(np.random.PCG64(SEED + 1))
    found = {}
    for measure in due_measures():
        texts = _texts(measure, true, random)
        if measure.carrier:
            _leave_gaps(texts, random)
        found[measure.name] = [
            text if due else "" for text, due in zip(texts, taken(measure), strict=True)
        ]
    return found


def chosen_texts(true: dict[str, Values], due: dict[str, list[str]]) -> dict[str, list[str]]:
    """Return what was typed of measures that are not `due`; what was not taken is left blank."""
    random = np.random.Generator(np.random.PCG64(SEED + 4))
    found = {}
    for name in (name for name in true if name not in due):
        texts = _texts(MEASURES[name], true | _sucrose_of_sample(name, true, due), random)
        found[name] = [
            "" if np.isnan(value) else text for text, value in zip(texts, true[name], strict=True)
        ]
    return found


def _sucrose_of_sample(
    name: str, true: dict[str, Values], due: dict[str, list[str]]
) -> dict[str, Values]:
    """Return sucrose as the sample had it whose pol was read, with the error of sampling."""
    stream, _, prop = name.rpartition("_")
    if prop != "sucrose":
        return {}
    pol = np.array([float(t) if t[:1].isdigit() else np.nan for t in due[f"{stream}_pol"]])
    of_sample = true[name] * pol / true[f"{stream}_pol"]
    return {name: np.where(np.isnan(of_sample), true[name], of_sample)}


def _spread(measure: Measure, true: Values) -> float | Values:
    if measure.name in BY_WEIGHT:
        return true * BY_WEIGHT[measure.name]
    if measure.prop == "volume":
        return true * OF_VOLUME
    if measure.prop == "brix" and measure.usual[0] >= 56:
        return BY_MEASURE.get(measure.name, HEAVY_BRIX)
    return BY_MEASURE.get(measure.name, BY_PROPERTY[measure.prop])


def _scale_drift() -> Values:
    """Return the factor by which the mixed juice scale reads too high on each shift."""
    began, full = ((day - FIRST_DAY).days for day in (SCALE_DRIFTS_FROM, SCALE_DRIFTS_TO))
    return np.interp(np.arange(SHIFTS) // SHIFTS_A_DAY, (began - 1, full), (1, 1 + SCALE_DRIFT))


def _texts(measure: Measure, true: dict[str, Values], random: np.random.Generator) -> list[str]:
    of_measure = true[measure.name]
    values = of_measure + random.normal(0, 1, SHIFTS) * _spread(measure, of_measure)
    if measure.name == "mixed_juice":
        values = values * _scale_drift()
    return [_text(measure, value) for value in values]


def _text(measure: Measure, value: float) -> str:
    if np.isnan(value):
        return "nd"
    if measure.prop == "sugar_trace" and value < 1:
        return "bd"
    return f"{max(value, 0):.{measure.decimals}f}"


def _leave_gaps(texts: list[str], random: np.random.Generator) -> None:
    """Leave 1 % of analyses blank and name 0.4 % as not measured or as an instrument's failure."""
    for shift, chance in enumerate(random.random(SHIFTS - SHIFTS_A_DAY - LAST_WITHOUT_GAPS)):
        if texts[shift] != "nd" and chance < 0.014:
            texts[shift] = "" if chance < 0.01 else "nm" if chance < 0.012 else "if"
