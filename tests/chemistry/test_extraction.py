import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.chemistry import extraction as relation
from app.chemistry.validity import OutOfRange, outside_is_nothing
from tests.examples import published

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


@given(extraction=EXTRACTION, fibre=FIBRE)
def test_juice_lost_without_brix_free_water_is_absolute_juice(extraction, fibre):
    assert relation.lost_undiluted_juice(extraction, fibre, 0.0) == pytest.approx(
        relation.lost_absolute_juice(extraction, fibre), abs=EXACT, rel=0
    )
    less = relation.lost_undiluted_juice(extraction, fibre)
    # a quarter of the weight of fibre is water that carries nothing
    assert less == pytest.approx(
        relation.lost_absolute_juice(extraction, fibre) - 0.25 * (100 - extraction), abs=EXACT
    )


@given(brix=st.floats(10, 20), fibre=FIBRE, held=st.floats(0, 50))
def test_undiluted_juice_holds_all_the_brix_of_cane(brix, fibre, held):
    juice = relation.undiluted_juice_on_cane(fibre, held)
    found = relation.in_undiluted_juice(brix, fibre, held)
    assert juice * found / 100 == pytest.approx(brix, abs=EXACT, rel=0)
    assert juice + fibre * (1 + held / 100) == pytest.approx(100, abs=EXACT, rel=0)


@given(pol=st.floats(0.6, 4.5), fibre=st.floats(40, 54), cane_pol=st.floats(10, 16), of=FIBRE)
def test_what_is_not_extracted_is_the_milling_loss_on_the_fibre_of_cane(pol, fibre, cane_pol, of):
    lost = relation.milling_loss(pol, fibre) * of / cane_pol
    found = relation.extraction_to_bagasse(pol, fibre, cane_pol, of)
    assert found == pytest.approx(100 - lost, abs=EXACT, rel=0)
    bagasse = 100 * of / fibre
    juice_pol = 100 * cane_pol - bagasse * pol
    by_weight = relation.primary_extraction(1.0, juice_pol / 100, 1.0, cane_pol)
    assert found == pytest.approx(by_weight, abs=EXACT, rel=0)


TANDEM = st.lists(st.floats(0.3, 0.8), min_size=3, max_size=6)


@given(left=TANDEM)
def test_what_every_mill_leaves_multiplies_to_what_the_tandem_leaves(left):
    cumulative = 100 * (1 - np.cumprod(left))
    net = relation.net_individual_extraction(cumulative)
    assert net == pytest.approx(100 * (1 - np.array(left)), abs=EXACT, rel=0)


@given(left=TANDEM, mixed=st.integers(1, 3))
def test_true_extraction_closes_the_balance_from_the_last_mill(left, mixed):
    bagasse = [100.0, *(100 * np.cumprod(left))]
    expected, juices, returned = [], [], 0.0
    for mill in range(len(left), 0, -1):
        entering = bagasse[mill - 1] + (returned if mill >= mixed else 0.0)
        returned = entering - bagasse[mill]
        juices.insert(0, returned)
        expected.insert(0, 100 * returned / entering)
    cumulative = 100 - np.array(bagasse[1:])
    found = relation.true_individual_extraction(cumulative, mixed_juice_mills=mixed)
    assert found == pytest.approx(np.array(expected), abs=EXACT, rel=0)
    # the juices of the first mills are mixed juice: they hold all the pol extracted
    assert sum(juices[:mixed]) == pytest.approx(cumulative[-1], abs=EXACT, rel=0)


# By hand: 100 → 35 → 17.5 → 10 → 6; the juice of mill 3 carries 17.5 - 6 to mill 2.
def test_true_extraction_counts_the_pol_brought_back():
    cumulative = np.array([65.0, 82.5, 90, 94])
    net = relation.net_individual_extraction(cumulative)
    assert net == pytest.approx([65, 50, 100 * 7.5 / 17.5, 40], abs=EXACT)
    true = relation.true_individual_extraction(cumulative)
    assert true[0] == net[0]
    assert true[-1] == pytest.approx(net[-1], abs=EXACT)
    assert true[1] == pytest.approx(100 * 29 / (35 + 11.5), abs=EXACT)


