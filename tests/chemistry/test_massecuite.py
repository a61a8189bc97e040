import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from app.chemistry import massecuite as relation
from app.chemistry.massecuite import crystal_content, exhaustion
from app.chemistry.recovery import sugar_solids_share
from app.chemistry.validity import OutOfRange, outside_is_nothing

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


BRIX = st.floats(88, 98)


@given(brix=BRIX, massecuite=MASSECUITE, mother_liquor=MOTHER_LIQUOR)
def test_crystal_on_massecuite_is_crystal_on_its_solids(brix, massecuite, mother_liquor):
    found = relation.crystal_in_massecuite(brix, massecuite, mother_liquor)
    on_solids = crystal_content(massecuite, mother_liquor)
    solids = relation.massecuite_of_solids(found, on_solids)
    assert solids == pytest.approx(brix, abs=EXACT, rel=0)


@given(brix=BRIX, massecuite=MASSECUITE, mother_liquor=MOTHER_LIQUOR)
def test_non_sucrose_over_water_is_that_of_the_mother_liquor(brix, massecuite, mother_liquor):
    crystal = relation.crystal_in_massecuite(brix, massecuite, mother_liquor)
    thinner = relation.mother_liquor_brix(brix, crystal)
    found = relation.non_sucrose_over_water(brix, massecuite)
    # water is what is left of 100, and costs two digits
    assert found == pytest.approx(
        relation.non_sucrose_over_water(thinner, mother_liquor), abs=EXACT, rel=1e-10
    )


# Worked out apart to one decimal.
def test_non_sucrose_over_water_of_a_usual_last_massecuite():
    assert relation.non_sucrose_over_water(96.0, 57.0) == pytest.approx(10.3, abs=0.05, rel=0)


@given(wanted=st.floats(60, 70), richer=st.floats(70, 90), poorer=st.floats(40, 60))
def test_the_mixing_rule_makes_the_purity_wanted(wanted, richer, poorer):
    assume(richer - poorer > 1)
    share = relation.richer_share_of_solids(wanted, richer, poorer) / 100
    assert share * richer + (1 - share) * poorer == pytest.approx(wanted, abs=EXACT, rel=0)


def test_no_mixture_is_richer_than_both_its_parts():
    with pytest.raises(OutOfRange, match="share of solids"):
        relation.richer_share_of_solids(75.0, 70.0, 50.0)
    assert relation.richer_share_of_solids(70.0, 70.0, 47.3) == 100


@given(massecuite=MASSECUITE, molasses=MOTHER_LIQUOR)
def test_at_the_centrifugal_pure_crystal_is_the_whole_sugar(massecuite, molasses):
    found = relation.sugar_at_centrifugal(massecuite, 100.0, molasses)
    assert found == pytest.approx(crystal_content(massecuite, molasses), abs=EXACT, rel=0)


# With all B and C sugar remelted, every tonne of syrup solids leaves as A sugar or final molasses.
# The recycle shrinks by more than half each round: sixty reach the last digit.
@given(syrup=st.floats(80, 88), last=st.floats(32, 40))
def test_three_boilings_with_full_remelt_obey_the_rule_of_syrup_sugar_and_molasses(syrup, last):
    sugar_a, molasses_a, sugar_b, molasses_b, sugar_c = 99.3, 70.0, 93.0, 50.0, 85.0
    of_b = relation.sugar_at_centrifugal(molasses_a, sugar_b, molasses_b) / 100
    of_c = relation.sugar_at_centrifugal(molasses_b, sugar_c, last) / 100
    remelt, remelt_pol = 0.0, 0.0
    for _ in range(60):
        solids = 1 + remelt
        massecuite = (syrup + remelt_pol) / solids
        share = relation.sugar_at_centrifugal(massecuite, sugar_a, molasses_a) / 100
        into_b = solids * (1 - share)
        made_b, made_c = into_b * of_b, into_b * (1 - of_b) * of_c
        remelt, remelt_pol = made_b + made_c, made_b * sugar_b + made_c * sugar_c
    assert solids * share == pytest.approx(
        float(sugar_solids_share(syrup, sugar_a, last)), abs=EXACT, rel=0
    )


# By hand: a tenth of the size is a thousandth of the weight.
def test_seed_weighs_as_the_cube_of_its_size():
    assert relation.slurry_sugar(1000.0, 10.0, 100.0) == pytest.approx(1, abs=EXACT)
    with pytest.raises(OutOfRange, match="seed over grown"):
        relation.slurry_sugar(1000.0, 100.0, 10.0)


def test_analyses_that_cannot_be_are_refused_and_those_not_made_stay_unknown():
    with pytest.raises(OutOfRange, match="brix is 101 %"):
        relation.crystal_in_massecuite(101.0, 85.0, 65.0)
    with outside_is_nothing():
        found = relation.non_sucrose_over_water([96.0, 101.0, np.nan], 57.0)
    assert np.isnan(found).tolist() == [False, True, True]
