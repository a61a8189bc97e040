"""A small multiple-effect evaporator made forwards and found again."""

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from hypothesis import given
from hypothesis import strategies as st

from app.compute import compute
from tests.figures.mills import plausible
from tests.figures.together import EXACT, NONE, found_in, shifts

STEAM, HOURS = 122.0, 8.0


def boiling_pressure(temperature: float) -> float:
    """Pressure of saturated steam, Pa, by the library."""
    return PropsSI("P", "T", temperature + 273.15, "Q", 1, "IF97::Water")


def latent_heat(temperature: float) -> float:
    """Latent heat, kJ/kg, by the library."""
    pressure = boiling_pressure(temperature)
    vapour, water = (PropsSI("H", "P", pressure, "Q", q, "IF97::Water") for q in (1, 0))
    return (vapour - water) / 1000


@st.composite
def evaporators(draw):
    """Surfaces and heat transfer of 1 to 6 effects, and the juice that comes to them."""
    size = draw(st.integers(1, 6))
    each = st.lists(st.floats(0.7, 1.3), min_size=size, max_size=size)
    return {
        "juice": draw(st.floats(700, 2500)), "brix": draw(st.floats(12, 16)),
        "syrup_brix": draw(st.floats(55, 70)), "cane": draw(st.floats(600, 2600)),
        "split": np.array(draw(each)), "transfer": 2200 * np.array(draw(each)),
    }  # fmt: skip


def run(made_of):
    """Let the juice through: what instruments find, the conventions, and the truth."""
    size, juice = len(made_of["split"]), made_of["juice"]
    water = juice * (1 - made_of["brix"] / made_of["syrup_brix"])
    each = water * made_of["split"] / made_of["split"].sum()
    flow, solids, heating = juice, juice * made_of["brix"] / 100, STEAM
    entered = {
        "cane": made_of["cane"], "crushing_hours": HOURS, "clear_juice": juice,
        "clear_juice_brix": made_of["brix"], "syrup_brix": made_of["syrup_brix"],
        "evaporator_steam": 1.05 * each[0], "evaporator_steam_temperature": STEAM,
    }  # fmt: skip
    surfaces = []
    for n, (gone, transfer) in enumerate(zip(each, made_of["transfer"], strict=True), 1):
        boiling = heating - 60 / size
        vapour = boiling - 1.5
        heat = gone * 1000 * latent_heat(vapour) / (HOURS * 3600)  # kW
        surfaces.append(1000 * heat / (transfer * (heating - boiling)))
        flow, heating = flow - gone, vapour
        entered[f"effect_{n}_temperature"] = boiling
        entered[f"effect_{n}_vapour_temperature"] = vapour
        if n < size:  # the last effect's brix is that of syrup
            entered[f"effect_{n}_brix"] = 100 * solids / flow
    chosen = {f"effect_{n}_surface": surface for n, surface in enumerate(surfaces, 1)}
    return entered, chosen | {"evaporator_effects": size}, each


@plausible
@given(evaporators())
def test_an_evaporator_made_forwards_is_found_again(made_of):
    entered, chosen, water = run(made_of)
    found = found_in(entered, **chosen)
    heating = STEAM
    for n, gone in enumerate(water, 1):
        effect = {name: found[f"effect_{n}_{name}"] for name in (
            "water_evaporated", "evaporation_share", "specific_evaporation",
            "evaporation_coefficient", "dessin_coefficient", "coefficient_on_dessin",
            "heat_transfer",
        )}  # fmt: skip
        per_surface = 1000 * gone / (chosen[f"effect_{n}_surface"] * HOURS)
        coefficient = per_surface / (60 / len(water))
        leaving = entered.get(f"effect_{n}_brix", made_of["syrup_brix"])
        expected = 0.001 * (100 - leaving) * (heating - 54)
        assert effect["water_evaporated"] == pytest.approx(gone, rel=1e-9)
        assert effect["evaporation_share"] == pytest.approx(100 * gone / water.sum(), rel=1e-9)
        assert effect["specific_evaporation"] == pytest.approx(per_surface, rel=1e-9)
        assert effect["evaporation_coefficient"] == pytest.approx(coefficient, rel=1e-9)
        assert effect["dessin_coefficient"] == pytest.approx(expected, rel=1e-9)
        ratio = 100 * coefficient / expected
        assert effect["coefficient_on_dessin"] == pytest.approx(ratio, rel=1e-9)
        # both work steam out by IAPWS-IF97
        assert effect["heat_transfer"] == pytest.approx(made_of["transfer"][n - 1], rel=1e-9)
        heating = entered[f"effect_{n}_vapour_temperature"]
    assert all(np.isnan(found[f"effect_{n}_water_evaporated"]) for n in range(len(water) + 1, 7))