def test_mills_may_lie_along_any_axis():
    shifts = np.array([[65.0, 82.5, 90], [60, 80, np.nan]])
    for rule in (relation.net_individual_extraction, relation.true_individual_extraction):
        along_last = rule(shifts)
        np.testing.assert_array_equal(rule(shifts.T, axis=0), along_last.T)
        assert np.isnan(along_last[1, 2])
    assert not np.isnan(relation.net_individual_extraction(shifts)[1, :2]).any()


def test_cumulative_extraction_of_many_shifts_takes_mills_along_the_last_axis():
    pol, fibre = np.array([[8.0, 4, 2], [9, 5, 2.5]]), np.array([[32.0, 42, 48], [31, 41, 47]])
    found = relation.extraction_to_bagasse(pol, fibre, np.array([[13.0], [12]]), 14.0)
    assert found.shape == (2, 3)
    assert found[1, 2] == pytest.approx(100 - 100 * (2.5 / 47) * 14 / 12, abs=EXACT)
    assert (np.diff(found) > 0).all()


# The factor is printed twice, to three and to two decimals, and cut in the first.
@pytest.mark.parametrize("row", published("dry_milling"), ids=lambda row: row["factor"])
def test_dry_milling_factor_agrees_with_the_printed_illustration(row):
    found = relation.dry_milling_factor(float(row["all_juice"]), float(row["crusher_juice"]))
    within = 0.5 * 10 ** -int(row["decimals"])
    assert found == pytest.approx(float(row["factor"]), abs=within + 1e-9, rel=0), row["source"]


@given(juice=st.floats(80, 130), brix=st.floats(10, 16), undiluted=st.floats(16.1, 22))
def test_a_diluted_juice_is_undiluted_juice_and_water(juice, brix, undiluted):
    water = relation.dilution(juice, brix, undiluted)
    whole = relation.undiluted_in_juice(juice, brix, undiluted)
    assert water + whole == pytest.approx(juice, abs=EXACT, rel=0)
    assert whole * undiluted == pytest.approx(juice * brix, abs=EXACT, rel=1e-12)
    on_undiluted = relation.dilution_on_undiluted_juice(brix, undiluted)
    assert on_undiluted == pytest.approx(100 * (undiluted - brix) / brix, abs=EXACT, rel=0)
    assert on_undiluted == pytest.approx(100 * water / whole, abs=EXACT, rel=0)


# By hand: 100 of juice at 14 brix from juice at 20 hold 30 of water, of 36 given.
def test_dilution_on_imbibition_is_the_water_found_again():
    water = relation.dilution(100.0, 14.0, 20.0)
    assert relation.dilution_on_imbibition(water, 36.0) == pytest.approx(100 * 30 / 36, abs=EXACT)


@given(fibre=FIBRE, wet=st.floats(14, 22), dry=st.floats(44, 52))
def test_press_water_and_final_bagasse_make_diffuser_bagasse(fibre, wet, dry):
    pressed = relation.press_water(fibre, wet, dry)
    assert pressed + 100 * fibre / dry == pytest.approx(100 * fibre / wet, abs=EXACT, rel=0)


def test_analyses_that_cannot_be_are_refused():
    with pytest.raises(OutOfRange, match="extraction is -"):
        relation.extraction_to_bagasse(13.0, 14.0, 12.0, 14.0)
    with pytest.raises(OutOfRange, match="cumulative extraction is 101 %"):
        relation.net_individual_extraction([60.0, 101.0])
    with outside_is_nothing():
        assert np.isnan(relation.milling_loss([2.0, 101.0], 48.0)).tolist() == [False, True]
