import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.chemistry.density import (
    SUCROSE_TERMS,
    WATER_DIVISOR,
    WATER_TERMS,
    apparent_density,
    apparent_specific_gravity,
    brix_from_density,
    brix_from_specific_gravity,
    specific_gravity,
    sucrose_solution_density,
    water_density,
)
from app.chemistry.validity import OutOfRange, outside_is_nothing
from tests.examples import checks, published


def handbook(at_least: float, at_most: float) -> list[dict[str, str]]:
    rows = published("density_handbook")
    return [row for row in rows if at_least <= float(row["brix"]) <= at_most]


# Half the last digit printed is 0.05 kg/m³; the older Plato basis of the table adds up to 0.15.
@pytest.mark.parametrize("row", handbook(0, 50), ids=lambda row: f"brix {row['brix']}")
def test_density_agrees_with_the_handbook_up_to_50_brix(row):
    found = sucrose_solution_density(float(row["brix"]), 20)
    assert found == pytest.approx(1000 * float(row["density"]), abs=0.2, rel=0), row["source"]


# The docstring says so; whether table or equation is nearer the truth is not known.
@pytest.mark.parametrize("row", handbook(70, 100), ids=lambda row: f"brix {row['brix']}")
def test_density_above_70_brix_reads_higher_than_the_handbook_by_what_is_said(row):
    excess = sucrose_solution_density(float(row["brix"]), 20) - 1000 * float(row["density"])
    assert 0.3 <= excess <= 0.9, row["source"]


# The table prints five decimals (0.000005); its older basis adds up to 0.00006.
@pytest.mark.parametrize(
    "row", published("specific_gravity"), ids=lambda row: f"brix {row['brix']}"
)
def test_density_over_that_of_water_agrees_with_the_specific_gravity_table(row):
    found = specific_gravity(float(row["brix"]))
    assert found == pytest.approx(float(row["specific_gravity"]), abs=7e-5, rel=0), row["source"]


def pounds_per_gallon_in_air(density: float) -> float:
    """Weight of a US gallon as weighed in air."""
    return apparent_density(density) * 0.003785411784 / 0.45359237


# The table goes in steps of 0.001 lb and differs from its own curve by nearly one of them.
@pytest.mark.parametrize(
    "row", published("weight_per_gallon"), ids=lambda row: f"brix {row['brix']}"
)
def test_density_agrees_with_the_weight_of_a_gallon_in_air(row):
    found = pounds_per_gallon_in_air(float(sucrose_solution_density(float(row["brix"]), 20)))
    assert found == pytest.approx(float(row["pounds"]), abs=0.001, rel=0), row["source"]


# The equation is on the temperature scale of 1968 and older water: 0.004 kg/m³ apart at 20 °C.
@pytest.mark.parametrize("row", published("water_density"), ids=lambda row: row["temperature"])
def test_water_agrees_with_the_standard_equation_of_state(row):
    found = water_density(float(row["temperature"]))
    assert found == pytest.approx(float(row["density"]), abs=0.005, rel=0), row["source"]


def test_water_is_densest_at_4_degrees():
    around = np.arange(0, 10.01, 0.01)
    assert around[np.argmax(water_density(around))] == pytest.approx(3.98, abs=0.05, rel=0)


# The check prints three decimals.
@pytest.mark.parametrize(
    "row",
    checks("density_equation"),
    ids=lambda row: f"brix {row['brix']} at {row['temperature']}",
)
def test_density_equals_the_equation_worked_out_apart(row):
    found = sucrose_solution_density(float(row["brix"]), float(row["temperature"]))
    assert found == pytest.approx(float(row["density"]), abs=0.001, rel=0), row["source"]


# Both copies print the same digits; one of them has -3.9646 for -3.9643, which moves 80 brix by
# 0.0001 kg/m³.
@pytest.mark.parametrize(
    "row",
    published("density_coefficients"),
    ids=lambda row: f"w{row['power_of_brix']} t{row['power_of_temperature']}",
)
def test_the_equation_has_the_printed_coefficients(row):
    term = SUCROSE_TERMS[int(row["power_of_brix"]), int(row["power_of_temperature"])]
    assert term == float(row["coefficient"]), row["source"]


@pytest.mark.parametrize("row", published("water_coefficients"), ids=lambda row: row["term"])
def test_the_equation_of_water_has_the_printed_coefficients(row):
    kind, power = row["term"]
    term = WATER_TERMS[int(power)] if kind == "n" else WATER_DIVISOR
    assert term == float(row["coefficient"]), row["source"]