@plausible
@given(evaporators())
def test_the_set_takes_off_what_its_effects_take_off(made_of):
    entered, chosen, water = run(made_of)
    found = found_in(entered, **chosen)
    every = [found[f"effect_{n}_water_evaporated"] for n in range(1, len(water) + 1)]
    assert found["water_evaporated"] == pytest.approx(sum(every), rel=1e-9)
    assert found["water_evaporated"] == pytest.approx(water.sum(), rel=1e-9)
    assert found["evaporation_on_cane"] == pytest.approx(
        100 * water.sum() / made_of["cane"], rel=1e-9
    )
    total = sum(chosen[f"effect_{n}_surface"] for n in range(1, len(water) + 1))
    assert found["evaporator_surface"] == pytest.approx(total, rel=1e-9)
    weighted = sum(
        found[f"effect_{n}_specific_evaporation"] * chosen[f"effect_{n}_surface"]
        for n in range(1, len(water) + 1)
    )
    assert found["specific_evaporation"] == pytest.approx(weighted / total, rel=1e-9)


@plausible
@given(evaporators())
def test_syrup_holds_the_solids_of_clear_juice(made_of):
    entered, chosen, _ = run(made_of)
    found = found_in(entered, **chosen)
    solids = found["syrup"] * made_of["syrup_brix"] / 100
    assert solids == pytest.approx(found["brix_in_clear_juice"], rel=1e-9)
    per_hundred = found["clear_juice_on_cane"] - found["evaporation_on_cane"]
    assert found["syrup_on_cane"] == pytest.approx(per_hundred, rel=1e-9)
    left = 100 * found["syrup"] / found["clear_juice"]
    assert found["evaporation_on_clear_juice"] == pytest.approx(100 - left, rel=1e-9)


# Each tonne of steam raises 1/1.05 t in the first effect, and alike in all: N/1.05, 95 % of N.
@plausible
@given(evaporators())
def test_without_bleeding_economy_is_somewhat_under_the_number_of_effects(made_of):
    size = len(made_of["split"])
    entered, chosen, water = run(made_of | {"split": np.ones(size)})
    found = found_in(entered, **chosen)
    assert found["steam_economy"] == pytest.approx(size / 1.05, rel=1e-9)
    assert found["steam_economy_per_effect"] == pytest.approx(100 / 1.05, rel=1e-9)
    steam = found["evaporator_steam_on_cane"] * made_of["cane"] / 100
    assert steam == pytest.approx(1.05 * water[0], rel=1e-9)


def test_a_surface_that_is_not_stated_gives_no_rate():
    entered = {
        "cane": 1000, "crushing_hours": 8, "clear_juice": 1000, "clear_juice_brix": 15,
        "effect_1_brix": 30, "syrup_brix": 60,
    }  # fmt: skip
    found = found_in(entered, evaporator_effects=2, effect_1_surface=2000)
    assert found["effect_1_specific_evaporation"] == pytest.approx(500 * 1000 / (2000 * 8))
    assert np.isnan(found["effect_2_specific_evaporation"])
    assert np.isnan(found["specific_evaporation"])


def test_effects_analysed_once_a_day_share_the_water_of_all_its_shifts():
    found = shifts(
        {
            "cane": [900, 1000, 1100], "clear_juice": [900, 1000, 1100],
            "clear_juice_brix": [15, 15, 15], "syrup_brix": [60, 60, 60],
            "effect_1_brix": [NONE, NONE, 20],
        },
        [0, 0, 0],
        evaporator_effects=2,
    )  # fmt: skip
    # 3000 t at 15 °Bx give 2250 t of steam; to 20 °Bx a quarter of 3000 t
    assert found["effect_1_water_evaporated"] == pytest.approx(750, **EXACT)
    assert found["effect_2_water_evaporated"] == pytest.approx(1500, **EXACT)


def test_an_effect_between_without_brix_is_named():
    entered = {"clear_juice_brix": 15, "syrup_brix": 60, "effect_1_brix": 20, "effect_2_brix": 25}
    figures = compute({"measures": entered})["figures"]
    # by hand: (1/20 - 1/25) ÷ (1/15 - 1/60) = 0.01 ÷ 0.05
    assert figures["effect_2_evaporation_share"]["value"] == pytest.approx(20)
    assert figures["effect_3_evaporation_share"]["missing"] == ["effect_3_brix"]


def activity(brix: float, kelvin: float) -> float:
    """Water activity of Starzak and Peacock, written again on moles in 100 g."""
    sugar, water = brix / 342.297, (100 - brix) / 18.01528
    x = sugar / (sugar + water)
    return (1 - x) * np.exp(
        -17638.0 / (8.314462618 * kelvin) * x**2 * (1 - 1.0038 * x - 0.24653 * x**2)
    )


# At its boiling point syrup has the vapour pressure of its vapour; a part in 1e9 is 3e-8 K.
@plausible
@given(st.floats(50, 74), st.floats(48, 65), st.floats(0, 3))
def test_syrup_boils_where_its_vapour_pressure_is_that_above_it(brix, vapour, head):
    first = found_in({"syrup_brix": brix, "effect_4_vapour_temperature": vapour})
    elevation = first["syrup_boiling_point_elevation"]
    boiling = vapour + elevation
    above = activity(brix, boiling + 273.15) * boiling_pressure(boiling)
    assert above == pytest.approx(boiling_pressure(vapour), rel=1e-9)
    found = found_in({
        "syrup_brix": brix, "effect_4_vapour_temperature": vapour,
        "effect_4_temperature": boiling + head,
    })  # fmt: skip
    assert found["last_effect_head"] == pytest.approx(head, abs=1e-9)
