import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.chemistry.validity import OutOfRange, outside_is_nothing
from app.chemistry.viscosity import viscosity
from tests.examples import checks, published


def named(row):
    return f"brix {row['brix']} at {row['temperature']}"


# An equation of two variables against a measured table: 3.5 % at most, in the thinnest solutions.
@pytest.mark.parametrize("row", published("viscosity_at_20"), ids=lambda row: f"brix {row['brix']}")
def test_viscosity_agrees_with_the_handbook_at_20_degrees(row):
    found = viscosity(float(row["brix"]), 20)
    assert found == pytest.approx(float(row["viscosity"]), rel=0.035), row["source"]


# Another table, itself 3.4 % under that of the newer handbook at 60 °Bx and 20 °C; 7.5 % at most,
# at 10 and at 80 °C.
@pytest.mark.parametrize(
    "row",
    [row for row in published("viscosity_by_temperature") if float(row["temperature"]) > 0],
    ids=named,
)
def test_viscosity_agrees_with_the_older_handbook_from_10_to_100_degrees(row):
    found = viscosity(float(row["brix"]), float(row["temperature"]))
    assert found == pytest.approx(float(row["viscosity"]), rel=0.076), row["source"]


# The docstring says so.
@pytest.mark.parametrize(
    "row",
    [row for row in published("viscosity_by_temperature") if float(row["temperature"]) == 0],
    ids=named,
)
def test_viscosity_in_the_cold_reads_too_high_by_what_is_said(row):
    found = viscosity(float(row["brix"]), 0)
    assert 1.05 < found / float(row["viscosity"]) < 1.12, row["source"]


# The check prints three decimals.
@pytest.mark.parametrize("row", checks("viscosity_equation"), ids=named)
def test_viscosity_equals_the_equation_worked_out_apart(row):
    found = viscosity(float(row["brix"]), float(row["temperature"]))
    assert found == pytest.approx(float(row["viscosity"]), abs=0.00051), row["source"]


@given(st.floats(0, 74), st.floats(0, 99), st.floats(0.1, 1))
def test_liquor_is_thicker_with_more_brix_and_thinner_when_hotter(brix, temperature, more):
    assert viscosity(brix + more, temperature) > viscosity(brix, temperature)
    assert viscosity(brix, temperature + more) < viscosity(brix, temperature)


@pytest.mark.parametrize(("brix", "temperature"), [(-1, 20), (76, 20), (50, -1), (50, 101)])
def test_viscosity_outside_its_range_is_refused(brix, temperature):
    with pytest.raises(OutOfRange):
        viscosity(brix, temperature)
    with outside_is_nothing():
        assert np.isnan(viscosity(brix, temperature))


def test_viscosity_takes_arrays_of_any_shape():
    found = viscosity(np.array([[20.0], [60.0]]), np.array([20.0, np.nan, 60.0]))
    assert found.shape == (2, 3)
    assert found[1, 2] == pytest.approx(viscosity(60, 60), rel=1e-12)
    assert np.isnan(found[:, 1]).all()
