import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.chemistry import sugar_value as relation
from app.chemistry.recovery import recoverable_pol
from app.chemistry.validity import OutOfRange
from tests.examples import checks, published

POL = st.floats(95, 99.7)
# Floating point alone parts the two sides of an identity, on numbers of about 100.
EXACT = 1e-9


@pytest.mark.parametrize("row", published("raw_sugar_yield"), ids=lambda row: row["pol"])
def test_yield_is_what_molasses_of_50_purity_leaves(row):
    pol, printed = float(row["pol"]), float(row["yield"])
    assert relation.yield_by_pol(pol) == pytest.approx(printed, abs=EXACT, rel=0), row["source"]
    assert recoverable_pol(pol, 100 - pol, 50.0) == pytest.approx(printed, abs=EXACT, rel=0)


# Four decimals were worked out; 1.06125 lies half way, so floating point is allowed for beside.
@pytest.mark.parametrize("row", checks("raw_value"), ids=lambda row: row["pol"])
def test_the_scales_of_raw_value_are_those_worked_out_apart(row):
    scales = {
        "european": relation.european_raw_equivalent,
        "united_states": relation.united_states_raw_value,
        "ratio_to_96": relation.pol_ratio_to_96,
    }
    assert relation.yield_by_pol(float(row["pol"])) == float(row["yield"])
    for name, scale in scales.items():
        found = scale(1.0, float(row["pol"]))
        assert found == pytest.approx(float(row[name]), abs=5e-5 + EXACT, rel=0), (
            name,
            row["source"],
        )


def test_the_scales_agree_at_96_and_part_at_98():
    scales = (
        relation.european_raw_equivalent,
        relation.united_states_raw_value,
        relation.pol_ratio_to_96,
    )
    assert [float(scale(100.0, 96.0)) for scale in scales] == pytest.approx([100] * 3, abs=EXACT)
    at_98 = [float(scale(100.0, 98.0)) for scale in scales]
    assert at_98 == sorted(at_98, reverse=True)
    assert at_98[0] - at_98[-1] > 2


def test_the_united_states_count_no_sugar_below_93_percent():
    assert relation.united_states_raw_value(1.0, [92.0, 90.0]).tolist() == pytest.approx(
        [0.93, 0.93], abs=EXACT
    )


# The pol of both sugars is assumed to fit, so this holds the 0.95 and proves nothing of pol. Four
# decimals are printed.
@pytest.mark.parametrize("row", published("total_reducing_sugars"), ids=lambda row: row["sugar"])
def test_total_reducing_sugars_fit_the_printed_factor(row):
    found = relation.total_reducing_sugars(float(row["assumed_pol"])) / 100
    assert found == pytest.approx(float(row["factor"]), abs=5e-5, rel=0), row["source"]


# The molar masses give 0.950015.
def test_splitting_sucrose_makes_what_the_molar_masses_say():
    assert relation.total_reducing_sugars(95.0) == pytest.approx(
        95 * 360.31 / 342.30, abs=0.002, rel=0
    )


@pytest.mark.parametrize("row", published("european_white_sugar"), ids=lambda row: row["quantity"])
def test_points_of_white_sugar_reach_the_printed_limit(row):
    points = {"colour": relation.european_colour_points, "ash": relation.european_ash_points}
    found = points[row["quantity"]](float(row["at_most"]))
    assert found == pytest.approx(float(row["points"]), abs=EXACT, rel=0), row["source"]


# By hand: 98 - 4.5 × 0.4 - 0.3 - 0.7; 98 - 3 × 0.4 - 2 × 0.3; 98 - 5 × 0.4 - 0.3.
def test_the_rules_of_refined_yield_are_told_apart():
    found = [
        float(relation.yield_south_africa(98.0, 0.4, 0.3, 0.7)),
        float(relation.yield_united_kingdom(98.0, 0.4, 0.3)),
        float(relation.yield_australia(98.0, 0.4, 0.3)),
    ]
    assert found == pytest.approx([95.2, 96.2, 95.7], abs=EXACT, rel=0)


@given(pol=POL, moisture=st.floats(0, 0.2))
def test_dilution_indicator_follows_from_safety_factor(pol, moisture):
    factor = relation.safety_factor(pol, moisture)
    found = relation.dilution_indicator(pol, moisture)
    assert found == pytest.approx(100 * factor / (1 - factor), abs=EXACT, rel=1e-12)


# Worked out apart: a quarter is a third of what is left, a third is half.
@pytest.mark.parametrize(("factor", "indicator"), [(1 / 4, 100 / 3), (1 / 3, 50)])
def test_the_limits_of_both_measures_of_keeping_meet(factor, indicator):
    assert relation.safety_factor(98.0, 2 * factor) == pytest.approx(factor, abs=EXACT)
    assert relation.dilution_indicator(98.0, 2 * factor) == pytest.approx(indicator, abs=EXACT)


def test_ash_on_impurity_leaves_water_out():
    assert relation.ash_on_impurity(0.4, 98.3, 0.2) == pytest.approx(0.4 / 0.015, abs=EXACT)


def test_pol_beyond_100_and_rules_beyond_their_range_are_refused():
    with pytest.raises(OutOfRange, match="pol is 101 %"):
        relation.pol_ratio_to_96(1.0, 101.0)
    with pytest.raises(OutOfRange, match="this holds from 50 to 100 %"):
        relation.european_raw_equivalent(1.0, 49.0)


def test_what_was_not_analysed_stays_unknown():
    assert np.isnan(relation.safety_factor(98.0, np.nan))
    assert np.isnan(relation.united_states_raw_value(1.0, np.nan))
