import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.chemistry.boiling_point import (
    boiling_point,
    boiling_point_elevation,
    boiling_pressure,
    quick_boiling_point_elevation,
    technical_boiling_point_elevation,
    water_activity,
)
from app.chemistry.steam import saturation_temperature
from app.chemistry.validity import OutOfRange, outside_is_nothing
from tests.examples import checks, published


# The table prints 0.1 K, and solutions of the time were pure to about as much.
@pytest.mark.parametrize(
    "row", published("boiling_point_elevation"), ids=lambda row: f"brix {row['brix']}"
)
def test_elevation_agrees_with_the_classical_table(row):
    found = boiling_point_elevation(float(row["brix"]), float(row["pressure"]))
    assert found == pytest.approx(float(row["elevation"]), abs=0.2), row["source"]


# The check prints three decimals.
@pytest.mark.parametrize(
    "row",
    checks("boiling_point_elevation_equation"),
    ids=lambda row: f"brix {row['brix']} at {row['pressure']}",
)
def test_elevation_equals_the_equation_worked_out_apart(row):
    found = boiling_point_elevation(float(row["brix"]), float(row["pressure"]))
    assert found == pytest.approx(float(row["elevation"]), abs=0.00051), row["source"]


# The check prints three decimals.
@pytest.mark.parametrize(
    "row",
    checks("boiling_point_elevation_technical"),
    ids=lambda row: f"brix {row['brix']} at {row['temperature']}",
)
def test_technical_elevation_equals_the_equation_worked_out_apart(row):
    found = technical_boiling_point_elevation(float(row["brix"]), float(row["temperature"]))
    assert found == pytest.approx(float(row["elevation"]), abs=0.00051), row["source"]


# What its docstring says: a rule for the head, 0.35 K.
def test_the_quick_rule_is_near_pure_sucrose_up_to_70_brix():
    brix = np.arange(0, 71)
    apart = quick_boiling_point_elevation(brix) - boiling_point_elevation(brix, 101.325)
    assert np.abs(apart).max() < 0.35
    assert boiling_point_elevation(80, 101.325) - quick_boiling_point_elevation(
        80
    ) == pytest.approx(1.5, abs=0.05)


def test_water_boils_as_water():
    pressure = np.array([8.0, 20.0, 101.325, 250.0])
    assert boiling_point(0, pressure) == pytest.approx(saturation_temperature(pressure), abs=1e-9)
    assert water_activity(0, 100) == 1


# The steps of the solution end where rounding does.
@given(st.floats(0, 80), st.floats(5, 300))
def test_boiling_pressure_at_the_boiling_point_is_the_pressure(brix, pressure):
    found = boiling_pressure(brix, boiling_point(brix, pressure))
    assert found == pytest.approx(pressure, rel=1e-8)


@given(st.floats(0, 79), st.floats(0.1, 1), st.floats(5, 290))
def test_liquor_boils_hotter_with_more_brix_and_more_pressure(brix, more, pressure):
    assert boiling_point(brix + more, pressure) > boiling_point(brix, pressure)
    assert boiling_point(brix, pressure + more) > boiling_point(brix, pressure)
    technical = technical_boiling_point_elevation([brix, brix + more], 100)
    assert technical[1] > technical[0]


@pytest.mark.parametrize(
    ("relation", "values"),
    [
        (boiling_point, (81, 101.325)),
        (boiling_point, (60, 4)),
        (boiling_point_elevation, (-1, 101.325)),
        (water_activity, (60, 151)),
        (boiling_pressure, (90, 100)),
        (technical_boiling_point_elevation, (86, 100)),
        (technical_boiling_point_elevation, (60, 20)),
        (quick_boiling_point_elevation, (100,)),
    ],
)
def test_elevation_outside_its_range_is_refused(relation, values):
    with pytest.raises(OutOfRange):
        relation(*values)
    with outside_is_nothing():
        assert np.isnan(relation(*values))


def test_boiling_point_takes_arrays_of_any_shape_and_gives_nothing_for_nothing():
    found = boiling_point(np.array([[15.0], [65.0]]), np.array([15.0, np.nan, 200.0]))
    assert found.shape == (2, 3)
    assert found[1, 2] == pytest.approx(boiling_point(65, 200), rel=1e-12)
    assert np.isnan(found[:, 1]).all()
