"""A convention changes what it says it changes."""

import pytest

from app.compute import BadDocument, compute
from app.figures import CONVENTIONS, FIGURES
from app.figures.periods import OPENINGS
from app.plant.measures import MEASURES
from app.plant.readings import READINGS
from tests.figures.mills import measured, one_mill

SHEET = {m.name: sum(m.usual) / 2 for m in MEASURES.values()} | {"gross_hours": 8.0}
EXACT = {"abs": 1e-9, "rel": 0}


def shift() -> dict[str, float]:
    return {name: float(column[0]) for name, column in measured(one_mill()).items()}


def figures(measures: dict, **conventions: object) -> dict[str, float | None]:
    answer = compute({"measures": measures, "conventions": conventions})
    return {name: figure["value"] for name, figure in answer["figures"].items()}


@pytest.mark.parametrize("convention", CONVENTIONS.values(), ids=lambda c: c.name)
def test_every_default_and_choice_is_one_the_convention_takes(convention):
    assert convention.read(convention.default) == convention.default
    for choice in convention.choices:
        assert convention.read(choice) == choice


@pytest.mark.parametrize("convention", CONVENTIONS.values(), ids=lambda c: c.name)
def test_every_convention_says_what_it_is_and_where_it_comes_from(convention):
    assert convention.title
    assert convention.note
    assert str(convention.source)


@pytest.mark.parametrize("convention", CONVENTIONS.values(), ids=lambda c: c.name)
def test_a_value_that_a_convention_does_not_take_is_refused(convention):
    wrong = "either" if convention.choices else convention.high + 1
    with pytest.raises(BadDocument, match=convention.name):
        figures(shift(), **{convention.name: wrong})


def test_an_unknown_convention_is_refused():
    with pytest.raises(BadDocument, match="polbasis"):
        figures(shift(), polbasis="pol")


# `pol_basis` names what is accounted and `coverage_needed` acts on totals: see test_periods.
OTHER = {
    "bagasse_weight": "by difference",
    "mixed_juice_weight": "by difference",
    "suspended_solids": "counted as fibre",
    "residual_juice": "fixed",
    "brix_free_water": 0,
    "standard_molasses_brix": 86,
    "reduced_recovery_rule": "efficiency held",
    "target_purity_rule": "Rein and Smith 1981",
    "molasses_purity_compared": "true",
    "sugar_accounted": "made and estimated",
    "standing_sugar_purity": 98,
    "standing_sugar_pol": 98,
    "standing_molasses_purity": 33,
    "season_non_sucrose_ratio": 98,
    "recoverable_value_d": 0.5,
    "recoverable_value_c": 0.03,
    "undiluted_juice_by": "primary juice",
    "dry_milling_factor": 0.95,
    "lime_weighed": "as bought",
    "clear_juice_weight": "by brix balance",
    "evaporator_effects": 3,
    **{f"effect_{n}_surface": 1000 for n in range(1, 5)},
    "clarifier_hold": 2,
    "sulphited_juice_hold": 5,
    "effect_hold": 4,
    "hot_ph_drop": 0.3,
    "brix_to_pans_from": "clear juice weighed",
    "massecuite_air": 5,
    "standing_a_molasses_purity": 60,
    "standing_b_molasses_purity": 45,
    "stock_air": 5,
    "calorific_value_rule": "Hugot",
    "bagasse_fired": "all bagasse",
    "bagasse_carbon": 48,
    "bagasse_hydrogen": 6,
    "bagasse_oxygen": 43,
    "air_humidity": 2,
    "other_boiler_losses": 5,
    "grid": "none",
    "hours_of_a_crushing_day": 22,
    "refinery_loss_allowed": 1,
    "cane_paid_by": "commercial cane sugar",
}
# These act where a result follows from readings, or where an analysis lacks.
OF_READINGS = {
    "refractometer_correction": "by the table of 1936",
    "juice_clarified": "wet",
    "syrup_dilution": 5,
    "massecuite_dilution": 5,
    "bagasse_water": 800,
    "bagasse_extract": "less brix-free water",
    "cake_insolubles": 0,
    "polarization_coefficient": 0.0003,
}
OF_GAPS = {
    "stops_left_blank": ("is missing", ["mechanical_stop_hours"]),
    "cane_weight": ("is cane received", ["cane"]),
    "consignment_juice_of": ("press juice, Jamaica", ["cane_received_pol"]),
    "crushing_hours_untold": ("are those of the shift less its stops", ["crushing_hours"]),
    "standing_bagasse_ash": (4, ["bagasse_ash"]),
    "standing_available_lime": (80, ["lime_available"]),
}


