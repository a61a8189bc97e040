"""Molasses, sugar and recovery: figures find what a boiling house was made of."""

import numpy as np
import pytest
from hypothesis import given

from app.compute import compute
from app.plant.measures import MEASURES
from tests.examples import checks
from tests.figures.mills import figures_of, measured, mills, one_mill, plausible

# Floating point alone parts the two sides: a dozen operations on numbers of up to some thousands.
EXACT = 1e-8
GRADES = ("a", "b", "c")


def same(found, expected) -> None:
    assert np.isfinite(expected).all()
    np.testing.assert_allclose(found, expected, rtol=0, atol=EXACT)


BY_CANE = [
    *(f"{grade}_massecuite_{prop}" for grade in GRADES for prop in ("brix", "temperature")),
    *("c_massecuite_cooled_temperature", "c_massecuite_reheated_temperature", "a_molasses_brix"),
    *("b_molasses_brix", "b_magma_brix", "c_magma_brix", "remelt_brix", "remelt_temperature"),
    *("a_mother_liquor_purity", "b_mother_liquor_purity", "c_mother_liquor_purity"),
    "c_mother_liquor_at_strike_purity",
]
BY_SUGAR = [f"sugar_{p}" for p in (
    "pol", "moisture", "ash", "reducing_sugars", "colour", "temperature", "sulphur_dioxide",
    "grain_size", "grain_variation",
)]  # fmt: skip
BY_MOLASSES = [
    f"final_molasses_{p}" for p in ("brix", "pol", "reducing_sugars", "ash", "temperature")
]
WEIGHTS = ("cane", "sugar", "final_molasses")


# 100 at the low end and 300 at the high end of its usual range come to three quarters of the way.
def test_mean_of_a_period_is_by_the_weight_that_carries_it():
    usual = {name: MEASURES[name].usual for name in (*BY_CANE, *BY_SUGAR, *BY_MOLASSES)}
    sheets = [
        dict.fromkeys(WEIGHTS, weight) | {name: ends[end] for name, ends in usual.items()}
        for weight, end in ((100.0, 0), (300.0, 1))
    ]
    answer = compute([{"measures": sheet} for sheet in sheets])
    for name, (low, high) in usual.items():
        each = [period["figures"][name]["value"] for period in answer["periods"]]
        assert each == [low, high], name
        mean = answer["to_date"]["figures"][name]["value"]
        assert mean == pytest.approx(0.25 * low + 0.75 * high, abs=EXACT, rel=0), name


PURITIES = (
    *(f"{grade}_massecuite" for grade in GRADES),
    *("a_molasses", "b_molasses", "b_magma", "c_magma", "remelt"),
)


# By hand: 100 × 63 + 300 × 41.4 of pol in 100 × 84 + 300 × 76 of brix are 60, not 59.6.
def test_purity_of_a_period_is_all_its_pol_over_all_its_brix():
    first, second = ({"brix": 84.0, "pol": 63.0}, {"brix": 76.0, "pol": 41.4})
    sheets = [
        {"cane": cane} | {f"{s}_{prop}": v for s in PURITIES for prop, v in sample.items()}
        for cane, sample in ((100.0, first), (300.0, second))
    ]
    answer = compute([{"measures": sheet} for sheet in sheets])
    for stream in PURITIES:
        found = answer["to_date"]["figures"][f"{stream}_purity"]["value"]
        assert found == pytest.approx(60.0, abs=EXACT, rel=0), stream


SELDOM = (
    *(name for name in BY_CANE if name.endswith(("temperature", "liquor_purity"))),
    *("c_mother_liquor_at_strike_purity", "sugar_ash", "sugar_reducing_sugars"),
    *("sugar_sulphur_dioxide", "sugar_grain_size", "sugar_grain_variation"),
)


def test_an_analysis_made_once_stands_for_its_period():
    usual = {name: sum(MEASURES[name].usual) / 2 for name in SELDOM}
    once = {"cane": 900.0, "sugar": 100.0} | usual
    others = {"cane": 1000.0, "sugar": 120.0}
    answer = compute([{"measures": sheet} for sheet in (others, once, others)])
    for name, expected in usual.items():
        found = answer["to_date"]["figures"][name]["value"]
        assert found == pytest.approx(expected, abs=EXACT, rel=0), name


@plausible
@given(mills())
def test_a_house_that_loses_nothing_but_molasses_performs_at_100(made_of):
    nothing = {"cake_pol": 0 * made_of["cane"], "undetermined": 0 * made_of["cane"]}
    found = figures_of(measured(made_of | nothing))
    same(found["boiling_house_performance"], 100 + 0 * made_of["cane"])
    same(found["virtual_molasses_purity_beside_sugar"], made_of["molasses_purity"])


