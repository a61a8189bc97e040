import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.chemistry.density import (
    brix_from_specific_gravity,
    specific_gravity,
    sucrose_solution_density,
)
from app.chemistry.hydrometry import (
    baume,
    hydrometer_brix_at_20,
    hydrometer_correction,
    massecuite_density,
    specific_gravity_from_baume,
    undiluted,
    with_entrained_air,
)
from app.chemistry.validity import OutOfRange, outside_is_nothing
from tests.examples import checks, published

# Floating point alone parts the two sides of an identity, on numbers of about 1000.
EXACT = 1e-9
READING = st.floats(0, 70)


def name(row: dict[str, str]) -> str:
    return " ".join(list(row.values())[:2])


# The table prints one decimal (0.05) and makes it from five of specific gravity, which differ from
# ours by up to 0.00006, worth 0.009 °Bé; the largest miss is 0.0501.
@pytest.mark.parametrize("row", published("baume"), ids=name)
def test_baume_of_a_brix_agrees_with_the_printed_table(row):
    found = baume(specific_gravity(float(row["brix"])))
    assert found == pytest.approx(float(row["baume"]), abs=0.0505, rel=0), row["source"]


@given(degrees=st.floats(0, 51))
def test_baume_comes_back_from_its_specific_gravity(degrees):
    back = baume(specific_gravity_from_baume(degrees))
    assert back == pytest.approx(degrees, abs=EXACT, rel=0)


# By hand: 10, 20 and 60 brix are 1.03998, 1.08292 and 1.28893; 145 - 145/SG, to two decimals.
def test_baume_and_brix_lead_to_each_other():
    brix = np.array([10.0, 20.0, 60.0])
    found = baume(specific_gravity(brix))
    assert found == pytest.approx([5.57, 11.10, 32.50], abs=0.0051, rel=0)
    back = brix_from_specific_gravity(specific_gravity_from_baume(found))
    assert back == pytest.approx(brix, abs=1e-6, rel=0)


# The check prints three decimals.
@pytest.mark.parametrize("row", checks("hydrometer_equation"), ids=name)
def test_hydrometer_correction_equals_what_was_worked_out_apart(row):
    found = hydrometer_correction(float(row["reading"]), float(row["temperature"]))
    assert found == pytest.approx(float(row["correction"]), abs=0.00051, rel=0), row["source"]


# The docstring says so: 0.05 from 15 °C, 0.1 at freezing point, where older densities of sucrose
# part most from ours. Two decimals are printed, and the glass was another.
@pytest.mark.parametrize("row", published("hydrometer"), ids=name)
def test_hydrometer_correction_agrees_with_the_printed_table(row):
    temperature = float(row["temperature"])
    found = hydrometer_correction(float(row["reading"]), temperature)
    within = 0.05 if temperature >= 15 else 0.1
    assert found == pytest.approx(float(row["correction"]), abs=within, rel=0), row["source"]


@given(reading=READING)
def test_a_hydrometer_is_right_at_20_degrees(reading):
    assert hydrometer_brix_at_20(reading, 20) == pytest.approx(reading, abs=1e-6, rel=0)


@given(reading=READING, temperature=st.floats(10, 59), warmer=st.floats(0.01, 1))
def test_the_warmer_the_solution_the_more_is_added_to_the_hydrometer(reading, temperature, warmer):
    less, more = hydrometer_correction(reading, np.array([temperature, temperature + warmer]))
    assert more > less


@given(reading=READING, temperature=st.floats(20.1, 60))
def test_glass_that_grows_makes_the_correction_smaller(reading, temperature):
    stiff = hydrometer_correction(reading, temperature, glass_expansion=0)
    assert hydrometer_correction(reading, temperature) < stiff


@given(brix=st.floats(50, 99), sample=st.floats(50, 500), parts=st.floats(0, 10))
def test_what_was_diluted_by_weight_comes_back(brix, sample, parts):
    water = parts * sample
    diluted = brix * sample / (sample + water)
    assert undiluted(diluted, sample, water) == pytest.approx(brix, abs=EXACT, rel=0)


# By hand: 100 g of molasses and 500 g of water read 14.5 °Bx; six times that is 87.
def test_molasses_one_in_six():
    assert undiluted(14.5, 100, 500) == pytest.approx(87.0, abs=EXACT, rel=0)


# The check prints one decimal.
@pytest.mark.parametrize("row", checks("massecuite_density"), ids=name)
def test_density_of_massecuite_equals_what_was_worked_out_apart(row):
    liquor = sucrose_solution_density(float(row["brix"]), float(row["temperature"]))
    found = massecuite_density(float(row["crystal"]), liquor)
    assert found == pytest.approx(float(row["density"]), abs=0.051, rel=0), row["source"]


@given(crystal=st.floats(0, 100), liquor=st.floats(1200, 1500))
def test_massecuite_lies_between_its_liquor_and_its_crystal(crystal, liquor):
    found = massecuite_density(crystal, liquor)
    assert liquor - EXACT <= found <= 1588 + EXACT
    volume = crystal / 100 / 1588 + (1 - crystal / 100) / liquor
    assert found * volume == pytest.approx(1, abs=1e-12, rel=0)


# By hand: 5 % of the dip is air, so that 1400 stores as 1330.
def test_entrained_air_takes_its_share_of_the_density():
    assert with_entrained_air(1400, 5) == pytest.approx(1330, abs=EXACT, rel=0)
    assert with_entrained_air(1400, 0) == 1400


@pytest.mark.parametrize(
    ("relation", "values"),
    [
        (baume, (0.99,)),
        (specific_gravity_from_baume, (53,)),
        (hydrometer_brix_at_20, (71, 25)),
        (hydrometer_correction, (15, 61)),
        (undiluted, (101, 1, 1)),
        (undiluted, (15, 0, 1)),
        (undiluted, (15, 1, -1)),
        (massecuite_density, (101, 1450)),
        (massecuite_density, (50, 900)),
        (with_entrained_air, (1450, 31)),
    ],
)
def test_what_lies_outside_is_refused(relation, values):
    with pytest.raises(OutOfRange):
        relation(*values)
    with outside_is_nothing():
        assert np.isnan(relation(*values))


def test_hydrometers_take_arrays_and_leave_out_what_lacks():
    found = hydrometer_brix_at_20([[15.0], [np.nan]], [25.0, 30.0])
    assert found.shape == (2, 2)
    assert found[0, 1] == hydrometer_brix_at_20(15.0, 30.0)
    assert np.isnan(found[1]).all()
