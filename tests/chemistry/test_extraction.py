import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.chemistry import extraction as relation

EXTRACTION = st.floats(88, 99)
FIBRE = st.floats(9, 20)
# Floating point alone parts the two sides of an identity, on numbers of about 100.
EXACT = 1e-9


@given(extraction=EXTRACTION)
def test_cane_of_12_5_fibre_needs_no_reduction(extraction):
    assert relation.reduced_extraction(extraction, 12.5) == pytest.approx(extraction, abs=EXACT)


@given(extraction=EXTRACTION, fibre=st.floats(12.6, 20))
def test_more_fibre_reduces_upwards_and_less_downwards(extraction, fibre):
    assert relation.reduced_extraction(extraction, fibre) > extraction
    assert relation.reduced_extraction(extraction, 25 - fibre) < extraction


# By hand: 100 - 4 × 85.5 ÷ 101.5 = 96.6305. A shorter rule without the juice reads 96.55.
def test_reduced_extraction_takes_the_juice_into_account():
    assert relation.reduced_extraction(96.0, 14.5) == pytest.approx(96.63, abs=0.005, rel=0)


@given(extraction=EXTRACTION, fibre=FIBRE)
def test_reduced_extraction_is_a_hundred_less_a_seventh_of_the_juice_lost(extraction, fibre):
    lost = relation.lost_absolute_juice(extraction, fibre)
    assert relation.reduced_extraction(extraction, fibre) == pytest.approx(
        100 - lost / 7, abs=EXACT, rel=0
    )


@given(moisture=st.floats(44, 56), pol=st.floats(0.6, 4.5), purity=st.floats(55, 85))
def test_bagasse_is_water_dissolved_solids_and_fibre(moisture, pol, purity):
    fibre = relation.fibre_by_difference(moisture, pol, purity)
    solids = relation.dissolved_solids_from_pol(pol, purity)
    assert fibre + moisture + solids == pytest.approx(100, abs=EXACT, rel=0)
    assert purity * solids / 100 == pytest.approx(pol, abs=EXACT, rel=0)


def test_five_points_of_residual_purity_move_fibre_by_what_is_said():
    at_70, at_75 = (relation.fibre_by_difference(50.0, 1.75, purity) for purity in (70.0, 75.0))
    assert 0.15 <= at_75 - at_70 <= 0.2