@pytest.mark.parametrize(("name", "choice"), OTHER.items())
def test_every_convention_changes_something(name, choice):
    openings = {f"opening_{level}": 100.0 for level in OPENINGS}
    held = {"clarifier_hold": 1}  # how hot the juice is matters only while it is held
    assert figures(SHEET | openings, **held | {name: choice}) != figures(SHEET | openings, **held)


# 15 is what a refractometer shows of juice, and of what is thicker and was diluted.
READ = {
    name: 15.0 if name.endswith("refractometer_reading") else number
    for name, number in SHEET.items()
    if name not in READINGS
}


@pytest.mark.parametrize(("name", "choice"), OF_READINGS.items())
def test_a_method_changes_what_follows_from_readings(name, choice):
    assert figures(READ, **{name: choice}) != figures(READ)


@pytest.mark.parametrize(("name", "choice", "lacking"), [(n, *c) for n, c in OF_GAPS.items()])
def test_a_stand_in_acts_only_where_an_analysis_lacks(name, choice, lacking):
    lime = {"lime_weighed": "as bought"}
    gap = {measure: number for measure, number in SHEET.items() if measure not in lacking}
    assert figures(gap, **lime, **{name: choice}) != figures(gap, **lime)
    assert figures(SHEET, **lime, **{name: choice}) == figures(SHEET, **lime)


def test_every_convention_is_tried():
    told_apart = {
        *("pol_basis", "coverage_needed", "residual_juice_fixed_purity"),
        *("extraction_plant", "sulphitation", "refinery"),  # decide what the sheet asks for
        *("tandem_mills", "effect_5_surface", "effect_6_surface"),  # of a longer tandem or set
        *("cane_estimate", "cane_estimate_uncertainty"),  # see test_forecast
        # what balances are judged by, see test_closing
        *(f"usual_{part}_loss{end}" for part in ("pol", "brix") for end in ("", "_uncertainty")),
        *("sugar_price", "sugar_price_currency"),  # tell losses in money, see test_exceptions
    }
    tried = OTHER.keys() | OF_READINGS.keys() | OF_GAPS.keys()
    assert tried | told_apart == CONVENTIONS.keys()


def test_usual_losses_a_price_and_an_estimate_of_the_crop_enter_no_figure():
    usual = {"cane_estimate": 820000, "cane_estimate_uncertainty": 3}
    usual |= {"sugar_price": 480, "sugar_price_currency": "USD"}
    usual |= {"usual_pol_loss": 5, "usual_pol_loss_uncertainty": 3}
    usual |= {"usual_brix_loss": 5, "usual_brix_loss_uncertainty": 3}
    assert figures(shift(), **usual) == figures(shift())


def test_bagasse_by_difference_takes_no_notice_of_its_weight():
    right = shift()
    wrong = right | {"bagasse": right["bagasse"] + 100}
    found = figures(wrong, bagasse_weight="by difference")
    assert found["bagasse"] == pytest.approx(right["bagasse"], **EXACT)
    assert figures(wrong)["bagasse"] == wrong["bagasse"]


def test_bagasse_not_weighed_follows_by_difference_only_where_that_is_the_convention():
    unweighed = shift()
    weighed = unweighed.pop("bagasse")
    assert figures(unweighed)["bagasse"] == pytest.approx(weighed, **EXACT)
    assert figures(unweighed, bagasse_weight="weighed")["bagasse"] is None


def test_mixed_juice_by_difference_takes_no_notice_of_its_weight():
    right = shift()
    found = figures(right | {"mixed_juice": 1.0}, mixed_juice_weight="by difference")
    assert found["mixed_juice"] == pytest.approx(right["mixed_juice"], **EXACT)


def test_solids_counted_as_fibre_add_to_the_fibre_of_cane_what_the_juice_carries():
    left, counted = figures(shift()), figures(shift(), suspended_solids="counted as fibre")
    solids = 100 * left["suspended_solids_in_mixed_juice"] / left["cane"]
    assert solids > 0.1
    assert counted["cane_fibre"] - left["cane_fibre"] == pytest.approx(solids, **EXACT)
    assert counted["pol_in_mixed_juice"] < left["pol_in_mixed_juice"]


# The shift reads 71; the fixed purity is the convention's own.
def test_a_fixed_residual_purity_takes_no_notice_of_last_expressed_juice():
    assert figures(shift())["residual_juice_purity"] == pytest.approx(71.0, **EXACT)
    found = figures(shift(), residual_juice="fixed", residual_juice_fixed_purity=68)
    assert found["residual_juice_purity"] == 68.0


