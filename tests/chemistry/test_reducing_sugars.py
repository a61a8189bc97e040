import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.chemistry import reducing_sugars as relation
from app.chemistry.validity import OutOfRange, outside_is_nothing
from tests.examples import published

# The relation keeps the same rows: floating point alone is allowed for.
EXACT = 1e-9


@pytest.mark.parametrize("row", published("lane_eynon"), ids=lambda row: f"{row['titre']} mL")
def test_invert_sugar_is_that_of_the_lane_eynon_table(row):
    found = relation.lane_eynon_invert(float(row["titre"]))
    assert found == pytest.approx(float(row["invert"]), abs=EXACT, rel=0), row["source"]


@pytest.mark.parametrize(
    "row", published("luff_schoorl"), ids=lambda row: f"{row['thiosulphate']} mL"
)
def test_sugars_are_those_of_the_luff_schoorl_table(row):
    found = relation.luff_schoorl_sugars(float(row["thiosulphate"]) + 1.5, 1.5)
    assert found == pytest.approx(float(row["sugars"]), abs=EXACT, rel=0), row["source"]


# Half of the last digit, 0.05 mg, is all that rounding may part a row from a smooth curve.
@pytest.mark.parametrize(
    "table", [relation.LANE_EYNON, relation.LUFF_SCHOORL], ids=["Lane-Eynon", "Luff-Schoorl"]
)
def test_the_tables_are_as_smooth_as_their_last_digit(table):
    volumes, masses = table.T
    curve = np.polynomial.Polynomial.fit(volumes, masses, 3)
    assert np.abs(curve(volumes) - masses).max() < 0.05


@given(titre=st.floats(15, 50))
def test_more_titre_means_a_weaker_solution(titre):
    found = relation.lane_eynon_reducing_sugars(titre)
    assert found * titre / 100 == pytest.approx(relation.lane_eynon_invert(titre), abs=EXACT)
    assert 100 * 52.5 / 50 <= found <= 100 * 50.5 / 15


@given(used=st.floats(1, 22.9), strength=st.floats(0.09, 0.11))
def test_luff_schoorl_counts_thiosulphate_by_its_strength(used, strength):
    found = relation.luff_schoorl_sugars(used * 0.1 / strength + 2, 2.0, strength)
    nominal = relation.luff_schoorl_sugars(used + 2, 2.0)
    # volumes are rounded to 1e-9 mL, worth 3 mg each
    assert found == pytest.approx(nominal, abs=1e-8, rel=0)


def test_titres_that_differ_by_the_first_row_are_in_the_table():
    assert 2.3 - 1.3 < 1
    assert relation.luff_schoorl_sugars(2.3, 1.3) == pytest.approx(2.4, abs=EXACT)


# By hand: 25 mL, 51.2 mg, of a solution with 10 g in 100 mL: 204.8 mg in 10 g.
def test_reducing_sugars_are_brought_to_the_sample():
    solution = relation.lane_eynon_reducing_sugars(25.0)
    assert relation.reducing_sugars_on_sample(solution, 10.0) == pytest.approx(2.048, abs=EXACT)


@pytest.mark.parametrize("titre", [14.9, 50.1])
def test_a_titre_outside_the_lane_eynon_table_is_refused(titre):
    with pytest.raises(OutOfRange, match="this holds from 15 to 50 mL"):
        relation.lane_eynon_invert(titre)


@pytest.mark.parametrize("used", [0.9, 23.1])
def test_thiosulphate_outside_the_luff_schoorl_table_is_refused(used):
    with pytest.raises(OutOfRange, match="this holds from 1 to 23 mL"):
        relation.luff_schoorl_sugars(used, 0.0)


def test_one_bad_titre_of_many_becomes_nothing_where_rows_are_many():
    with outside_is_nothing():
        found = relation.lane_eynon_invert([10.0, 25.0, np.nan])
    assert np.isnan(found).tolist() == [True, False, True]
