import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.chemistry.massecuite import crystal_content, exhaustion

MASSECUITE, MOTHER_LIQUOR = st.floats(55, 90), st.floats(25, 54)
# Floating point alone parts the two sides of an identity, on numbers of about 100.
EXACT = 1e-9


@given(massecuite=MASSECUITE, mother_liquor=MOTHER_LIQUOR)
def test_crystal_is_the_exhausted_part_of_the_sucrose(massecuite, mother_liquor):
    exhausted = exhaustion(massecuite, mother_liquor)
    assert exhausted * massecuite / 100 == pytest.approx(
        crystal_content(massecuite, mother_liquor), abs=EXACT, rel=0
    )


@given(massecuite=MASSECUITE, mother_liquor=MOTHER_LIQUOR)
def test_crystal_and_mother_liquor_hold_all_the_sucrose(massecuite, mother_liquor):
    crystal = crystal_content(massecuite, mother_liquor)
    held = crystal + (100 - crystal) * mother_liquor / 100
    assert held == pytest.approx(massecuite, abs=EXACT, rel=0)


def test_a_massecuite_as_poor_as_its_mother_liquor_has_no_crystal():
    assert crystal_content(60.0, 60.0) == 0
    assert exhaustion(60.0, 60.0) == 0
