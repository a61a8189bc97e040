"""Checks of results: each seeded broken in a mill that raises none, and what it tells then."""

from datetime import timedelta

import numpy as np
import pytest

from app.figures import FIGURES
from app.figures.conventions import CONVENTIONS
from app.figures.declare import ENTERED
from app.plant.measures import MEASURES
from app.plant.plan import DUE, Part, Plan, Sampling
from app.reports.checks import CHECKS, COMPARISONS, HOLDS, raised_on
from tests.reports.mill_in_balance import (
    MONDAY,
    SUNDAY,
    changed,
    raised,
    season,
    sheet_and_more,
)

# each check, and what breaks it: on the last shift, or in a list on all of them
BROKEN = {
    "slipped_point": {"cane": 180},
    "sugar_in_water": {"feed_water_sugar_trace": 30},
    "usual_range": {"clear_juice_ph": 7.6},
    "sudden_jump": {"syrup_brix": 66.5},
    "long_run": None,
    "same_again": None,
    "pol_under_brix": {"mixed_juice_brix": 12.9},
    "purity_falls_to_mixed_juice": {"first_expressed_juice_pol": 15.6},
    "purity_falls_to_last_juice": {"last_expressed_juice_pol": 3.7},
    "purity_falls_to_residual_juice": {"bagasse_brix": 1.9},
    "purity_rises_in_clarifier": {"clear_juice_pol": 12.6},
    "brix_stays_in_clarifier": {"clear_juice_brix": 14.2, "clear_juice_pol": 12.15},
    "purity_stays_in_evaporators": {"syrup_pol": 52.8},
    "sugar_is_purer_than_syrup": {"syrup_pol": 62, "clear_juice_pol": 14.7},
    "purity_falls_from_a_massecuite_to_b_massecuite": {"b_massecuite_purity": 84},
    "purity_falls_from_b_massecuite_to_c_massecuite": {"c_massecuite_purity": 71},
    "purity_falls_from_a_massecuite_to_a_molasses": {"a_molasses_purity": 80},
    "purity_falls_from_b_massecuite_to_b_molasses": {"b_molasses_purity": 65},
    "purity_falls_from_c_massecuite_to_final_molasses": {"final_molasses_pol": 40},
    "purity_falls_from_a_molasses_to_b_molasses": {"a_molasses_purity": 54},
    "purity_falls_from_b_molasses_to_final_molasses": {"b_molasses_purity": [36]},
    "water_balance": {"bagasse": [400]},
    "bagasse_of_the_cane": {"mixed_juice": 2010},
    "dilution_under_imbibition": {"imbibition": 300},
    "brix_extraction_below_pol": {"last_expressed_juice_pol": 3.7},
    "moisture_of_the_cane": {"bagasse_moisture": 24},
    "fibre_of_the_bagasse": {"bagasse_moisture": 58},
    "cake_of_the_cane": {"filter_cake": 240},
    "cake_adds_up": {"filter_cake_moisture": 77.9},
    "ph_rises_with_lime": {"limed_juice_ph": 6.0},
    "ph_falls_in_clarifier": {"limed_juice_ph": 6.9},
    "ph_falls_in_evaporators": {"syrup_ph": 7.3},
    "hours_add_up": {"crushing_hours": 6.5, "mechanical_stop_hours": 0.5,
                     **dict.fromkeys(("no_cane_hours", "scheduled_stop_hours",
                                      "foreign_matter_hours", "electrical_stop_hours",
                                      "process_stop_hours", "force_majeure_hours"), 0)},
    "recovery_under_sjm": {"sugar": [228]},
    "inversion": {"final_molasses": [245], "sugar": [202]},
    "a_weight_lacks": {"final_molasses": [190]},
    "non_sucrose_of_c_massecuite": {"c_massecuite_volume": [110]},
    "evaporation_under_effects": {"evaporator_steam": [200]},
}  # fmt: skip


def test_a_mill_in_balance_raises_nothing():
    assert raised(season()) == {}


def test_every_check_is_tried_broken():
    of_books = {"standard_check_failed"}  # broken in tests/web/test_book_checks.py
    assert set(BROKEN) | of_books == set(CHECKS)


@pytest.mark.parametrize("name", [name for name, changes in BROKEN.items() if changes])
def test_each_check_seeded_broken_is_raised_with_its_cells_and_causes(name):
    """C-12"""
    changes = BROKEN[name]
    found = raised(changed(changes))[name]
    assert found.check.causes
    assert {cell.key for cell in found.cells} & set(changes)
    assert all(cell.title and cell.text for cell in found.cells)
    assert len(found.entries) >= len(found.cells)
    assert found.size > 0


