"""The refinery's account closes on what it was made of, and leaves that of the raw house alone."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.compute import compute
from app.figures import FIGURES
from app.plant.measures import MEASURES
from tests.examples import published
from tests.figures.mills import figures_of, measured, one_mill, plausible

# Floating point alone parts the two sides: a dozen operations on numbers of up to some thousands.
EXACT = 1e-8


def same(found, *expected: float) -> None:
    assert np.isfinite(found).all()
    np.testing.assert_allclose(found, expected, rtol=0, atol=EXACT)


def refinery(melt: float, lost: float, given_back: float) -> tuple[dict[str, float], float]:
    """What is entered for a melt, and its refined solids; losses and run-off % solids melted."""
    solids = melt * 0.997
    back, refined = solids * given_back / 100, solids * (100 - lost - given_back) / 100
    return {
        **{"raw_sugar_melted": melt, "raw_sugar_melted_moisture": 0.3},
        **{"raw_sugar_melted_pol": 99.0},
        **{"refined_sugar": refined / 0.9995, "refined_sugar_moisture": 0.05},
        **{"refined_sugar_pol": 99.9},
        **{"refinery_return": back / 0.75, "refinery_return_brix": 75.0},
        **{"refinery_return_pol": 63.0},
    }, refined


@plausible
@given(st.floats(50, 300), st.floats(-0.5, 2), st.floats(1, 8))
def test_what_is_melted_is_refined_given_back_or_lost(melt, lost, given_back):
    entered, refined = refinery(melt, lost, given_back)
    found = figures_of(entered)
    same(found["refinery_melt_loss"], lost)
    same(found["refinery_return_on_melt"], given_back)
    same(found["refined_yield_on_solids"], 100 - lost - given_back)
    same(found["refined_sugar_on_melt"], 100 * refined / 0.9995 / melt)
    same(found["refinery_return_purity"], 84.0)
    in_pol = found["pol_in_refined_sugar"] + found["pol_in_refinery_return"]
    same(in_pol + found["refinery_undetermined_pol"], 0.99 * melt)
    on_pol = found["refined_yield_on_pol"] + found["refinery_undetermined_loss"]
    same(on_pol, 100 - 100 * found["pol_in_refinery_return"][0] / (0.99 * melt))


@plausible
@given(st.floats(50, 300), st.floats(-0.5, 2), st.floats(1, 8))
def test_run_off_may_be_known_by_its_purity(melt, lost, given_back):
    entered, _ = refinery(melt, lost, given_back)
    by_both = figures_of(entered)
    for dropped in ("refinery_return_pol", "refinery_return_brix"):
        rest = {name: value for name, value in entered.items() if name != dropped}
        found = figures_of(rest | {"refinery_return_purity": 84.0})
        same(found["refinery_melt_loss"], lost)
        same(found["refinery_undetermined_pol"], *by_both["refinery_undetermined_pol"])


@plausible
@given(st.floats(800, 4000), st.floats(0, 95), st.floats(0, 95))
def test_colour_taken_out_is_what_was_taken_out(colour, of_liquor, of_sugar):
    sheet = {"raw_sugar_melted": 100.0, "refined_sugar": 95.0}
    sheet |= {"raw_sugar_melted_colour": colour, "melt_liquor_colour": 0.9 * colour}
    sheet["fine_liquor_colour"] = 0.9 * colour * (1 - of_liquor / 100)
    sheet["refined_sugar_colour"] = colour * (1 - of_sugar / 100)
    found = figures_of(sheet)
    same(found["refinery_decolorization"], of_liquor)
    same(found["refinery_colour_removal"], of_sugar)


# The printed yields are exact.
@pytest.mark.parametrize("row", published("raw_sugar_yield"), ids=lambda row: row["pol"])
def test_refined_sugar_expected_by_pol_is_as_printed(row):
    found = figures_of({"raw_sugar_melted": 100.0, "raw_sugar_melted_pol": float(row["pol"])})
    same(found["refined_sugar_expected_by_pol"], float(row["yield"]))


# Each rule takes off what its own molasses hold back: by hand from 98.5 pol, 0.2 ash, 0.3 invert.
def test_the_rules_of_refined_yield_are_told_apart():
    sheet = {"raw_sugar_melted": 100.0, "raw_sugar_melted_pol": 98.5}
    sheet |= {"raw_sugar_melted_ash": 0.2, "raw_sugar_melted_reducing_sugars": 0.3}
    found = figures_of(sheet, refinery_loss_allowed=0.6)
    same(found["refined_sugar_expected_south_africa"], 96.7)
    same(found["refined_sugar_expected_united_kingdom"], 97.3)
    same(found["refined_sugar_expected_australia"], 97.2)
    pure = figures_of(
        sheet | {"raw_sugar_melted_ash": 0.0, "raw_sugar_melted_reducing_sugars": 0.0}
    )
    same(pure["refined_sugar_expected_united_kingdom"], 98.5)
    same(pure["refined_sugar_expected_australia"], 98.5)
    same(pure["refined_sugar_expected_south_africa"], 97.8)


BY_MELT = (
    *(f"raw_sugar_melted_{p}" for p in ("pol", "moisture", "colour", "reducing_sugars", "ash")),
    *(f"{liquor}_{p}" for liquor in ("melt_liquor", "fine_liquor") for p in ("brix", "colour")),
)
BY_REFINED = tuple(f"refined_sugar_{p}" for p in ("pol", "moisture", "colour", "ash"))


# 100 at the low end and 300 at the high end of its usual range come to three quarters of the way.
def test_mean_of_a_period_is_by_the_sugar_melted_or_refined():
    weights = ("raw_sugar_melted", "refined_sugar")
    usual = {name: MEASURES[name].usual for name in (*BY_MELT, *BY_REFINED)}
    sheets = [
        dict.fromkeys(weights, weight) | {name: ends[end] for name, ends in usual.items()}
        for weight, end in ((100.0, 0), (300.0, 1))
    ]
    found = compute([{"measures": sheet} for sheet in sheets])["to_date"]["figures"]
    for name, (low, high) in usual.items():
        expected = 0.25 * low + 0.75 * high
        assert found[name]["value"] == pytest.approx(expected, abs=EXACT, rel=0), name
    assert found["raw_sugar_melted"]["value"] == 400


def test_the_account_of_the_raw_house_takes_nothing_from_the_refinery():
    raw = measured(one_mill())
    entered, _ = refinery(200.0, 1.0, 4.0)
    alone, beside = figures_of(raw), figures_of(raw | entered)
    of_refinery = {name for name, figure in FIGURES.items() if figure.station == "refinery"}
    for name in FIGURES.keys() - of_refinery:
        np.testing.assert_array_equal(alone[name], beside[name], err_msg=name)
    assert np.isfinite(beside["refinery_melt_loss"]).all()


def test_every_figure_of_the_refinery_follows_from_what_a_refinery_enters():
    measures = {m.name: sum(m.usual) / 2 for m in MEASURES.values() if m.station == "refinery"}
    found = figures_of(measures)
    for name, figure in FIGURES.items():
        if figure.station == "refinery":
            assert np.isfinite(found[name]).all(), name
