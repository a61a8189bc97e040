import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.chemistry.solubility import (
    CHARLES,
    VAVRINECZ,
    charles_solubility,
    non_sucrose_per_water,
    saturation_coefficient,
    sucrose_per_water,
    sucrose_saturation_temperature,
    supersaturation,
    vavrinecz_solubility,
)
from app.chemistry.validity import OutOfRange, outside_is_nothing
from tests.examples import checks, published

RELATIONS = {"Vavrinecz": vavrinecz_solubility, "Charles": charles_solubility}


@pytest.mark.parametrize(
    "row",
    published("solubility_coefficients"),
    ids=lambda row: f"{row['relation']} {row['power']}",
)
def test_solubility_has_the_coefficients_remembered(row):
    terms = {"Vavrinecz 1962": VAVRINECZ, "Charles 1960": CHARLES}[row["relation"]]
    assert terms[int(row["power"])] == float(row["coefficient"]), row["source"]


# The check prints three decimals.
@pytest.mark.parametrize(
    "row",
    checks("solubility_equations"),
    ids=lambda row: f"{row['relation']} at {row['temperature']}",
)
def test_solubility_equals_the_equation_worked_out_apart(row):
    found = RELATIONS[row["relation"]](float(row["temperature"]))
    assert found == pytest.approx(float(row["sucrose"]), abs=0.00051), row["source"]


# Two fits to different measurements: 0.121 apart at most up to 80 °C. Agreement, not proof.
def test_the_two_equations_agree_up_to_80_degrees():
    temperature = np.linspace(0, 80, 161)
    apart = vavrinecz_solubility(temperature) - charles_solubility(temperature)
    assert np.abs(apart).max() < 0.13


# Herzfeld's solutions of 1892 were up to 0.5 g/100 g stronger than later ones in the cold, and up
# to 0.4 weaker when hot; between, his table and the equations cross.
@pytest.mark.parametrize(
    "row", published("solubility_herzfeld"), ids=lambda row: row["temperature"]
)
def test_solubility_agrees_with_the_table_of_1892_as_well_as_its_age_allows(row):
    temperature = float(row["temperature"])
    for relation in RELATIONS.values():
        assert relation(temperature) == pytest.approx(float(row["sucrose"]), abs=0.55), row[
            "source"
        ]


# Table less Charles runs smoothly: other points of it lie within 0.005 of a cubic through them all.
def test_misprinted_points_of_the_table_are_seen_against_the_equation():
    def excess(rows):
        temperature = np.array([float(row["temperature"]) for row in rows])
        return temperature, [float(row["sucrose"]) for row in rows] - charles_solubility(
            temperature
        )

    temperature, over = excess(published("solubility_herzfeld"))
    curve = np.polynomial.Polynomial.fit(temperature, over, 3)
    assert np.abs(over - curve(temperature)).max() < 0.01
    misprinted, wrong = excess(published("solubility_misprints"))
    assert (np.abs(wrong - curve(misprinted)) > 0.09).all()


# The check prints four decimals.
@pytest.mark.parametrize(
    "row",
    checks("saturation_coefficient_beet"),
    ids=lambda row: row["non_sucrose_per_water"],
)
def test_saturation_coefficient_equals_the_form_worked_out_apart(row):
    given_ = (row[name] for name in ("non_sucrose_per_water", "slope", "intercept", "decay"))
    found = saturation_coefficient(*map(float, given_))
    assert found == pytest.approx(float(row["coefficient"]), abs=5.1e-5), row["source"]


def test_sucrose_and_non_sucrose_share_the_water():
    # 80 g of solids of purity 75 in 20 g of water.
    assert sucrose_per_water(80, 75) == pytest.approx(3, abs=1e-12)
    assert non_sucrose_per_water(80, 75) == pytest.approx(1, abs=1e-12)


# By definition, but for rounding.
@given(st.floats(0, 100), st.floats(0.5, 2), st.sampled_from(list(RELATIONS.values())))
def test_a_solution_is_just_saturated_at_its_temperature_of_saturation(
    temperature, coefficient, relation
):
    sucrose = coefficient * sucrose_per_water(relation(temperature))
    assert supersaturation(sucrose, temperature, coefficient, relation) == pytest.approx(
        1, abs=1e-12
    )
    # At the very ends of the range a rounding would lie outside it.
    inside = np.clip(temperature, 1e-6, 100 - 1e-6)
    sucrose = coefficient * sucrose_per_water(relation(inside))
    found = sucrose_saturation_temperature(sucrose, coefficient, relation)
    assert found == pytest.approx(inside, abs=1e-8)


@given(st.floats(0, 99), st.floats(0.1, 1))
def test_cooling_supersaturates(temperature, cooler):
    for relation in RELATIONS.values():
        cold = supersaturation(2.5, temperature, solubility=relation)
        assert cold > supersaturation(2.5, temperature + cooler, solubility=relation)


def test_solubility_outside_its_range_is_refused():
    for relation in RELATIONS.values():
        with pytest.raises(OutOfRange):
            relation(101)
    with pytest.raises(OutOfRange):
        sucrose_saturation_temperature(1.5)
    with pytest.raises(OutOfRange):
        supersaturation(2, 50, 4)
    with pytest.raises(OutOfRange):
        saturation_coefficient(-0.1, 1, 1, 1)
    with outside_is_nothing():
        found = sucrose_saturation_temperature([1.5, 2.5, np.nan])
    assert np.isnan(found).tolist() == [True, False, True]


def test_supersaturation_takes_arrays_of_any_shape():
    found = supersaturation(np.array([[2.0], [3.0]]), np.array([40.0, 60.0, 80.0]))
    assert found.shape == (2, 3)
    assert found[1, 2] == pytest.approx(supersaturation(3, 80), rel=1e-12)
