import numpy as np
import pytest
from chemicals.refractivity import RI_to_brix, brix_to_RI
from hypothesis import given
from hypothesis import strategies as st

from app.chemistry.refractometer_tables import REFRACTIVE_INDEX, TEMPERATURE_CORRECTIONS
from app.chemistry.refractometry import (
    brix_at_20,
    brix_from_refractive_index,
    refractive_index,
    temperature_correction,
)
from app.chemistry.validity import OutOfRange, outside_is_nothing
from tests.examples import checks, published

# Floating point alone.
EXACT = 1e-9
BRIX = st.floats(0, 85)


def name(row: dict[str, str]) -> str:
    return " ".join(list(row.values())[:2])


# The same digits stand in the table.
@pytest.mark.parametrize("row", published("refractive_index"), ids=name)
def test_index_of_whole_degrees_is_the_printed_one(row):
    brix, index = float(row["brix"]), float(row["index"])
    assert refractive_index(brix) == pytest.approx(index, abs=EXACT, rel=0), row["source"]
    assert brix_from_refractive_index(index) == pytest.approx(brix, abs=EXACT, rel=0)


# Both ends of a line and the print between are rounded to 0.000005 each; the bend adds 0.000001.
@pytest.mark.parametrize("row", published("refractive_index_between"), ids=name)
def test_index_between_whole_degrees_agrees_with_the_table_of_tenths(row):
    found = refractive_index(float(row["brix"]))
    assert found == pytest.approx(float(row["index"]), abs=1.1e-5, rel=0), row["source"]


# Our table was read there, so that this shows that no digit was lost and the lines are the same.
def test_index_and_brix_agree_with_a_public_library():
    brix = np.arange(0, 85.01, 0.25)
    index = refractive_index(brix)
    assert index == pytest.approx([brix_to_RI(one) for one in brix], abs=EXACT, rel=0)
    read = brix_from_refractive_index(index)
    assert read == pytest.approx([RI_to_brix(one) for one in index], abs=1e-8, rel=0)


def fitted_index(brix: np.ndarray) -> np.ndarray:
    """Our fit to the table; it is not the text of the standard, and serves to see slips."""
    terms = [float(row["coefficient"]) for row in checks("refractive_index_fit")]
    return np.polynomial.polynomial.polyval(brix / 100, terms)


# Half the last digit printed is 0.000005; a slip of one digit would stand out.
def test_the_table_of_index_is_smooth_to_its_rounding():
    assert fitted_index(np.arange(86)) == pytest.approx(REFRACTIVE_INDEX, abs=5.6e-6, rel=0)


@pytest.mark.parametrize("row", published("refractive_index_beyond_85"), ids=name)
def test_index_above_85_brix_is_refused_though_some_print_it(row):
    with pytest.raises(OutOfRange, match="brix"):
        refractive_index(float(row["brix"]))
    with pytest.raises(OutOfRange, match="refractive index"):
        brix_from_refractive_index(float(row["index"]))


def test_what_is_printed_above_85_brix_leaves_the_curve():
    rows = published("refractive_index_beyond_85")
    brix, index = np.array([[float(row["brix"]), float(row["index"])] for row in rows]).T
    assert 1e-4 < np.abs(fitted_index(brix) - index).max() < 2e-4


# Half the last digit is 0.00005; the older scale adds 0.00001.
@pytest.mark.parametrize(
    "row", [r for r in published("refractive_index_handbook") if float(r["brix"]) <= 70], ids=name
)
def test_index_agrees_with_the_handbook_of_the_older_scale_up_to_70_brix(row):
    found = refractive_index(float(row["brix"]))
    assert found == pytest.approx(float(row["index"]), abs=6.1e-5, rel=0), row["source"]


@pytest.mark.parametrize(
    "row", [r for r in published("refractive_index_handbook") if float(r["brix"]) >= 80], ids=name
)
def test_the_scale_of_1936_is_not_that_of_1974_above_75_brix(row):
    excess = refractive_index(float(row["brix"])) - float(row["index"])
    assert 1e-4 < excess < 3e-4, row["source"]


@pytest.mark.parametrize("row", published("glucose_syrup_index"), ids=name)
def test_a_table_of_glucose_syrup_is_not_one_of_sucrose(row):
    read = brix_from_refractive_index(float(row["index"]))
    assert read - float(row["solids"]) > 0.4, row["source"]


@given(brix=BRIX)
def test_brix_comes_back_from_its_index(brix):
    back = brix_from_refractive_index(refractive_index(brix))
    assert back == pytest.approx(brix, abs=EXACT, rel=0)


@given(brix=st.floats(0, 84), more=st.floats(1e-6, 1))
def test_index_rises_with_brix(brix, more):
    assert refractive_index(brix + more) > refractive_index(brix)


# The same digits stand in the table.
@pytest.mark.parametrize("row", published("refractometer_1936"), ids=name)
def test_correction_of_1936_is_the_printed_one(row):
    found = temperature_correction(float(row["reading"]), float(row["temperature"]), table="1936")
    assert found == pytest.approx(float(row["correction"]), abs=EXACT, rel=0), row["source"]


@pytest.mark.parametrize("row", published("refractometer_1974"), ids=name)
def test_correction_of_1974_is_the_printed_one(row):
    temperature = float(row["temperature"])
    table = "1974" if temperature >= 10 else "1974 cold"
    found = temperature_correction(float(row["reading"]), temperature, table=table)
    assert found == pytest.approx(float(row["correction"]), abs=EXACT, rel=0), row["source"]


