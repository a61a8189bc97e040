from statistics import mean

import numpy as np
import pytest

from app.chemistry import molasses as relation
from app.chemistry.validity import OutOfRange, outside_is_nothing
from tests.examples import published

TARGETS = published("molasses_target")
RATIOS = np.array([float(row["reducing_sugars_over_ash"]) for row in TARGETS])
PRINTED = np.array([float(row["target_purity"]) for row in TARGETS])

# The print is the mean of many samples' targets, the ratio their mean ratio: on a convex curve the
# former is higher, by up to 0.31 where ratios scatter by a third; rounding adds 0.04.
WITHIN = 0.35


@pytest.mark.parametrize("row", TARGETS, ids=lambda row: row["reducing_sugars_over_ash"])
def test_target_purity_agrees_with_the_printed_survey(row):
    found = relation.target_purity_smri_1995(float(row["reducing_sugars_over_ash"]))
    assert found == pytest.approx(float(row["target_purity"]), abs=WITHIN, rel=0), row["source"]


def test_printed_targets_lie_above_the_curve_as_averages_of_it_must():
    assert (relation.target_purity_smri_1995(RATIOS) < PRINTED).all()


# The mean misses are 3.8 and 6.7 over all twelve factories; only seven are in the file.
@pytest.mark.parametrize(
    ("competing", "above"),
    [(relation.target_purity_rein_smith_1981, 3.8), (relation.target_purity_queensland, 6.7)],
)
def test_the_competing_curves_miss_the_printed_survey(competing, above):
    misses = competing(RATIOS) - PRINTED
    assert misses.min() > 3
    assert mean(misses) == pytest.approx(above, abs=0.1, rel=0)


def test_target_falls_by_13_4_for_ten_times_the_reducing_sugars():
    richest, poorest = relation.target_purity_smri_1995(np.array([5.0, 0.5]))
    assert poorest - richest == pytest.approx(13.4, abs=1e-9, rel=0)


def test_queensland_and_south_africa_meet_their_constants_at_a_ratio_of_one():
    assert relation.target_purity_queensland(1.0) == pytest.approx(40.67, abs=1e-9, rel=0)
    south_africa = relation.target_purity_south_africa_1976(np.array([1.0, 2.0]))
    assert south_africa == pytest.approx([40.13, 29.24], abs=1e-9, rel=0)


# Its signs are inferred: the other way round, more reducing sugars would leave more sucrose.
def test_every_rule_expects_less_sucrose_where_reducing_sugars_are_more_and_ash_is_less():
    ratios = np.linspace(0.5, 2.5, 9)
    for rule in (
        relation.target_purity_smri_1995,
        relation.target_purity_rein_smith_1981,
        relation.target_purity_queensland,
        relation.target_purity_south_africa_1976,
    ):
        assert (np.diff(rule(ratios)) < 0).all()
    assert (np.diff(relation.target_purity_java(np.linspace(5, 50, 9), 25.0)) < 0).all()
    assert (np.diff(relation.target_purity_java(25.0, np.linspace(5, 50, 9))) > 0).all()


# By hand: 35.886 - 0.08088 × 30 + 0.26047 × 25, of 12 and 10 in 80 of dry matter with 40 sucrose.
def test_the_rule_of_java_asks_for_parts_of_what_is_not_sucrose():
    reducing_sugars = relation.on_non_sucrose(12.0, 40.0, 80.0)
    ash = relation.on_non_sucrose(10.0, 40.0, 80.0)
    assert (reducing_sugars, ash) == (30, 25)
    found = relation.target_purity_java(reducing_sugars, ash)
    assert found == pytest.approx(39.97135, abs=1e-9, rel=0)


def test_molasses_at_standard_brix_holds_the_same_solids():
    found = relation.at_standard_brix([100.0, 100.0], 87.0, [85.0, 86.0])
    assert found * [85.0, 86.0] == pytest.approx([8700, 8700], abs=1e-9, rel=0)
    assert found[0] > found[1] > 100


def test_a_slip_of_the_decimal_point_is_refused():
    with pytest.raises(OutOfRange, match="reducing sugars over ash is 0"):
        relation.target_purity_queensland(0.0)
    with pytest.raises(OutOfRange, match="ash is -1 %"):
        relation.target_purity_java(30.0, -1.0)
    with outside_is_nothing():
        found = relation.target_purity_south_africa_1976([0.0, 1.0, np.nan])
    assert np.isnan(found).tolist() == [True, False, True]
