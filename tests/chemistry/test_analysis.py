import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.chemistry import analysis as relation
from app.chemistry.hydrometry import undiluted
from app.chemistry.validity import OutOfRange, outside_is_nothing
from tests.examples import checks, published

# Floating point alone parts the two sides of an identity, on numbers of about 100.
EXACT = 1e-9


def test_moisture_is_what_drying_takes_from_the_sample():
    dishes, wet = np.array([20.0, 25.0]), np.array([30.0, 75.0])
    assert relation.moisture_by_drying(dishes, wet, [25.0, 49.0]).tolist() == [50, 52]


@given(dish=st.floats(10, 100), sample=st.floats(1, 100), moisture=st.floats(0.1, 99))
def test_drying_finds_the_moisture_that_was_there(dish, sample, moisture):
    dry = dish + sample * (1 - moisture / 100)
    found = relation.moisture_by_drying(dish, dish + sample, dry)
    # a dish of 100 beside a sample of 1 costs two digits
    assert found == pytest.approx(moisture, abs=1e-8, rel=0)


def test_a_sample_that_grew_in_the_oven_is_refused():
    with pytest.raises(OutOfRange, match="moisture is -10 %"):
        relation.moisture_by_drying(20.0, 30.0, 31.0)
    with outside_is_nothing():
        assert np.isnan(relation.moisture_by_drying(20.0, 30.0, 31.0))


def test_suspended_solids_are_what_the_filter_holds():
    assert relation.suspended_solids_by_drying(1.2, 1.8, 200.0) == pytest.approx(0.3, abs=EXACT)
    with pytest.raises(OutOfRange, match="suspended solids"):
        relation.suspended_solids_by_drying(1.2, 1.1, 200.0)


def test_a_sample_diluted_one_to_one_reads_half():
    assert undiluted(43.0, 100.0, 100.0) == pytest.approx(86, abs=EXACT)


@given(brix=st.floats(1, 90), sample=st.floats(1, 500), water=st.floats(0, 500))
def test_dilution_by_weight_loses_no_solids(brix, sample, water):
    diluted = brix * sample / (sample + water)
    found = undiluted(diluted, sample, water)
    assert found == pytest.approx(brix, abs=EXACT, rel=0)


# Five decimals are printed.
@pytest.mark.parametrize("row", checks("colour_concentration"), ids=lambda row: row["brix"])
def test_concentration_equals_the_density_equation_worked_out_apart(row):
    found = relation.dry_substance_concentration(float(row["brix"]), float(row["temperature"]))
    assert found == pytest.approx(float(row["concentration"]), abs=5e-6, rel=0), row["source"]


# One decimal was worked out.
@pytest.mark.parametrize("row", checks("colour"), ids=lambda row: f"brix {row['brix']}")
def test_colour_equals_the_example_worked_out_apart(row):
    concentration = relation.dry_substance_concentration(float(row["brix"]))
    found = relation.icumsa_colour(float(row["absorbance"]), float(row["cell"]), concentration)
    assert found == pytest.approx(float(row["colour"]), abs=0.05, rel=0), row["source"]


def test_colour_does_not_ask_which_cell_was_used():
    short, long = relation.icumsa_colour([0.1, 0.5], [1.0, 5.0], 0.6)
    assert short == pytest.approx(long, abs=EXACT)


# Four decimals are printed.
@pytest.mark.parametrize("row", checks("conductivity_ash"), ids=lambda row: row["solution"])
def test_conductivity_ash_equals_the_example_worked_out_apart(row):
    ash = {"28 g/100 g": relation.refined_sugar_ash, "5 g/100 mL": relation.raw_sugar_ash}
    found = ash[row["solution"]](float(row["conductivity"]), float(row["water"]))
    assert found == pytest.approx(float(row["ash"]), abs=5e-5, rel=0), row["source"]


WAYS_TO_A_CONSTANT = {
    "share of the water at 28 g per 100 g": lambda: (
        1 - relation.refined_sugar_ash(1, 1) / relation.refined_sugar_ash(1, 0)
    ),
    "ash for each µS/cm at 5 g per 100 mL": lambda: relation.raw_sugar_ash(1, 0),
    "warmth at 28 g per 100 g": lambda: (
        1 - 1 / relation.conductivity_at_20(1, 19, relation.REFINED_ASH_WARMTH)
    ),
}


@pytest.mark.parametrize("row", published("conductivity_ash"), ids=lambda row: row["constant"])
def test_conductivity_ash_has_the_constants_of_the_method(row):
    found = WAYS_TO_A_CONSTANT[row["constant"]]()
    assert found == pytest.approx(float(row["value"]), abs=EXACT, rel=0), row["source"]


@given(conductivity=st.floats(0, 2000))
def test_the_general_ash_is_that_of_5_grams_at_5_grams(conductivity):
    assert relation.conductivity_ash(conductivity, 5.0) == pytest.approx(
        relation.raw_sugar_ash(conductivity, 0.0), abs=EXACT, rel=0
    )


@given(conductivity=st.floats(1, 2000), temperature=st.floats(15, 25))
def test_conductivity_is_brought_to_20_degrees(conductivity, temperature):
    warm = conductivity * (1 + relation.RAW_ASH_WARMTH * (temperature - 20))
    found = relation.conductivity_at_20(warm, temperature, relation.RAW_ASH_WARMTH)
    assert found == pytest.approx(conductivity, rel=1e-12)


def test_conductivity_far_from_20_degrees_is_refused():
    with pytest.raises(OutOfRange, match="temperature is 26 °C"):
        relation.conductivity_at_20(100.0, 26.0, relation.RAW_ASH_WARMTH)


def test_preparation_index_is_the_share_of_open_cells():
    assert relation.preparation_index(3.6, 4.0) == pytest.approx(90, abs=EXACT)
    with pytest.raises(OutOfRange, match="preparation index"):
        relation.preparation_index(4.1, 4.0)


@given(open_cells=st.floats(60, 96), water=st.floats(100, 1000), more=st.floats(100, 1000))
def test_unlike_water_does_not_change_the_index_once_liquids_are_weighed(open_cells, water, more):
    brix, fibre = 15.0, 14.0
    moisture = 100 - brix - fibre
    liquids = [relation.liquid_of_disintegration(w, moisture, brix, fibre) for w in (water, more)]
    readings = 100 * open_cells / 100 * brix / liquids[0], 100 * brix / liquids[1]
    found = relation.preparation_index_by_liquids(readings[0], liquids[0], readings[1], liquids[1])
    assert found == pytest.approx(open_cells, abs=EXACT, rel=0)


# By hand: 200 + 71 + 15 - 0.25 × 14.
def test_fibre_keeps_a_quarter_of_its_weight_of_water_from_the_liquid():
    assert relation.liquid_of_disintegration(200, 71, 15, 14) == pytest.approx(282.5, abs=EXACT)


def test_what_was_not_read_stays_unknown():
    assert np.isnan(relation.moisture_by_drying(20.0, 30.0, np.nan))
    assert np.isnan(relation.icumsa_colour(np.nan, 1.0, 0.3))
    assert np.isnan(relation.raw_sugar_ash(np.nan, 2.0))