@plausible
@given(mills())
def test_virtual_purity_beside_sugar_explains_the_recovery(made_of):
    found = figures_of(measured(made_of))
    juice, sugar = found["mixed_juice_purity"], found["sugar_purity"]
    virtual = found["virtual_molasses_purity_beside_sugar"]
    explained = 100 * sugar * (juice - virtual) / (juice * (sugar - virtual))
    same(explained, found["boiling_house_recovery"])


@plausible
@given(mills())
def test_solids_parted_by_the_sjm_rule_hold_all_the_pol(made_of):
    found = figures_of(measured(made_of))
    to_sugar = found["sjm_solids_to_sugar"]
    pol = to_sugar * found["sugar_purity"] + (100 - to_sugar) * found["final_molasses_purity"]
    same(pol, 100 * found["mixed_juice_purity"])


@plausible
@given(mills())
def test_pure_sugar_obtainable_is_pol_times_basic_recovery(made_of):
    found = figures_of(measured(made_of))
    basic = found["basic_boiling_house_recovery"]
    same(found["winter_carp_sugar"], found["pol_in_mixed_juice"] * basic / 100)
    granulated = found["boiling_house_recovery"] * (1.4 - 40 / found["sugar_purity"])
    same(found["boiling_house_recovery_esg"], granulated)
    obtained = 100 * found["esg_in_sugar"] / found["winter_carp_sugar"]
    same(found["boiling_house_efficiency"], obtained)


@plausible
@given(mills())
def test_each_rule_of_reduced_recovery_is_its_closed_form(made_of):
    found = figures_of(measured(made_of))
    juice, recovery = found["mixed_juice_purity"], found["boiling_house_recovery_esg"]
    closed = 100 - (100 - recovery) * juice * 15 / (85 * (100 - juice))
    same(found["reduced_recovery_virtual_purity_held"], closed)
    basic = found["basic_boiling_house_recovery"]
    same(found["reduced_recovery_efficiency_held"], recovery * (140 - 4000 / 85) / basic)


# Two decimals are written down.
@pytest.mark.parametrize("row", checks("reduced_recovery"), ids=lambda row: row["juice_purity"])
def test_the_two_rules_part_away_from_85_purity(row):
    given_ = {"mixed_juice_purity": float(row["juice_purity"])}
    given_ |= {"pol_in_mixed_juice": 100.0, "esg_in_sugar": float(row["recovery"])}
    found = compute({"measures": given_})["figures"]
    for rule in ("efficiency_held", "virtual_purity_held"):
        value = found[f"reduced_recovery_{rule}"]["value"]
        assert value == pytest.approx(float(row[rule]), abs=0.005, rel=0), row["source"]


# By hand: 12 % each of reducing sugars and ash are 24 % of the 50 % that is neither water nor
# sucrose, and 35.886 - 0.08088 × 24 + 0.26047 × 24 comes to 40.19616.
def test_the_target_of_queensland_and_of_java_is_that_of_their_rule():
    sheet = {"final_molasses": 40.0, "final_molasses_brix": 85.0, "final_molasses_sucrose": 35.0}
    sheet |= {"final_molasses_reducing_sugars": 12.0, "final_molasses_ash": 12.0}
    for rule, target in {"Queensland": 40.67, "Java": 40.19616}.items():
        found = figures_of(sheet, target_purity_rule=rule)
        same(found["final_molasses_target_purity"], np.array([target]))
        true = figures_of(sheet, target_purity_rule=rule, molasses_purity_compared="true")
        same(true["target_purity_difference"], np.array([3500 / 85 - target]))


# Where the mill accounts on sucrose its pol box holds sucrose: 34 of 85 is a true purity of 40.
def test_purity_of_molasses_is_true_where_the_mill_accounts_on_sucrose():
    sheet = {"final_molasses": 40.0, "final_molasses_brix": 85.0, "final_molasses_pol": 34.0}
    assert np.isnan(figures_of(sheet)["final_molasses_true_purity"]).all()
    on_sucrose = figures_of(sheet, pol_basis="sucrose")
    same(on_sucrose["final_molasses_true_purity"], np.array([40.0]))


def test_stock_correction_is_the_estimated_part_of_the_sugar():
    given_ = {"sugar": 990.0, "sugar_in_stock": 40.0, "opening_sugar_in_stock": 30.0}
    found = compute({"measures": given_})["figures"]["stock_correction"]["value"]
    assert found == pytest.approx(1.0, abs=EXACT, rel=0)


def test_a_mill_in_the_middle_of_every_range_is_within_usual_figures():
    found = figures_of(measured(one_mill()))
    assert 84 < found["boiling_house_recovery"][0] < found["sjm_recovery"][0] < 92
    assert 96 < found["boiling_house_performance"][0] < 99