@pytest.mark.parametrize("name", [name for name, changes in BROKEN.items() if changes])
def test_a_check_without_its_inputs_says_nothing(name):
    taken = changed(BROKEN[name])
    taken[next(iter(BROKEN[name]))] = np.full(21, np.nan)
    assert name not in raised(taken)


@pytest.mark.parametrize("name", ["usual_range", "sudden_jump", "pol_under_brix", "cake_adds_up"])
def test_a_check_that_the_mill_has_switched_off_is_not_asked(name):
    off = Plan(parts=[Part(name, False, SUNDAY)])
    assert name not in raised(changed(BROKEN[name]), plan=off)
    later = Plan(parts=[Part(name, False, SUNDAY + timedelta(days=1))])
    assert name in raised(changed(BROKEN[name]), plan=later)


@pytest.mark.parametrize("last", ["mixed_juice_brix", "mixed_juice_pol"])
def test_pol_above_brix_is_asked_about_whichever_comes_last(last):
    """ASVS 2.2.3; what rests on that purity is not asked besides."""
    taken = changed({"mixed_juice_brix": 12.9})
    alone = {**taken, last: np.append(taken[last][:-1], np.nan)}
    assert "pol_under_brix" not in raised(alone)
    found = raised(taken)
    assert next(iter(found)) == "pol_under_brix"
    assert [cell.title for cell in found["pol_under_brix"].cells] == [
        "Mixed juice, brix", "Mixed juice, pol",
    ]  # fmt: skip
    assert not any("purity_" in name for name in found)


def test_a_slipped_decimal_point_is_told_with_band_last_value_and_difference():
    """C-10"""
    found = raised(changed({"cane": 180}))["slipped_point"]
    last = season()["cane"][-2]
    assert found.words.startswith("180.0 t, about a tenth of the usual 600 to 2600")
    assert f"{last} before, this is {last - 180:.1f} below" in found.words
    assert "usual_range" not in raised(changed({"cane": 180}))


def test_a_comparison_tells_its_values_the_band_and_the_difference():
    """C-12"""
    found = raised(changed({"clear_juice_pol": 12.6}))["purity_rises_in_clarifier"]
    assert found.words == (
        "Rise of purity −2.17 units, 1.17 below the −1 to 3 expected "
        "(Mixed juice, purity 85.06; Clear juice, purity 82.89)"
    )


def test_sugar_in_water_is_asked_about_once_with_causes_of_its_own():
    found = raised(changed({"feed_water_sugar_trace": 30}))
    assert found["sugar_in_water"].words.startswith("30 mg/kg, 20 above the usual 10 (usual 0 to")
    assert "leaks" in found["sugar_in_water"].check.causes[0]
    assert "usual_range" not in found
    assert "sugar_in_water" not in raised(changed({"feed_water_sugar_trace": 10}))


def test_a_drift_is_no_jump_and_a_step_is():
    taken = season()
    taken["syrup_brix"] = np.round(np.linspace(62, 65, 21), 2)
    assert "sudden_jump" not in raised(taken)
    taken["syrup_brix"][-1] = 61.2
    assert "sudden_jump" in raised(taken)


def test_eight_in_a_row_are_told_once_and_not_where_results_follow_each_other():
    """C-56"""
    taken = season()
    taken["syrup_brix"] = np.array([64.1, 63.9] * 6 + [63.8] + [64.06] * 4 + [64.07] * 4)
    assert "long_run" in raised(taken)
    taken["syrup_brix"] = np.append(taken["syrup_brix"][1:], 64.06)
    assert "long_run" not in raised(taken)
    taken["syrup_brix"] = np.round(np.linspace(63, 65, 21), 2)
    assert "long_run" not in raised(taken)


def test_brix_and_pol_typed_again_from_the_last_shift_are_told_and_one_of_them_is_not():
    taken = season()
    taken["syrup_brix"][-1] = taken["syrup_brix"][-2]
    assert "same_again" not in raised(taken)
    taken["syrup_pol"][-1] = taken["syrup_pol"][-2]
    assert [cell.key for cell in raised(taken)["same_again"].cells] == ["syrup_brix", "syrup_pol"]


def test_a_weight_of_a_shift_that_stood_is_not_held_against_whole_shifts():
    stood = {"cane": 400, "crushing_hours": 1.8, "sugar": 48, "mechanical_stop_hours": 6.2}
    found = raised(changed(stood | {"mixed_juice": 411, "imbibition": 124, "filter_cake": 14}))
    assert not {"usual_range", "slipped_point", "sudden_jump"} & set(found)