# Plato's basis lies below the equation, by 0.0001 at 30 brix growing to 0.0005 at 80, as said.
@pytest.mark.parametrize("row", published("plato"), ids=lambda row: f"brix {row['brix']}")
def test_density_reads_higher_than_platos_table_by_what_is_said(row):
    densest_water = float(water_density(np.arange(3.9, 4.1, 0.001)).max())
    brix = float(row["brix"])
    excess = sucrose_solution_density(brix, 20) / densest_water - float(row["density"])
    limits = (0.5e-4, 1.1e-4) if brix <= 40 else (1.5e-4, 5.5e-4)
    assert limits[0] <= excess <= limits[1], row["source"]


# The check prints six decimals of g/mL, five of specific gravity.
@pytest.mark.parametrize(
    "row", checks("apparent_density"), ids=lambda row: f"{row['quantity']} of brix {row['brix']}"
)
def test_what_is_weighed_in_air_equals_what_was_worked_out_apart(row):
    brix, value = float(row["brix"]), float(row["value"])
    if row["quantity"] == "density":
        found = apparent_density(sucrose_solution_density(brix, 20))
        assert found == pytest.approx(1000 * value, abs=0.0005, rel=0), row["source"]
    else:
        found = apparent_specific_gravity(brix)
        assert found == pytest.approx(value, abs=5.01e-6, rel=0), row["source"]


# The trade's constant is 0.99718 g/mL; air and weights as agreed since give 0.003 % less.
def test_water_as_weighed_in_air_is_the_constant_of_the_trade():
    found = apparent_density(water_density(20))
    assert found == pytest.approx(997.18, abs=0.03, rel=0)


@given(brix=st.floats(0, 100), temperature=st.floats(0, 100))
def test_brix_comes_back_from_its_density(brix, temperature):
    density = sucrose_solution_density(brix, temperature)
    assert brix_from_density(density, temperature) == pytest.approx(brix, abs=1e-6, rel=0)


@given(brix=st.floats(0, 99.9))
def test_brix_comes_back_from_its_specific_gravity(brix):
    back = brix_from_specific_gravity(specific_gravity(brix))
    assert back == pytest.approx(brix, abs=1e-6, rel=0)


@given(brix=st.floats(0, 99), more=st.floats(1e-3, 1), temperature=st.floats(0, 100))
def test_density_rises_with_brix(brix, more, temperature):
    less, denser = sucrose_solution_density(np.array([brix, brix + more]), temperature)
    assert denser > less


# Below 4 °C water shrinks as it warms, and thin juice with it.
@given(brix=st.floats(0, 80), temperature=st.floats(10, 98), warmer=st.floats(0.01, 2))
def test_density_falls_as_a_solution_warms(brix, temperature, warmer):
    cold, warm = sucrose_solution_density(brix, np.array([temperature, temperature + warmer]))
    assert warm < cold


OUTSIDE = [(-1, 20), (101, 20), (50, -1), (50, 101)]


@pytest.mark.parametrize(("brix", "temperature"), OUTSIDE)
def test_density_outside_its_range_is_refused(brix, temperature):
    with pytest.raises(OutOfRange, match="brix is" if temperature == 20 else "temperature is"):
        sucrose_solution_density(brix, temperature)


@pytest.mark.parametrize(("brix", "temperature"), OUTSIDE)
def test_density_outside_its_range_is_nothing_where_many_rows_are_worked_out(brix, temperature):
    with outside_is_nothing():
        found = sucrose_solution_density([brix, 15], [temperature, 20])
    assert np.isnan(found[0])
    assert found[1] == sucrose_solution_density(15, 20)


@pytest.mark.parametrize(
    ("relation", "values"),
    [
        (water_density, (100.5,)),
        (brix_from_density, (900, 20)),
        (brix_from_density, (1565, 20)),
        (brix_from_density, (1100, 101)),
        (apparent_density, (1.2,)),
        (specific_gravity, (100.1,)),
        (apparent_specific_gravity, (-0.1,)),
        (brix_from_specific_gravity, (0.999,)),
    ],
)
def test_other_relations_of_density_refuse_what_lies_outside(relation, values):
    with pytest.raises(OutOfRange):
        relation(*values)
    with outside_is_nothing():
        assert np.isnan(relation(*values))


def test_density_takes_arrays_of_any_shape():
    brix, temperature = np.array([[10.0], [60.0]]), np.array([20.0, 40.0, 60.0])
    found = sucrose_solution_density(brix, temperature)
    assert found.shape == (2, 3)
    assert found[1, 2] == sucrose_solution_density(60, 60)


def test_what_lacks_has_no_density():
    found = sucrose_solution_density([np.nan, 15], 20)
    assert np.isnan(found[0])
    assert np.isfinite(found[1])