def terms_to(reading: np.ndarray, temperature: np.ndarray) -> list[np.ndarray]:
    powers = [(1, 0), (1, 1), (1, 2), (1, 3), (2, 0), (2, 1), (2, 2), (2, 3), (3, 0), (3, 1)]
    off, brix = (temperature - 20) / 10, reading / 100
    return [(off**i * brix**j).ravel() for i, j in powers]


# Two decimals; a slip of one digit in a cell from memory would stand out of ten smooth terms. The
# cell that misses most is that of 12 °C and 40 °Bx, which the copy read seems to misprint.
def test_the_table_of_1936_is_smooth_to_its_rounding():
    readings, temperatures = np.meshgrid(np.arange(0, 71, 5.0), np.arange(10, 31.0))
    added = TEMPERATURE_CORRECTIONS["1936"].added
    terms = np.stack(terms_to(readings, temperatures), axis=1)
    fitted = terms @ np.linalg.lstsq(terms, added.ravel(), rcond=None)[0]
    misses = np.abs(fitted.reshape(added.shape) - added)
    assert misses.max() < 0.01
    assert np.unravel_index(misses.argmax(), misses.shape) == (2, 8)


def fitted_1974(reading: float, temperature: float) -> float:
    """Our fit to the rows of 10 to 17 °C."""
    return sum(
        float(row["coefficient"])
        * (reading / 100) ** int(row["power_of_brix"])
        * ((temperature - 20) / 10) ** int(row["power_of_temperature"])
        for row in checks("refractometer_1974_fit")
    )


# Half the last digit is 0.005; the fit adds 0.001. It holds for the one cell from memory besides.
def test_the_table_of_1974_is_smooth_to_its_rounding():
    for temperature in range(10, 18):
        for reading in range(10, 76, 5):
            found = temperature_correction(reading, temperature, table="1974")
            assert fitted_1974(reading, temperature) == pytest.approx(found, abs=0.006, rel=0)


# The numbers are our fit's and rounded to 0.005; no print stands behind them.
@pytest.mark.parametrize("row", checks("refractometer_1974_extrapolated"), ids=name)
def test_the_basis_of_1974_is_not_carried_past_the_rows_seen(row):
    reading, temperature = float(row["reading"]), float(row["temperature"])
    guessed = fitted_1974(reading, temperature)
    assert guessed == pytest.approx(float(row["correction"]), abs=0.0051, rel=0), row["source"]
    with pytest.raises(OutOfRange, match="temperature"):
        temperature_correction(max(reading, 10), temperature, table="1974")


def test_the_rows_below_10_degrees_do_not_join_those_above():
    sixth = temperature_correction(10.0, 6, table="1974 cold")
    fifth = temperature_correction(10.0, 5, table="1974 cold")
    ninth = temperature_correction(10.0, 9, table="1974 cold")
    tenth = temperature_correction(10.0, 10, table="1974")
    assert sixth - fifth < 0.5 * (tenth - ninth)


# Read at whole degrees of both; a mill that mixed the two would be off by as much.
def test_the_two_tables_part_by_up_to_0_04():
    readings, temperatures = np.meshgrid(np.arange(10, 71, 5.0), np.arange(10, 21.0))
    older = temperature_correction(readings, temperatures, table="1936")
    newer = temperature_correction(readings, temperatures, table="1974")
    assert np.abs(newer - older).max() == pytest.approx(0.04, abs=EXACT, rel=0)


def test_a_correction_belongs_to_a_named_table():
    with pytest.raises(TypeError, match="table"):
        brix_at_20(15.0, 25.0)
    with pytest.raises(KeyError, match="1935"):
        brix_at_20(15.0, 25.0, table="1935")


@pytest.mark.parametrize("table", ["1936", "1974"])
@given(reading=st.floats(10, 70))
def test_nothing_is_added_at_20_degrees(table, reading):
    assert brix_at_20(reading, 20, table=table) == reading


@given(reading=st.floats(0, 70), temperature=st.floats(10, 29), warmer=st.floats(0.01, 1))
def test_the_warmer_the_more_is_added(reading, temperature, warmer):
    less, more = (
        temperature_correction(reading, degrees, table="1936")
        for degrees in (temperature, temperature + warmer)
    )
    assert more > less


# The mean of the corners: 0.36, 0.37, 0.43 and 0.44.
def test_correction_between_four_cells_is_their_mean():
    found = temperature_correction(12.5, 25.5, table="1936")
    assert found == pytest.approx(0.40, abs=EXACT, rel=0)


@pytest.mark.parametrize(
    ("reading", "temperature", "table"),
    [
        (15, 31, "1936"), (15, 9.9, "1936"), (71, 25, "1936"), (-0.1, 25, "1936"),
        (9, 15, "1974"), (15, 20.1, "1974"), (31, 8, "1974 cold"), (15, 9.5, "1974 cold"),
    ],
)  # fmt: skip
def test_correction_outside_its_table_is_refused(reading, temperature, table):
    with pytest.raises(OutOfRange):
        brix_at_20(reading, temperature, table=table)
    with outside_is_nothing():
        assert np.isnan(brix_at_20(reading, temperature, table=table))


def test_corrections_take_arrays_and_leave_out_what_lacks():
    readings, temperatures = np.array([[15.0], [np.nan]]), np.array([25.0, 28.0, np.nan])
    found = brix_at_20(readings, temperatures, table="1936")
    assert found[0, :2] == pytest.approx([15.37, 15.61], abs=EXACT, rel=0)
    assert np.isnan(found[1]).all()
    assert np.isnan(found[0, 2])
