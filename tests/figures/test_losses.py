"""What is inverted while juice is hot, and what goes with the vapour, made forwards and found."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from app.chemistry.density import sucrose_solution_density
from app.compute import compute
from app.figures import FIGURES
from tests.figures.mills import plausible
from tests.figures.together import EXACT, found_in


def inverted(stages, minutes):
    """Sucrose inverted, %, step by step: each stage its brix, purity, hot pH and temperature.

    Vukov's rate as Arrhenius has it, with 108.55 kJ/mol; density as ours, to 100 °C.
    """
    left = 1.0
    for brix, purity, hot_ph, temperature in stages:
        density = float(sucrose_solution_density(brix, min(temperature, 100))) / 1000
        rest = density * (1 - brix * purity / 10_000)
        energy = 5670 * np.log(10) * 8.314462618
        rate = (
            10**16.91
            * rest
            * 10**-hot_ph
            * np.exp(-energy / (8.314462618 * (temperature + 273.15)))
        )
        solved = solve_ivp(
            lambda _, c, k=rate: -k * c, (0, minutes), [left], rtol=1e-10, atol=1e-14
        )
        left = solved.y[0, -1]
    return 100 * (1 - left)


# The solver keeps ten digits of what is left: some 1e-8 % of the sucrose is its own error.
@plausible
@given(
    st.floats(12, 18), st.floats(80, 88), st.floats(6, 7.5), st.floats(92, 104), st.floats(0.3, 4)
)
def test_inversion_in_clarifiers_is_first_order_in_sucrose(brix, purity, ph, temperature, hours):
    entered = {
        "clear_juice_brix": brix, "clear_juice_pol": brix * purity / 100, "clear_juice_ph": ph,
        "limed_juice_temperature": temperature,
    }  # fmt: skip
    found = found_in(entered, clarifier_hold=hours, hot_ph_drop=0.4)
    expected = inverted([(brix, purity, ph - 0.4, temperature)], 60 * hours)
    assert found["clarifier_inversion_estimate"] == pytest.approx(expected, abs=1e-8)


@plausible
@given(st.floats(12, 16), st.floats(80, 88), st.floats(5, 7.2), st.floats(65, 80), st.floats(1, 60))
def test_inversion_at_sulphitation_is_first_order_in_sucrose(
    brix, purity, ph, temperature, minutes
):
    entered = {
        "mixed_juice": 1000, "mixed_juice_brix": brix, "mixed_juice_pol": brix * purity / 100,
        "sulphited_juice_ph": ph, "sulphited_juice_temperature": temperature,
    }  # fmt: skip
    found = found_in(entered, sulphited_juice_hold=minutes, hot_ph_drop=0.4)
    expected = inverted([(brix, purity, ph - 0.4, temperature)], minutes)
    assert found["sulphitation_inversion_estimate"] == pytest.approx(expected, abs=1e-8)
    assert np.isnan(found_in(entered)["sulphitation_inversion_estimate"])


@plausible
@given(st.floats(80, 88), st.floats(6.8, 7.4), st.floats(0, 0.8), st.floats(2, 20))
def test_inversion_in_the_evaporator_is_that_of_its_effects_one_after_another(
    purity, ph, drop, minutes
):
    brix, temperature = (19.0, 26.0, 38.0, 64.0), (111.0, 102.0, 88.0, 60.0)
    entered = {
        "clear_juice_brix": 15, "clear_juice_pol": 15 * purity / 100, "clear_juice_ph": ph,
        "syrup_ph": ph - drop,
    }  # fmt: skip
    for n in range(4):
        entered |= {f"effect_{n + 1}_brix": brix[n], f"effect_{n + 1}_temperature": temperature[n]}
    found = found_in(entered, effect_hold=minutes, hot_ph_drop=0.45)
    stages = [(brix[n], purity, ph - drop * (n + 1) / 4 - 0.45, temperature[n]) for n in range(4)]
    expected = inverted(stages, minutes)
    assert found["evaporator_inversion_estimate"] == pytest.approx(expected, abs=1e-8)


# What stays in a clarifier is the mill's own: no number of ours stands for it.
def test_without_a_stated_hold_there_is_no_estimate():
    entered = {
        "clear_juice_brix": 15, "clear_juice_pol": 12.8, "clear_juice_ph": 7, "syrup_ph": 6.5,
        "limed_juice_temperature": 100,
    }  # fmt: skip
    for n in range(4):
        entered |= {
            f"effect_{n + 1}_brix": 20 + 12 * n,
            f"effect_{n + 1}_temperature": 110 - 15 * n,
        }
    names = ("clarifier_inversion_estimate", "evaporator_inversion_estimate")
    held = found_in(entered, clarifier_hold=1, effect_hold=3)
    assert all(held[name] > 0 for name in names)
    assert all(np.isnan(found_in(entered)[name]) for name in names)


# The constant of the rate as the page prints it: log₁₀ k = 16.91 + log₁₀(d - c) - 5670 ÷ T - pH.
@pytest.mark.parametrize("place", ["clarifier", "sulphitation", "evaporator"])
def test_an_auditor_reads_how_the_rate_of_inversion_is_reckoned(place):
    formula = FIGURES[f"{place}_inversion_estimate"].formula
    assert "log₁₀ k = 16.91 + log₁₀(d - c) - 5670 ÷ T - pH" in formula


# By hand: 10 mg/kg of sugar in 10 t of water is 100 g; of 135 kg of pol that is 0.0741 %.
def test_ten_milligrams_in_ten_tonnes_of_water_per_tonne_cane():
    entered = {
        "cane": 1000, "pol_in_cane": 135, "condenser_outlet": 10_000,
        "condenser_outlet_sugar_trace": 12, "condenser_inlet_sugar_trace": 2,
    }  # fmt: skip
    figures = compute({"measures": entered})["figures"]
    assert figures["condenser_water_per_cane"]["value"] == pytest.approx(10, **EXACT)
    assert figures["pol_entrained"]["value"] == pytest.approx(0.1, **EXACT)
    assert figures["entrainment_loss"]["value"] == pytest.approx(0.0741, abs=5e-5, rel=0)


@plausible
@given(st.floats(5000, 40_000), st.floats(0, 10), st.floats(0.001, 0.5), st.floats(100, 400))
def test_sugar_carried_over_is_found_in_the_condenser_water(water, before, carried, pol):
    entered = {
        "condenser_outlet": water, "condenser_inlet_sugar_trace": before,
        "condenser_outlet_sugar_trace": before + 1e6 * carried / water,
    }  # fmt: skip
    figures = compute({"measures": entered | {"pol_in_cane": pol}})["figures"]
    assert figures["pol_entrained"]["value"] == pytest.approx(carried, rel=1e-9)
    assert figures["entrainment_loss"]["value"] == pytest.approx(100 * carried / pol, rel=1e-9)


def test_no_entrainment_without_both_analyses():
    entered = {"condenser_outlet": 10_000, "condenser_outlet_sugar_trace": 12}
    figures = compute({"measures": entered})["figures"]
    assert figures["pol_entrained"]["value"] is None
    assert figures["pol_entrained"]["missing"] == ["condenser_inlet_sugar_trace"]
