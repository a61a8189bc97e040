"""What the instrument shows becomes a result; a result that was entered stands."""

import numpy as np
import pytest

from app.compute import compute
from app.figures import readings
from app.figures.declare import ENTERED
from app.figures.evaluate import in_force
from app.figures.readings import RESULTS, with_results
from app.plant.measures import HARD
from app.plant.readings import READINGS, SYRUPS, THICK, UNDILUTED
from tests.examples import published


def results(entered, **conventions):
    columns = {name: np.atleast_1d(np.asarray(v, float)) for name, v in entered.items()}
    size = len(next(iter(columns.values())))
    found, ways = with_results(columns, in_force(conventions, size), HARD)
    return found, ways


def result(name, entered, **conventions):
    return results(entered, **conventions)[0][name][0]


def test_results_and_readings_are_those_that_the_sheet_has():
    assert RESULTS.keys() == READINGS.keys()
    assert (readings.UNDILUTED, readings.SYRUPS, readings.THICK) == (UNDILUTED, SYRUPS, THICK)
    for name, way in ((n, w) for n, r in RESULTS.items() for w in r.ways):
        asked = {i.removeprefix(ENTERED) for i in way.inputs if i.startswith(ENTERED)}
        assert asked & set(READINGS[name]), name


# By hand: 26 × 60 ÷ (99.718 × 1.074145) = 14.564, the apparent gravity of 18 brix being 1.07414.
def test_pol_of_juice_follows_from_reading_and_brix():
    juice = {"mixed_juice_polarimeter_reading": 60, "mixed_juice_brix": 18}
    assert result("mixed_juice_pol", juice) == pytest.approx(14.564, abs=0.0005)
    assert result("mixed_juice_pol", juice, juice_clarified="wet") == pytest.approx(
        1.1 * 14.564, abs=0.0006
    )


# The table prints two decimals.
@pytest.mark.parametrize(
    ("table", "convention", "temperature"),
    [("1936", "by the table of 1936", "15"), ("1974", "by the table of 1974", "15")],
)
def test_brix_is_corrected_to_20_degrees_by_the_table_in_force(table, convention, temperature):
    subject = {"1936": "refractometer_1936", "1974": "refractometer_1974"}[table]
    rows = [row for row in published(subject) if float(row["temperature"]) == float(temperature)]
    row = next(row for row in rows if float(row["reading"]) == 15)
    entered = {
        "mixed_juice_refractometer_reading": 15, "mixed_juice_reading_temperature": temperature,
    }  # fmt: skip
    found = result("mixed_juice_brix", entered, refractometer_correction=convention)
    assert found == pytest.approx(15 + float(row["correction"]), abs=0.005), row["source"]
    assert result("mixed_juice_brix", entered) == 15


# IAPWS R7-97 (2012), table 36: 0.1 MPa saturates at 372.755919 K, which is 99.605919 °C.
def test_temperature_of_vapour_is_that_of_saturation_at_its_absolute_pressure():
    found, _ = results({"effect_1_vapour_pressure": [100, 100], "effect_1_vapour_temperature":
                        [np.nan, 107.4]})  # fmt: skip
    assert found["effect_1_vapour_temperature"] == pytest.approx([99.605919, 107.4], abs=1e-6)
    assert RESULTS["effect_1_vapour_temperature"].unit == "°C"


def test_a_pressure_of_vapour_in_millibar_gives_no_temperature():
    found, _ = results({"effect_4_vapour_pressure": 160.0 * 10})
    assert np.isnan(found.get("effect_4_vapour_temperature", np.nan)).all()


def test_a_result_that_was_entered_stands_and_its_readings_are_kept():
    entered = {
        "mixed_juice_brix": [18, np.nan], "mixed_juice_refractometer_reading": [17, 17],
    }  # fmt: skip
    found, ways = results(entered)
    assert found["mixed_juice_brix"].tolist() == [18, 17]
    assert found["mixed_juice_refractometer_reading"].tolist() == [17, 17]
    assert ways["mixed_juice_brix"].tolist() == [-1, 0]


