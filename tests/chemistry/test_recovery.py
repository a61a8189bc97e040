import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.chemistry import recovery as relation
from app.chemistry.validity import OutOfRange, outside_is_nothing
from tests.examples import checks, published

PURITY = st.floats(60, 95)
# Floating point alone parts the two sides of an identity, on numbers of about 100.
EXACT = 1e-9


@pytest.mark.parametrize("row", published("winter_carp"), ids=lambda row: row["molasses_purity"])
def test_nothing_is_recovered_from_juice_as_poor_as_the_molasses_of_winter_carp(row):
    # Half of the last digit printed, 0.005, is worth 4000/28.57² of recovery.
    within = 0.005 * 4000 / 28.57**2
    poorest = float(row["molasses_purity"])
    assert relation.winter_carp_recovery(poorest) == pytest.approx(0, abs=within), row["source"]


@pytest.mark.parametrize("row", published("winter_carp"), ids=lambda row: row["molasses_purity"])
def test_winter_carp_leaves_the_printed_pol_with_each_unit_of_impurity(row):
    juice, impurity = 80.0, 20.0
    left = juice * (1 - relation.winter_carp_recovery(juice) / 100)
    printed = float(row["pol_per_unit_impurity"])
    assert left / impurity == pytest.approx(printed, abs=EXACT, rel=0), row["source"]


@given(juice=PURITY)
def test_winter_carp_is_the_sjm_rule_with_pure_sugar_and_two_parts_in_seven(juice):
    assert relation.winter_carp_recovery(juice) == pytest.approx(
        float(relation.sjm_recovery(juice, 100.0, 200 / 7)), abs=EXACT, rel=0
    )


@given(juice=PURITY, sugar=st.floats(96, 100), molasses=st.floats(20, 50))
def test_the_two_products_of_the_sjm_rule_hold_all_the_pol(juice, sugar, molasses):
    share = relation.sugar_solids_share(juice, sugar, molasses)
    assert share * sugar + (1 - share) * molasses == pytest.approx(juice, abs=EXACT, rel=0)
    recovered = relation.sjm_recovery(juice, sugar, molasses)
    assert share * sugar / juice * 100 == pytest.approx(recovered, abs=EXACT, rel=0)


@given(juice=PURITY, molasses=st.floats(20, 50))
def test_with_pure_sugar_what_is_not_recovered_is_the_pol_that_non_pol_holds_back(juice, molasses):
    held_back = (100 - juice) * molasses / (100 - molasses)
    recovered = relation.sjm_recovery(juice, 100.0, molasses)
    assert 100 * (juice - held_back) / juice == pytest.approx(recovered, abs=EXACT, rel=0)


@pytest.mark.parametrize(
    ("juice", "sugar", "molasses"), [(35, 99, 35), (30, 99, 35), (99, 99, 35), (99.5, 99, 35)]
)
def test_the_sjm_rule_says_nothing_outside_its_range(juice, sugar, molasses):
    purities = np.array(juice), np.array(sugar), np.array(molasses)
    with pytest.raises(OutOfRange, match="purity over"):
        relation.sjm_recovery(*purities)
    with outside_is_nothing():
        assert np.isnan(relation.sjm_recovery(*purities))


def test_material_poorer_than_molasses_gives_no_sugar_and_richer_than_sugar_gives_nothing_else():
    assert relation.sugar_solids_share(np.array([30.0, 35.0, 99.5]), 99.2, 35.0).tolist() == [
        0,
        0,
        1,
    ]


@given(pol=st.floats(95, 99.5), moisture=st.floats(0, 0.5))
def test_both_ways_of_writing_equivalent_standard_granulated_agree(pol, moisture):
    purity = 100 * pol / (100 - moisture)
    assert relation.equivalent_standard_granulated(pol, moisture) == pytest.approx(
        pol * (1.4 - 40 / purity), abs=EXACT, rel=0
    )


def test_pure_dry_sugar_is_its_own_equivalent():
    assert relation.equivalent_standard_granulated(100.0, 0.0) == pytest.approx(100, abs=EXACT)


# Worked by hand: 1.4 × 98.60 - 0.4 × 99.70.
def test_equivalent_of_a_usual_raw_sugar():
    assert relation.equivalent_standard_granulated(98.60, 0.30) == pytest.approx(98.16, abs=EXACT)


@given(juice=st.floats(70, 95), recovery=st.floats(75, 97))
def test_virtual_purity_held_is_the_closed_form(juice, recovery):
    virtual = relation.virtual_molasses_purity(juice, recovery)
    closed = 100 - (100 - recovery) * juice * 15 / (85 * (100 - juice))
    assert relation.recovery_at_standard_juice(virtual) == pytest.approx(closed, abs=1e-8, rel=0)


