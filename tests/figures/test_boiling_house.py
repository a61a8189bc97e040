"""Massecuites, molasses, sugar and recovery: figures find what a boiling house was made of."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.chemistry.density import sucrose_solution_density
from app.compute import compute
from tests.examples import checks
from tests.figures.mills import figures_of, measured, mills, one_mill, plausible

# Floating point alone parts the two sides: a dozen operations on numbers of up to some thousands.
EXACT = 1e-8
MOLASSES = {"a": "a_molasses", "b": "b_molasses", "c": "final_molasses"}


def same(found, expected) -> None:
    assert np.isfinite(expected).all()
    np.testing.assert_allclose(found, expected, rtol=0, atol=EXACT)


GRADES = st.sampled_from(sorted(MOLASSES))


@plausible
@given(GRADES, st.floats(200, 600), st.floats(100, 400), st.floats(50, 200), st.floats(10, 60))
def test_figures_find_the_crystal_that_a_massecuite_was_made_of(
    grade, crystal, sucrose, other, water
):
    total, solids = crystal + sucrose + other + water, crystal + sucrose + other
    liquor_purity = 100 * sucrose / (sucrose + other)
    found = figures_of(
        {
            f"{grade}_massecuite_brix": 100 * solids / total,
            f"{grade}_massecuite_purity": 100 * (crystal + sucrose) / solids,
            f"{MOLASSES[grade]}_purity": liquor_purity,
        }
    )
    same(found[f"{grade}_massecuite_crystal_on_massecuite"], np.array([100 * crystal / total]))
    same(found[f"{grade}_massecuite_crystal"], np.array([100 * crystal / solids]))
    exhausted = 100 * crystal / (crystal + sucrose)
    same(found[f"{grade}_massecuite_exhaustion"], np.array([exhausted]))
    dropped = 100 * (crystal + sucrose) / solids - liquor_purity
    same(found[f"{grade}_massecuite_purity_drop"], np.array([dropped]))
    # the same in the massecuite as in the liquor between its crystals
    same(found[f"{grade}_massecuite_non_sucrose_over_water"], np.array([other / water]))


@plausible
@given(st.floats(80, 88), st.floats(66, 72), st.floats(46, 52), st.floats(32, 38))
def test_three_boilings_with_all_b_and_c_sugar_remelted_obey_the_sjm_rule(syrup, a, b, last):
    sugar, b_magma, c_magma = 99.3, 93.0, 84.0
    # of each unit of solids in A molasses: what comes back as B magma and as C magma
    b_back = (a - b) / (b_magma - b)
    c_back = (1 - b_back) * (b - last) / (c_magma - last)
    back_pol = b_back * b_magma + c_back * c_magma
    # solids and pol of the A boiling: syrup and magma in, sugar and A molasses out
    made, a_out = np.linalg.solve([[1, 1 - b_back - c_back], [sugar, a - back_pol]], [1, syrup])
    purity = (syrup + a_out * back_pol) / (made + a_out)
    found = figures_of(
        {
            **{"mixed_juice_purity": syrup, "sugar_purity": sugar, "final_molasses_purity": last},
            **{"b_magma_purity": b_magma, "c_magma_purity": c_magma},
            **{"a_molasses_purity": a, "b_molasses_purity": b},
            **{"a_massecuite_purity": purity, "b_massecuite_purity": a, "c_massecuite_purity": b},
        }
    )
    split = {grade: found[f"{grade}_massecuite_solids_to_sugar"][0] / 100 for grade in MOLASSES}
    same(split["a"] * (made + a_out), np.array(made))
    same(split["b"], np.array(b_back))
    same((1 - split["b"]) * split["c"], np.array(c_back))
    same(found["sjm_solids_to_sugar"], np.array([100 * made]))
    same(100 - found["sjm_solids_to_sugar"], 100 * a_out * (1 - split["b"]) * (1 - split["c"]))


@plausible
@given(GRADES, st.floats(100, 900), st.floats(90, 97), st.floats(60, 70), st.floats(0, 10))
def test_massecuite_is_what_filled_the_volume_beside_the_air(grade, tonnes, brix, warm, air):
    solid = 1000 * tonnes / sucrose_solution_density(brix, warm)
    found = figures_of(
        {
            f"{grade}_massecuite_volume": solid / (1 - air / 100),
            f"{grade}_massecuite_brix": brix,
            f"{grade}_massecuite_temperature": warm,
        },
        massecuite_air=air,
    )
    same(found[f"{grade}_massecuite"], np.array([tonnes]))


@plausible
@given(mills())
def test_each_massecuite_adds_to_all_of_it_per_brix_and_per_cane(made_of):
    struck = {"a": 150.0, "b": 60.0, "c": 40.0}
    volumes = {f"{g}_massecuite_volume": v + 0 * made_of["cane"] for g, v in struck.items()}
    juice = measured(made_of)
    purity = 100 * juice["mixed_juice_pol"] / juice["mixed_juice_brix"]
    found = figures_of(juice | volumes | {"filtrate_purity": purity})
    for per in ("on_brix", "on_cane"):
        same(sum(found[f"{g}_massecuite_{per}"] for g in struck), found[f"massecuite_{per}"])
    in_cake = found["pol_in_filter_cake"] / purity * 100
    same(found["massecuite_on_brix"] * (found["brix_in_mixed_juice"] - in_cake), np.array(250.0))
    same(found["massecuite_on_cane"] * found["cane"], np.array(2500.0))


def test_brix_to_the_pans_may_be_that_of_clear_juice_weighed():
    sheet = {"clear_juice": 1000.0, "clear_juice_brix": 15.0, "mixed_juice": 1100.0}
    sheet |= {"mixed_juice_brix": 14.0, "filter_cake": 0.0, "filter_cake_pol": 1.5}
    sheet |= {"filtrate_purity": 80.0}
    same(figures_of(sheet)["brix_to_pans"], np.array([154.0]))
    weighed = figures_of(sheet, brix_to_pans_from="clear juice weighed")
    same(weighed["brix_to_pans"], np.array([150.0]))


# 50 t of remelt of 64 °Bx hold 32 t of brix, whatever volume they fill.
def test_remelt_holds_the_brix_of_its_weight():
    volume = 50_000 / sucrose_solution_density(64, 65)
    sheet = {"remelt_volume": volume, "remelt_brix": 64, "remelt_temperature": 65}
    found = compute({"measures": sheet | {"brix_to_pans": 160}})["figures"]
    assert found["brix_in_remelt"]["value"] == pytest.approx(32.0, abs=EXACT, rel=0)
    assert found["remelt_share"]["value"] == pytest.approx(20.0, abs=EXACT, rel=0)


def test_cooling_and_curing_are_differences_of_what_was_measured():
    sheet = {"c_massecuite_temperature": 66, "c_massecuite_cooled_temperature": 42}
    sheet |= {"c_massecuite_reheated_temperature": 54, "final_molasses_purity": 36}
    sheet |= {"c_mother_liquor_at_strike_purity": 38, "c_mother_liquor_purity": 34}
    sheet |= {"a_molasses_purity": 70, "a_mother_liquor_purity": 67}
    sheet |= {"b_molasses_purity": 50, "b_mother_liquor_purity": 48.5}
    found = figures_of(sheet)
    expected = {"c_massecuite_cooling": 24, "c_massecuite_reheating": 12}
    expected |= {"c_crystallizer_purity_drop": 4, "c_centrifugal_purity_rise": 2}
    expected |= {"a_centrifugal_purity_rise": 3, "b_centrifugal_purity_rise": 1.5}
    assert {name: found[name][0] for name in expected} == expected


BY_CANE = [
    *(f"{grade}_massecuite_{prop}" for grade in MOLASSES for prop in ("brix", "temperature")),
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


# By hand: 100 at 30 and 300 at 50 come to 45, not to 40.
def test_mean_of_a_period_is_by_the_weight_that_carries_it():
    names = (*BY_CANE, *BY_SUGAR, *BY_MOLASSES)
    sheets = [
        dict.fromkeys(WEIGHTS, 100.0) | dict.fromkeys(names, 30.0),
        dict.fromkeys(WEIGHTS, 300.0) | dict.fromkeys(names, 50.0),
    ]
    answer = compute([{"measures": sheet} for sheet in sheets])
    for name in names:
        each = [period["figures"][name]["value"] for period in answer["periods"]]
        assert each == [30, 50], name
        mean = answer["to_date"]["figures"][name]["value"]
        assert mean == pytest.approx(45.0, abs=EXACT, rel=0), name


PURITIES = (
    *(f"{grade}_massecuite" for grade in MOLASSES),
    *("a_molasses", "b_molasses", "b_magma", "c_magma", "remelt"),
)


# By hand: 100 × 72 + 300 × 30 of pol in 100 × 90 + 300 × 60 of brix are 60, not 65.
def test_purity_of_a_period_is_all_its_pol_over_all_its_brix():
    first, second = ({"brix": 90.0, "pol": 72.0}, {"brix": 60.0, "pol": 30.0})
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
    once = {"cane": 900.0, "sugar": 100.0} | dict.fromkeys(SELDOM, 36.5)
    others = {"cane": 1000.0, "sugar": 120.0}
    answer = compute([{"measures": sheet} for sheet in (others, once, others)])
    for name in SELDOM:
        found = answer["to_date"]["figures"][name]["value"]
        assert found == pytest.approx(36.5, abs=EXACT, rel=0), name


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


def test_stock_correction_is_the_estimated_part_of_the_sugar():
    given_ = {"sugar": 990.0, "sugar_in_stock": 40.0, "opening_sugar_in_stock": 30.0}
    found = compute({"measures": given_})["figures"]["stock_correction"]["value"]
    assert found == pytest.approx(1.0, abs=EXACT, rel=0)


def test_a_mill_in_the_middle_of_every_range_is_within_usual_figures():
    found = figures_of(measured(one_mill()))
    assert 84 < found["boiling_house_recovery"][0] < found["sjm_recovery"][0] < 92
    assert 96 < found["boiling_house_performance"][0] < 99