def test_brix_free_water_of_a_quarter_takes_a_quarter_of_fibre_from_the_juice():
    found = figures(shift(), brix_free_water=25)
    assert found["undiluted_juice_on_cane"] == pytest.approx(
        100 - 1.25 * found["cane_fibre"], **EXACT
    )
    assert found["lost_absolute_juice"] == figures(shift())["lost_absolute_juice"]


def test_molasses_at_another_standard_brix_hold_the_same_brix():
    at_85, at_86 = (
        figures(shift(), standard_molasses_brix=brix)["final_molasses_on_cane"] for brix in (85, 86)
    )
    assert 85 * at_85 == pytest.approx(86 * at_86, **EXACT)


def test_the_rule_of_reduced_recovery_is_the_one_chosen():
    found = figures(shift(), reduced_recovery_rule="efficiency held")
    basic_at_85 = 140 - 4000 / 85
    assert found["reduced_boiling_house_recovery"] == pytest.approx(
        found["boiling_house_efficiency"] * basic_at_85 / 100, **EXACT
    )


def test_the_target_is_that_of_the_rule_chosen():
    measures = {"final_molasses_reducing_sugars": 10.0, "final_molasses_ash": 10.0}
    for rule, target in {"SMRI 1995": 33.9, "Rein and Smith 1981": 37.7}.items():
        found = figures(measures, target_purity_rule=rule)
        assert found["final_molasses_target_purity"] == pytest.approx(target, **EXACT)


def test_the_purity_compared_with_the_target_is_the_one_chosen():
    measures = shift() | {"final_molasses_true_purity": 40.0}
    apparent, true = (
        figures(measures, molasses_purity_compared=which) for which in ("apparent", "true")
    )
    apart = true["target_purity_difference"] - apparent["target_purity_difference"]
    assert apart == pytest.approx(40.0 - apparent["final_molasses_purity"], **EXACT)


def test_sugar_made_and_estimated_brings_the_growth_of_stock_into_a_closed_account():
    stock = {
        name: v
        for name, v in SHEET.items()
        if MEASURES.get(name, None) and MEASURES[name].station == "stock"
    }
    openings = {f"opening_{level}": 10.0 for level in OPENINGS}
    found = figures(shift() | stock | openings, sugar_accounted="made and estimated")
    growth = found["recoverable_pol_in_stock"] - 10.0
    assert growth > 100
    assert found["pol_in_sugar"] == pytest.approx(found["pol_in_sugar_bagged"] + growth, **EXACT)
    accounted = (
        found["pol_in_sugar"]
        + found["pol_in_bagasse"]
        + found["pol_in_filter_cake"]
        + found["pol_in_final_molasses"]
        + found["undetermined_pol"]
    )
    assert accounted == pytest.approx(found["pol_in_cane"], **EXACT)
    in_stock = found["pol_in_sugar"] + found["pol_in_final_molasses"] - found["pol_in_sugar_bagged"]
    assert in_stock - found["pol_in_final_molasses_weighed"] == pytest.approx(
        found["pol_in_stock"] - 10.0, **EXACT
    )


def test_less_coverage_needed_lets_a_thin_total_stand():
    periods = [{"measures": shift()} for _ in range(4)]
    for period in periods[:2]:
        del period["measures"]["bagasse_pol"]
    asked = [period | {"conventions": {"coverage_needed": 50}} for period in periods]
    withheld, stands = (compute(each)["to_date"]["figures"] for each in (periods, asked))
    assert withheld["pol_in_bagasse"]["value"] is None
    assert withheld["pol_in_bagasse"]["missing"] == ["bagasse_pol"]
    assert stands["pol_in_bagasse"]["value"] > 0
    assert stands["pol_in_bagasse"]["coverage"] == pytest.approx(0.5, **EXACT)


# One shift of three, of equal weight, is a third missed: the threshold is two thirds.
def test_a_day_that_missed_one_of_three_equal_shifts_still_stands():
    periods = [{"measures": shift()} for _ in range(3)]
    del periods[1]["measures"]["bagasse_pol"]
    assert compute(periods)["to_date"]["figures"]["pol_in_bagasse"]["value"] is not None


def test_figures_hold_no_convention_of_their_own():
    chosen = {name for figure in FIGURES.values() for way in figure.ways for name in way.when}
    assert chosen <= CONVENTIONS.keys()
    for figure in FIGURES.values():
        for way in figure.ways:
            for name, choices in way.when.items():
                assert set(choices) <= set(CONVENTIONS[name].choices), figure.name