def test_a_diluted_sample_is_brought_back_to_what_it_was():
    entered = {
        "c_massecuite_refractometer_reading": 16, "c_massecuite_polarimeter_reading": 36,
    }  # fmt: skip
    found, _ = results(entered, massecuite_dilution=6)
    assert found["c_massecuite_brix"][0] == 96
    diluted = {"mixed_juice_brix": 16, "mixed_juice_polarimeter_reading": 36}
    assert found["c_massecuite_pol"][0] == pytest.approx(6 * result("mixed_juice_pol", diluted))


def test_nothing_follows_from_a_dilution_that_is_not_stated():
    found, ways = results({"syrup_refractometer_reading": 16, "syrup_polarimeter_reading": 50})
    assert not ways
    found, _ = results({"syrup_refractometer_reading": 16}, syrup_dilution=4)
    assert found["syrup_brix"][0] == 64


# By hand: 1000 g of bagasse of 50 % moisture in 10 000 g of water, read 0.75: extract pol
# 26 × 0.75 ÷ 99.718 ÷ 1.0008 = 0.1954 %, in 10 500 g: 2.05 % bagasse.
def test_bagasse_is_worked_out_from_its_extract():
    entered = {"bagasse_polarimeter_reading": 0.75, "bagasse_moisture": 50}
    assert result("bagasse_pol", entered) == pytest.approx(2.051, abs=0.002)
    less = result("bagasse_pol", entered, bagasse_extract="less brix-free water")
    assert less == pytest.approx(2.033, abs=0.002)


# By hand: 1.80 × 26 × (200 - V) ÷ 5000.
@pytest.mark.parametrize(("volume", "pol"), [(0, 1.872), (5, 1.8252), (10, 1.7784)])
def test_filter_cake_counts_the_volume_of_its_insolubles(volume, pol):
    entered = {"filter_cake_polarimeter_reading": 1.80}
    found = result("filter_cake_pol", entered, cake_insolubles=volume)
    assert found == pytest.approx(pol, abs=1e-9)


def test_moisture_and_suspended_solids_follow_from_masses():
    entered = {
        "bagasse_dish_mass": 50, "bagasse_wet_mass": 150, "bagasse_dried_mass": 99.5,
        "mixed_juice_paper_mass": 2, "mixed_juice_sample_mass": 500,
        "mixed_juice_residue_mass": 4.5,
    }  # fmt: skip
    found, _ = results(entered)
    assert found["bagasse_moisture"][0] == pytest.approx(50.5)
    assert found["mixed_juice_suspended_solids"][0] == pytest.approx(0.5)


def test_a_reading_outside_the_range_of_its_table_gives_no_result():
    entered = {"mixed_juice_refractometer_reading": 15, "mixed_juice_reading_temperature": 45}
    by_table = {"refractometer_correction": "by the table of 1936"}
    found, _ = results(entered, **by_table)
    assert "mixed_juice_brix" not in found
    figures = compute({"measures": entered | {"mixed_juice": 100}, "conventions": by_table})
    lacks = figures["figures"]["brix_in_mixed_juice"]
    assert lacks["value"] is None
    assert "mixed_juice_brix" in lacks["missing"]


@pytest.mark.parametrize(
    "entered",
    [
        {"final_molasses_refractometer_reading": 19},  # 6 times diluted: 114
        {"mixed_juice_polarimeter_reading": 60, "mixed_juice_brix": 14},  # 14.8 pol
        {"sugar_polarimeter_reading": 110},
        {"bagasse_dish_mass": 50, "bagasse_wet_mass": 150, "bagasse_dried_mass": 160},
    ],
)
def test_what_cannot_be_is_no_result(entered):
    found, ways = results(entered, massecuite_dilution=6)
    assert not ways
    assert found.keys() == entered.keys()


def test_sugar_is_read_at_20_degrees_or_brought_to_it():
    sugar = {"sugar_polarimeter_reading": 98.5, "sugar_reading_temperature": 28}
    assert result("sugar_pol", sugar) == 98.5
    found = result("sugar_pol", sugar, polarization_coefficient=0.0003)
    assert found == pytest.approx(98.5 * (1 + 0.0003 * 8))
