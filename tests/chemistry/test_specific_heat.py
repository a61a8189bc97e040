import numpy as np
import pytest

from app.chemistry.specific_heat import quick_specific_heat, specific_heat
from app.chemistry.steam import water_enthalpy
from app.chemistry.validity import OutOfRange, outside_is_nothing
from tests.examples import checks


# The checks print four decimals, two of them three.
@pytest.mark.parametrize(
    "row", checks("specific_heat"), ids=lambda row: f"brix {row['brix']} at {row['temperature']}"
)
def test_specific_heat_equals_the_equation_worked_out_apart(row):
    found = specific_heat(float(row["brix"]), float(row["purity"]), float(row["temperature"]))
    printed = row["specific_heat"]
    half = 0.51 * 10.0 ** -len(printed.split(".")[1])
    assert found == pytest.approx(float(printed), abs=half), row["source"]


# The check prints four decimals.
@pytest.mark.parametrize(
    "row", checks("specific_heat_quick"), ids=lambda row: f"brix {row['brix']}"
)
def test_quick_specific_heat_equals_the_rule_worked_out_apart(row):
    found = quick_specific_heat(float(row["brix"]))
    assert found == pytest.approx(float(row["specific_heat"]), abs=5.1e-5), row["source"]


# 4.1868 is the calorie at 15 °C; water of IAPWS-IF97 has 4.18 to 4.22 from 10 to 100 °C.
@pytest.mark.parametrize("temperature", [10, 40, 70, 99])
def test_without_brix_both_have_the_specific_heat_of_water(temperature):
    rise = water_enthalpy(200, temperature + 0.5) - water_enthalpy(200, temperature - 0.5)
    assert specific_heat(0, 85, temperature) == pytest.approx(rise, rel=0.01)
    assert quick_specific_heat(0) == pytest.approx(rise, rel=0.01)


# What the docstring says.
@pytest.mark.parametrize(("brix", "purity"), [(60, 85), (85, 60)])
def test_the_quick_rule_falls_short_in_hot_syrup_and_molasses(brix, purity):
    short = 1 - quick_specific_heat(brix) / specific_heat(brix, purity, 60)
    assert 0.07 < short < 0.11


def test_specific_heat_falls_with_brix_and_rises_with_temperature():
    brix = np.linspace(0, 100, 101)
    assert (np.diff(specific_heat(brix, 80, 60)) < 0).all()
    assert (np.diff(quick_specific_heat(brix)) < 0).all()
    assert (np.diff(specific_heat(60, 80, brix)) > 0).all()


@pytest.mark.parametrize("values", [(-1, 80, 60), (60, 101, 60), (60, 80, 131)])
def test_specific_heat_outside_its_range_is_refused(values):
    with pytest.raises(OutOfRange):
        specific_heat(*values)
    with outside_is_nothing():
        assert np.isnan(specific_heat(*values))
    with pytest.raises(OutOfRange):
        quick_specific_heat(101)