def test_checks_of_a_day_and_week_are_asked_on_its_last_sheet_only():
    taken = changed({"sugar": [228], "final_molasses_pol": 40})
    assert {"recovery_under_sjm", "purity_falls_from_c_massecuite_to_final_molasses"} <= set(
        raised(taken)
    )
    earlier = {name: column[:-1] for name, column in taken.items()}
    found = raised(earlier)
    assert "recovery_under_sjm" not in found
    assert "purity_falls_from_c_massecuite_to_final_molasses" not in found
    of_the_week = raised(taken)["recovery_under_sjm"]
    assert set(of_the_week.measures) >= {"sugar", "mixed_juice_pol"}


def test_each_sample_of_a_shift_is_asked_for_itself_and_their_result_for_its_jump():
    often = Plan(samplings=[Sampling(
        "clear_juice_ph", MONDAY, DUE, "shift", 2, "mean", (6.9, 7.3), (2, 13),
    )])  # fmt: skip
    sheet = sheet_and_more(season(), often, {"clear_juice_ph": [7.0, 7.1, 7.9, 7.1]})
    (found,) = [r for r in raised_on(*sheet, 3) if r.check.name == "usual_range"]
    assert [cell.key for cell in found.cells] == ["clear_juice_ph-3"]
    assert found.cells[0].title == "Clear juice, pH, 02:00"
    assert len(found.entries) == 1
    together = raised(season(), plan=often, samples={"clear_juice_ph": [7.2, 7.25, 7.25, 7.2]})
    assert len(together["sudden_jump"].cells) == 4


def test_samples_outside_the_usual_range_are_one_line_the_largest_first():
    often = Plan(samplings=[Sampling(
        "clear_juice_ph", MONDAY, DUE, "shift", 1, "mean", (6.9, 7.3), (2, 13),
    )])  # fmt: skip
    samples = {"clear_juice_ph": [7.4, 7.5, 7.1, 7.9, 6.0, 7.6, 7.45, 70]}
    sheet = sheet_and_more(season(), often, samples)
    found = {r.check.name: r for r in raised_on(*sheet, 3)}
    alike = found["usual_range"]
    assert [cell.key[len("clear_juice_ph") :] for cell in alike.cells] == [
        "-5", "-4", "-6", "-2", "-7", "",
    ]  # fmt: skip
    assert alike.cells[0].title == "Clear juice, pH, 02:00"
    assert [cell.title for cell in alike.cells[1:]] == ["01:00", "03:00", "23:00", "04:00", "22:00"]
    assert len(alike.entries) == 6
    assert alike.words.startswith("6.00, 0.90 below")
    assert "; 01:00: 7.90, 0.60 above" in alike.words
    assert alike.words.endswith("; and 3 more")
    assert len(found["slipped_point"].cells) == 1
    assert alike.size == pytest.approx(0.9 / 0.4)  # that of the largest, by the usual range


def test_pol_above_brix_of_one_sample_is_told_though_the_mean_of_the_shift_hides_it():
    of_juice = ("mixed_juice_brix", "mixed_juice_pol")
    often = Plan(
        samplings=[
            Sampling(name, MONDAY, DUE, "shift", 4, "mean", MEASURES[name].usual, (2, 30))
            for name in of_juice
        ]
    )
    samples = {"mixed_juice_brix": [15.4, 12.9], "mixed_juice_pol": [13.1, 13.0]}
    found = raised(season(), plan=often, samples=samples)["pol_under_brix"]
    assert [cell.key for cell in found.cells] == [f"{name}-2" for name in of_juice]
    assert len(found.entries) == 2


def test_every_input_of_a_check_is_a_figure_a_convention_or_a_measure():
    for comparison in COMPARISONS:
        for name in comparison.inputs:
            known = name in FIGURES or name in CONVENTIONS
            assert known or name.removeprefix(ENTERED) in MEASURES, (comparison.check.name, name)
        assert set(comparison.concerns) <= set(MEASURES), comparison.check.name


def test_every_check_says_what_it_compares_its_causes_and_its_source():
    for check in CHECKS.values():
        assert check.note.endswith("."), check.name
        assert 2 <= len(check.causes) <= 5, check.name
        assert check.source.mark in ("read", "read as quoted", "from memory", "common practice")


def test_every_consistency_test_of_the_trade_has_its_check_or_its_line():
    """Ten of milling and twelve of the boiling house, each by what stands for it."""
    checked = {
        "moisture_of_the_cane", "water_balance", "brix_extraction_below_pol",
        "purity_falls_to_residual_juice", "purity_falls_to_mixed_juice",
        "dilution_under_imbibition", "hours_add_up", "recovery_under_sjm", "inversion",
        "a_weight_lacks", "brix_stays_in_clarifier", "purity_stays_in_evaporators",
        "evaporation_under_effects", "non_sucrose_of_c_massecuite",
    }  # fmt: skip
    assert checked <= set(CHECKS)
    assert len(HOLDS) == 10
    assert all(why.endswith(".") for _, why in HOLDS)
