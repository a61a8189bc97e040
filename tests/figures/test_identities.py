"""Two formulations of one thing agree, in any mill; and figures find what a mill was made of."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.figures.stock import VESSELS
from tests.figures.mills import figures_of, measured, mills, plausible

# Floating point alone parts the two sides: a dozen operations on numbers of up to some thousands.
EXACT = 1e-8


def same(found: np.ndarray, expected: np.ndarray) -> None:
    assert np.isfinite(expected).all()
    np.testing.assert_allclose(found, expected, rtol=0, atol=EXACT)


@plausible
@given(mills())
def test_figures_find_what_the_mill_was_made_of(made_of):
    found = figures_of(measured(made_of))
    same(found["cane_fibre"], made_of["fibre"])
    same(found["cane_brix"], made_of["brix"])
    same(found["cane_pol"], made_of["brix"] * made_of["purity"] / 100)
    same(found["pol_extraction"], made_of["extraction"])
    same(found["residual_juice_purity"], made_of["residual_purity"])
    same(found["imbibition_on_fibre"], made_of["imbibition_on_fibre"])
    same(found["filter_cake_on_cane"], made_of["cake_on_cane"])
    same(found["final_molasses_purity"], made_of["molasses_purity"])
    same(found["undetermined_loss"], made_of["undetermined"])


@plausible
@given(mills())
def test_suspended_solids_counted_as_fibre_are_found_in_the_fibre_of_cane(made_of):
    entered = measured(made_of, solids_as_fibre=True)
    found = figures_of(entered, suspended_solids="counted as fibre")
    same(found["cane_fibre"], made_of["fibre"])
    same(found["cane_brix"], made_of["brix"])
    same(found["pol_extraction"], made_of["extraction"])
    same(found["undetermined_loss"], made_of["undetermined"])


@plausible
@given(mills())
def test_overall_recovery_is_extraction_times_boiling_house_recovery(made_of):
    found = figures_of(measured(made_of))
    same(found["overall_recovery"], found["pol_extraction"] * found["boiling_house_recovery"] / 100)


@plausible
@given(mills())
def test_recovery_and_losses_are_all_the_pol_in_cane(made_of):
    found = figures_of(measured(made_of))
    lost = sum(
        found[f"{place}_loss"]
        for place in ("bagasse", "filter_cake", "final_molasses", "undetermined")
    )
    same(lost, 100 - found["overall_recovery"])


@plausible
@given(mills())
def test_extraction_needs_no_weights(made_of):
    entered = measured(made_of)
    by_weight = figures_of(entered)
    of_samples = {
        name: entered[name]
        for name in (
            "bagasse_pol",
            "bagasse_moisture",
            "last_expressed_juice_pol",
            "last_expressed_juice_brix",
        )
    }
    cane = {"cane_fibre": made_of["fibre"], "cane_pol": by_weight["cane_pol"]}
    found = figures_of(of_samples | cane)
    same(found["pol_extraction"], by_weight["pol_extraction"])
    same(found["reduced_extraction"], by_weight["reduced_extraction"])
    same(found["milling_loss"], by_weight["milling_loss"])


@plausible
@given(mills())
def test_pol_not_extracted_is_milling_loss_times_fibre_over_pol(made_of):
    found = figures_of(measured(made_of))
    same(
        100 - found["pol_extraction"],
        found["milling_loss"] * found["cane_fibre"] / found["cane_pol"],
    )


@plausible
@given(mills())
def test_lost_absolute_juice_is_the_brix_left_in_bagasse_as_juice_of_the_cane(made_of):
    found = figures_of(measured(made_of))
    juice_in_cane = found["cane"] - found["fibre_in_cane"]
    lost = found["brix_in_bagasse"] * juice_in_cane / found["brix_in_cane"]
    same(found["lost_absolute_juice"], 100 * lost / found["fibre_in_cane"])


@plausible
@given(mills())
def test_reduced_extraction_is_a_seventh_of_the_juice_lost_on_pol(made_of):
    found = figures_of(measured(made_of))
    juice_in_cane = found["cane"] - found["fibre_in_cane"]
    lost = found["pol_in_bagasse"] * juice_in_cane / found["pol_in_cane"]
    same(found["reduced_extraction"], 100 - 100 * lost / found["fibre_in_cane"] / 7)


@plausible
@given(mills(), st.booleans())
def test_water_in_is_water_out(made_of, as_fibre):
    counted = "counted as fibre" if as_fibre else "left in juice"
    found = figures_of(measured(made_of, solids_as_fibre=as_fibre), suspended_solids=counted)
    water_in_cane = found["cane"] - found["fibre_in_cane"] - found["brix_in_cane"]
    water_in_juice = found["net_mixed_juice"] - found["brix_in_mixed_juice"]
    same(found["imbibition"] + water_in_cane, water_in_juice + found["water_in_bagasse"])


@plausible
@given(mills())
def test_bagasse_is_what_cane_and_imbibition_leave_beside_mixed_juice(made_of):
    entered = measured(made_of)
    weighed = figures_of(entered)
    del entered["bagasse"]
    same(figures_of(entered)["bagasse"], weighed["bagasse"])


@plausible
@given(mills())
def test_basic_recovery_is_the_sjm_rule_with_pure_sugar_and_two_sevenths(made_of):
    found = figures_of(measured(made_of))
    juice, molasses = found["mixed_juice_purity"], 200 / 7
    same(
        found["basic_boiling_house_recovery"],
        100 * 100 * (juice - molasses) / (juice * (100 - molasses)),
    )


@plausible
@given(mills())
def test_recovery_after_cake_and_undetermined_is_the_sjm_rule(made_of):
    found = figures_of(measured(made_of))
    reaching = found["pol_in_mixed_juice"] - found["pol_in_filter_cake"] - found["undetermined_pol"]
    same(100 * found["pol_in_sugar"] / reaching, found["sjm_recovery"])


@plausible
@given(mills())
def test_both_ways_of_writing_equivalent_standard_granulated_agree(made_of):
    found = figures_of(measured(made_of))
    per_pol = 1.4 - 40 / found["sugar_purity"]
    same(found["esg_in_sugar"], found["pol_in_sugar_bagged"] * per_pol)
    same(found["sugar_esg"], 100 * found["esg_in_sugar"] / found["sugar"])


@plausible
@given(mills())
def test_reduced_recovery_is_the_closed_form(made_of):
    found = figures_of(measured(made_of))
    juice, recovery = found["mixed_juice_purity"], found["boiling_house_recovery_esg"]
    closed = 100 - (100 - recovery) * juice * 15 / (85 * (100 - juice))
    same(found["reduced_boiling_house_recovery"], closed)
    same(found["reduced_overall_recovery"], found["reduced_extraction"] * closed / 100)


@plausible
@given(mills())
def test_dilution_indicator_follows_from_the_safety_factor(made_of):
    found = figures_of(measured(made_of))
    factor = found["safety_factor"]
    same(found["dilution_indicator"], 100 * factor / (1 - factor))


# 0.3 water in 1.2 that is not pol: a factor of 0.25, an indicator of 33.3.
def test_a_safety_factor_of_a_quarter_is_a_dilution_indicator_of_a_third():
    found = figures_of({"sugar_pol": 98.8, "sugar_moisture": 0.3})
    assert found["safety_factor"][0] == pytest.approx(0.25, abs=EXACT)
    assert found["dilution_indicator"][0] == pytest.approx(100 / 3, abs=EXACT)


GRADES = {"a": "a_molasses", "b": "b_molasses", "c": "final_molasses"}


@plausible
@given(st.sampled_from(sorted(GRADES)), st.floats(50, 90), st.floats(25, 45))
def test_crystal_is_the_exhausted_part_of_the_massecuite(grade, massecuite, molasses):
    found = figures_of(
        {f"{grade}_massecuite_purity": massecuite, f"{GRADES[grade]}_purity": molasses}
    )
    same(
        found[f"{grade}_massecuite_exhaustion"] * massecuite / 100,
        found[f"{grade}_massecuite_crystal"],
    )
    same(found[f"{grade}_massecuite_purity_drop"], np.array([massecuite - molasses]))


@plausible
@given(
    st.lists(
        st.tuples(st.floats(0, 300), st.floats(20, 80), st.floats(10, 97), st.floats(40, 95)),
        min_size=len(VESSELS),
        max_size=len(VESSELS),
    )
)
def test_recoverable_sugar_and_molasses_hold_all_the_pol_in_stock(contents):
    properties = ("volume", "temperature", "brix", "purity")
    entered = {
        f"{vessel}_{prop}": value
        for vessel, held in zip(VESSELS, contents, strict=True)
        for prop, value in zip(properties, held, strict=True)
    }
    found = figures_of(
        entered,
        standing_sugar_purity=99.0,
        standing_molasses_purity=34.0,
        standard_molasses_brix=86,
    )
    molasses_solids = found["molasses_in_stock"] * 0.86
    same(found["recoverable_pol_in_stock"] + molasses_solids * 0.34, found["pol_in_stock"])
    sugar_solids = 100 * found["recoverable_pol_in_stock"] / 99.0
    same(sugar_solids + molasses_solids, found["brix_in_stock"])


def test_material_richer_than_sugar_is_all_recoverable():
    entered = {f"{vessel}_volume": 0.0 for vessel in VESSELS}
    entered |= {
        "magma_mixers_temperature": 40,
        "magma_mixers_brix": 90,
        "magma_mixers_purity": 99.9,
    }
    found = figures_of(entered | {"magma_mixers_volume": 10})
    same(found["recoverable_pol_in_magma_mixers"], found["pol_in_magma_mixers"])
