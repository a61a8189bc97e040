import numpy as np
import pytest

from app.chemistry.density import sucrose_solution_density, water_density
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
    found = sucrose_solution_density(float(row["brix"]), 20) / water_density(20)
    assert found == pytest.approx(float(row["specific_gravity"]), abs=7e-5, rel=0), row["source"]


def pounds_per_gallon_in_air(density: float) -> float:
    """Weight of a US gallon against brass of 8000 kg/m³ in air of 1.2 kg/m³."""
    apparent = (density - 1.2) / (1 - 1.2 / 8000)
    return apparent * 0.003785411784 / 0.45359237


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


@pytest.mark.parametrize(("brix", "temperature"), [(-1, 20), (101, 20), (50, -1), (50, 101)])
def test_density_outside_its_range_is_not_a_number(brix, temperature):
    assert np.isnan(sucrose_solution_density(brix, temperature))


def test_density_takes_arrays_of_any_shape():
    brix, temperature = np.array([[10.0], [60.0]]), np.array([20.0, 40.0, 60.0])
    found = sucrose_solution_density(brix, temperature)
    assert found.shape == (2, 3)
    assert found[1, 2] == sucrose_solution_density(60, 60)