@given(juice=st.floats(70, 95), recovery=st.floats(75, 97))
def test_virtual_purity_alone_explains_the_recovery(juice, recovery):
    virtual = relation.virtual_molasses_purity(juice, recovery)
    explained = 100 * (juice - virtual) * 100 / (juice * (100 - virtual))
    assert explained == pytest.approx(recovery, abs=EXACT, rel=0)


# Two decimals are printed.
@pytest.mark.parametrize(
    "row", checks("reduced_recovery"), ids=lambda row: f"juice {row['juice_purity']}"
)
def test_the_two_rules_of_reduced_recovery_part_as_they_should(row):
    juice, recovery = float(row["juice_purity"]), float(row["recovery"])
    virtual = relation.virtual_molasses_purity(juice, recovery)
    efficiency = 100 * recovery / relation.winter_carp_recovery(juice)
    held = {
        "virtual_purity_held": relation.recovery_at_standard_juice(virtual),
        "efficiency_held": relation.recovery_at_constant_efficiency(efficiency),
    }
    for rule, found in held.items():
        assert found == pytest.approx(float(row[rule]), abs=0.005, rel=0), (rule, row["source"])


@given(recovery=st.floats(75, 97))
def test_at_85_purity_both_rules_leave_recovery_as_it_is(recovery):
    virtual = relation.virtual_molasses_purity(85.0, recovery)
    efficiency = 100 * recovery / relation.winter_carp_recovery(85.0)
    assert relation.recovery_at_standard_juice(virtual) == pytest.approx(recovery, abs=EXACT)
    assert relation.recovery_at_constant_efficiency(efficiency) == pytest.approx(
        recovery, abs=EXACT
    )


@given(juice=st.floats(70, 95), sugar=st.floats(97, 100), molasses=st.floats(25, 50))
def test_virtual_purity_beside_real_sugar_finds_the_molasses_of_a_house_without_losses(
    juice, sugar, molasses
):
    recovery = relation.sjm_recovery(juice, sugar, molasses)
    found = relation.virtual_molasses_purity_beside_sugar(juice, recovery, sugar)
    # 100 S - J R is small beside its terms, which costs three digits
    assert found == pytest.approx(molasses, abs=1e-8, rel=0)


@given(juice=st.floats(70, 95), recovery=st.floats(75, 97))
def test_virtual_purity_beside_pure_sugar_is_the_usual_one(juice, recovery):
    found = relation.virtual_molasses_purity_beside_sugar(juice, recovery, 100.0)
    usual = relation.virtual_molasses_purity(juice, recovery)
    assert found == pytest.approx(usual, abs=1e-8, rel=0)


@given(pol=st.floats(8, 20), juice=PURITY, molasses=st.floats(20, 50))
def test_recoverable_pol_is_the_sjm_rule_with_pure_sugar(pol, juice, molasses):
    non_pol = pol * (100 - juice) / juice
    found = relation.recoverable_pol(pol, non_pol, molasses)
    share = relation.sjm_recovery(juice, 100.0, molasses)
    assert 100 * found / pol == pytest.approx(float(share), abs=EXACT, rel=0)


@pytest.mark.parametrize("row", published("winter_carp"), ids=lambda row: row["molasses_purity"])
def test_the_molasses_of_winter_carp_hold_the_printed_pol(row):
    # half the last digit of 28.57 is worth 0.005 × 100 ÷ 71.43²
    found = relation.pol_held_by_non_pol(float(row["molasses_purity"]))
    within = 0.005 * 100 / 71.43**2
    printed = float(row["pol_per_unit_impurity"])
    assert found == pytest.approx(printed, abs=within, rel=0), row["source"]


# By definition: a half at a third, as much again at a half.
@pytest.mark.parametrize(("purity", "held"), [(100 / 3, 0.5), (50, 1)])
def test_pol_held_is_the_purity_over_what_is_left(purity, held):
    assert relation.pol_held_by_non_pol(purity) == pytest.approx(held, abs=EXACT, rel=0)


def test_factory_recovery_index_is_sugar_made_on_sugar_expected():
    assert relation.factory_recovery_index([91.0, np.nan], 100.0).tolist() == pytest.approx(
        [91, np.nan], abs=EXACT, nan_ok=True
    )


def test_purities_beyond_100_are_refused():
    with pytest.raises(OutOfRange, match="sugar purity is 101"):
        relation.virtual_molasses_purity_beside_sugar(85.0, 88.0, 101.0)
