"""An analysis that few sheets have: those sheets stand for the period, and nothing for zero."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.figures import FIGURES
from app.figures.evaluate import in_force
from app.figures.periods import Books
from app.figures.sheets import Period, Sheets
from app.figures.uncertainties import default_uncertainty
from app.plant.measures import CARRIERS, MEASURES
from app.reports.composites import stand_once_a_day
from tests.figures.mills import several_plausible

# Floating point alone parts two sums of some tens of terms.
EXACT = {"abs": 1e-9, "rel": 0}

# measure, the figure that is its mean, and the weight that carries it
SELDOM = {
    **{
        f"mill_{n}_{prop}": (f"mill_{n}_{prop}", "cane")
        for n in range(1, 7)
        for prop in (
            *("bagasse_pol", "bagasse_moisture"),
            *("juice_brix", "juice_pol", "juice_purity"),
        )
    },
    **{
        f"{stream}_{prop}": (f"{stream}_{prop}", "cane")
        for stream in ("primary_juice", "press_water")
        for prop in ("brix", "pol", "purity")
    },
    **{f"cane_{part}": (f"cane_{part}_direct", "cane") for part in ("fibre", "pol", "brix")},
    **{
        name: (name, "cane")
        for name in (
            *("cane_ash", "cane_extraneous_matter", "prepared_cane_open_cells"),
            *("diffuser_bagasse_pol", "diffuser_bagasse_moisture", "diffuser_bed_temperature"),
        )
    },
    **{
        name: (name, "cane_received")
        for name in (
            *("cane_received_fibre", "cane_received_extraneous_matter"),
            *("consignment_juice_brix", "consignment_juice_pol"),
            "consignment_juice_reducing_sugars",
        )
    },
    **{
        f"cane_received_{part}": (f"cane_received_{part}_direct", "cane_received")
        for part in ("pol", "brix")
    },
    "bagasse_ash": ("bagasse_ash", "bagasse"),
    "imbibition_temperature": ("imbibition_temperature", "imbibition"),
}
SHIFTS = 21
DAILY = stand_once_a_day([MEASURES] * SHIFTS)


def over(entered: dict[str, np.ndarray], *periods: Period):
    day = np.arange(SHIFTS) // 3
    sheets = Sheets(entered, in_force({}, SHIFTS), day, day // 7, CARRIERS, daily=DAILY)
    return Books(sheets).over(periods)


def week(measure: str, weight: str, rows: list[int]) -> dict[str, np.ndarray]:
    """A week of which the measure was taken on some shifts alone."""
    low, high = MEASURES[measure].usual
    value = np.full(SHIFTS, np.nan)
    value[rows] = np.linspace(low, high, SHIFTS)[rows]
    return {weight: np.linspace(900.0, 1300.0, SHIFTS), measure: value}


@pytest.mark.parametrize("measure", SELDOM)
def test_the_shifts_that_were_analysed_stand_for_the_week_by_their_weight(measure):
    figure, weight = SELDOM[measure]
    rows = [5, 20]
    entered = week(measure, weight, rows)
    found = over(entered, Period(0, SHIFTS), Period(5, 6)).values[figure]
    expected = np.average(entered[measure][rows], weights=entered[weight][rows])
    assert found[0] == pytest.approx(expected, **EXACT)
    assert found[1] == pytest.approx(entered[measure][5], **EXACT)


@pytest.mark.parametrize("measure", SELDOM)
def test_a_period_without_the_analysis_has_no_mean_and_names_it(measure):
    figure, weight = SELDOM[measure]
    result = over(week(measure, weight, [20]), Period(0, 3), Period(0, 1))
    assert np.isnan(result.values[figure]).all()
    assert result.missing(figure, 0) == {measure: [0, 1, 2]}
    assert result.missing(figure, 1) == {measure: [0]}


@pytest.mark.parametrize("measure", SELDOM)
def test_where_most_was_analysed_a_gap_is_estimated_as_of_any_analysis(measure):
    figure, weight = SELDOM[measure]
    entered = week(measure, weight, [0, 2, 3, 4, 5])
    result = over(entered, Period(0, 6))
    real, carried = entered[measure], entered[weight]
    day = [0, 2]
    filled = np.append(real[:1], [np.average(real[day], weights=carried[day]), *real[2:6]])
    expected = np.average(filled, weights=carried[:6])
    assert result.values[figure][0] == pytest.approx(expected, **EXACT)
    assert 0.6 < result.coverage[figure][0] < 1


@several_plausible
@given(st.sets(st.integers(0, SHIFTS - 1), min_size=1, max_size=6))
def test_a_mean_lies_between_the_least_and_the_most_that_was_analysed(rows):
    entered = week("mill_1_bagasse_pol", "cane", sorted(rows))
    found = over(entered, Period(0, SHIFTS)).values["mill_1_bagasse_pol"][0]
    real = entered["mill_1_bagasse_pol"]
    assert np.nanmin(real) - 1e-9 <= found <= np.nanmax(real) + 1e-9


# One shift of 21 is as sure as its sample: the other twenty add no error of their own. Slopes are
# taken over a step as wide as the uncertainty, here 6 % of the divisor, whose square (0.4 %) is of
# the part that the weights add: under 0.2 % of the whole.
def test_the_mean_of_a_week_with_one_sample_is_as_sure_as_the_sample():
    entered = week("mill_1_bagasse_pol", "cane", [20])
    stated = default_uncertainty("mill_1_bagasse_pol")
    certainty = over(entered, Period(0, SHIFTS)).certainty
    sample = np.hypot(stated.random, stated.systematic)
    assert certainty.standard("mill_1_bagasse_pol") == pytest.approx(sample, rel=2e-3)


def test_what_is_carried_for_a_mean_is_printed_nowhere():
    for measure in SELDOM:
        for end in ("carried", "analysed", "of_the_analysed"):
            assert FIGURES[f"{measure}_{end}"].internal
