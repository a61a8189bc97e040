"""Tonnes add, percentages follow; and no way of dividing a season changes it."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.compute import compute
from app.figures import FIGURES
from app.figures.evaluate import in_force
from app.figures.periods import ADDS, Books
from app.figures.sheets import Period, Sheets
from app.plant.measures import CARRIERS, MEASURES
from app.plant.vessels import VESSELS
from tests.figures.mills import measured, mills, one_mill, several_plausible

# Sums of some thousands in another order differ by floating point alone.
CLOSE = {"rtol": 1e-9, "atol": 1e-9, "equal_nan": True}


def books(entered: dict[str, np.ndarray], days: list[int] | None = None, **chosen) -> Books:
    size = len(next(iter(entered.values())))
    day = np.array(days if days is not None else np.arange(size) // 3)
    return Books(Sheets(entered, in_force(chosen, size), day, day // 7, CARRIERS))


def to_date(entered: dict[str, np.ndarray]) -> dict[str, float]:
    size = len(next(iter(entered.values())))
    values = books(entered).over([Period(0, size)]).values
    return {name: float(column[0]) for name, column in values.items()}


def sheet(entered: dict[str, np.ndarray], row: int = 0) -> dict[str, object]:
    return {"measures": {name: float(column[row]) for name, column in entered.items()}}


def value(answer: dict, name: str) -> float | None:
    return answer["figures"][name]["value"]


@pytest.fixture(scope="module")
def small_and_large() -> dict:
    """One shift of 10 t and one of 1000 t, of very different cane."""
    small = one_mill(cane=10.0, fibre=17.0, extraction=91.0, purity=80.0)
    large = one_mill(cane=1000.0, fibre=11.0, extraction=98.0, purity=88.0)
    return compute([sheet(measured(small)), sheet(measured(large))])


@pytest.mark.parametrize("name", ["cane", "pol_in_mixed_juice", "pol_in_bagasse", "sugar"])
def test_tonnes_to_date_are_the_sum(small_and_large, name):
    summed = sum(value(period, name) for period in small_and_large["periods"])
    assert value(small_and_large["to_date"], name) == pytest.approx(summed, abs=1e-9, rel=0)


# By hand: (10 × 17 + 1000 × 11) ÷ 1010 = 11.0594, where the mean of percentages is 14.
def test_fibre_to_date_is_weighted_by_cane_and_not_the_mean_of_shifts(small_and_large):
    found = value(small_and_large["to_date"], "cane_fibre")
    assert found == pytest.approx(11.059405940594, abs=1e-9, rel=0)


@pytest.mark.parametrize(
    "name",
    ["pol_extraction", "mixed_juice_purity", "overall_recovery", "bagasse_loss", "milling_loss"],
)
def test_a_percentage_to_date_lies_with_the_large_shift(small_and_large, name):
    small, large = (value(period, name) for period in small_and_large["periods"])
    found = value(small_and_large["to_date"], name)
    assert abs(found - large) < 0.1 * abs(small - large)


@several_plausible
@given(mills(at_least=2, at_most=6), st.data())
def test_a_season_is_the_same_however_it_is_cut(made_of, data):
    entered = measured(made_of)
    size = len(made_of["cane"])
    cuts = data.draw(st.sets(st.integers(1, size - 1)))
    bounds = [0, *sorted(cuts), size]
    season = books(entered)
    parts = season.over([Period(a, b) for a, b in pairwise(bounds)]).values
    whole = season.over([Period(0, size)]).values
    for name in ADDS:
        np.testing.assert_allclose(parts[name].sum(), whole[name][0], **CLOSE, err_msg=name)


@several_plausible
@given(mills(at_least=2, at_most=6), st.randoms())
def test_a_season_is_the_same_in_any_order(made_of, chance):
    entered = measured(made_of)
    order = list(range(len(made_of["cane"])))
    chance.shuffle(order)
    mixed = {name: column[order] for name, column in entered.items()}
    found, expected = to_date(mixed), to_date(entered)
    for name in FIGURES:
        np.testing.assert_allclose(found[name], expected[name], **CLOSE, err_msg=name)


@several_plausible
@given(mills(at_least=1, at_most=3), st.floats(0.01, 0.99))
def test_a_season_is_the_same_when_a_shift_is_weighed_in_two_parts(made_of, part):
    entered = measured(made_of)
    split = {
        name: np.append(column[:-1], [column[-1]] * 2)
        if name in CARRIERS
        else np.append(column[:-1], [column[-1] * part, column[-1] * (1 - part)])
        for name, column in entered.items()
    }
    found, expected = to_date(split), to_date(entered)
    for name in FIGURES:
        np.testing.assert_allclose(found[name], expected[name], **CLOSE, err_msg=name)


@several_plausible
@given(mills(at_least=2, at_most=6))
def test_recovery_and_losses_to_date_are_still_all_the_pol_in_cane(made_of):
    found = to_date(measured(made_of))
    lost = sum(
        found[f"{place}_loss"]
        for place in ("bagasse", "filter_cake", "final_molasses", "undetermined")
    )
    assert lost == pytest.approx(100 - found["overall_recovery"], abs=1e-9, rel=0)


@several_plausible
@given(st.lists(st.floats(0, 300), min_size=2, max_size=8), st.data())
def test_changes_of_stock_telescope(volumes, data):
    size = len(volumes)
    entered = {
        f"{vessel}_{prop}": np.full(size, number)
        for vessel in VESSELS
        for prop, number in {"volume": 10.0, "temperature": 60, "brix": 90, "purity": 60}.items()
    }
    entered["c_pans_volume"] = np.array(volumes)
    cut = data.draw(st.integers(1, size - 1))
    found = books(entered).over([Period(0, cut), Period(cut, size), Period(0, size)]).values
    for name in ("change_of_brix_in_stock", "change_of_recoverable_pol_in_stock"):
        first, second, season = found[name]
        assert first + second == pytest.approx(season, abs=1e-9, rel=0)
        closing = found[name.removeprefix("change_of_")][2]
        assert season == closing, "a season opens with empty vessels"


def test_samples_alone_give_a_shift_its_purity_and_a_period_none():
    samples = {"mixed_juice_pol": 12.0, "mixed_juice_brix": 15.0, "cane_pol": 13.0}
    answer = compute([{"measures": samples}, {"measures": samples}])
    assert value(answer["periods"][0], "mixed_juice_purity") == pytest.approx(80.0, abs=1e-9)
    assert value(answer["periods"][0], "cane_pol") == 13.0
    for name in ("mixed_juice_purity", "cane_pol"):
        assert value(answer["to_date"], name) is None
        assert answer["to_date"]["figures"][name]["missing"]
    assert "mixed_juice" in answer["to_date"]["figures"]["mixed_juice_purity"]["missing"]


def test_no_figure_of_a_period_follows_from_samples_without_weights():
    samples = {name: sum(MEASURES[name].usual) / 2 for name in CARRIERS}
    answer = compute([{"measures": samples}, {"measures": samples}])
    for name, figure in answer["to_date"]["figures"].items():
        assert figure["value"] is None, name


def three_shifts_without(name: str, row: int = 1) -> dict[str, np.ndarray]:
    made_of = {part: np.repeat(column, 3) for part, column in one_mill().items()}
    made_of["cane"] = np.array([1000.0, 900.0, 1100.0])
    made_of["extraction"] = np.array([94.0, 95.0, 97.0])
    entered = {measure: column.copy() for measure, column in measured(made_of).items()}
    entered[name][row] = np.nan
    return entered


def test_a_gap_in_a_total_is_the_weighted_mean_of_its_day_and_never_zero():
    entered = three_shifts_without("bagasse_pol")
    found = to_date(entered)["pol_in_bagasse"]
    bagasse, pol = entered["bagasse"], entered["bagasse_pol"]
    mean = (bagasse[0] * pol[0] + bagasse[2] * pol[2]) / (bagasse[0] + bagasse[2])
    assert found == pytest.approx(bagasse.sum() * mean / 100, abs=1e-9, rel=0)


def test_the_shift_of_the_gap_says_so_and_coverage_tells_what_was_analysed():
    entered = three_shifts_without("bagasse_pol")
    season = books(entered)
    result = season.over([Period(1, 2), Period(0, 3)])
    assert np.isnan(result.values["pol_in_bagasse"][0])
    assert result.missing("pol_in_bagasse", 0) == {"bagasse_pol": [1]}
    assert 0.6 < result.coverage["pol_in_bagasse"][1] < 0.7
    assert result.coverage["cane"][1] == 1.0
    assert result.coverage["pol_extraction"][1] == result.coverage["pol_in_bagasse"][1]


def test_a_total_of_which_too_little_was_analysed_is_withheld_and_says_where():
    entered = three_shifts_without("bagasse_pol")
    entered["bagasse_pol"][0] = np.nan
    result = books(entered).over([Period(0, 3)])
    assert np.isnan(result.values["pol_in_bagasse"][0])
    assert result.missing("pol_extraction", 0) == {"bagasse_pol": [0, 1]}


def massecuites(**otherwise: list[float]) -> dict[str, np.ndarray]:
    entered = three_shifts_without("bagasse_pol")
    otherwise |= {"a_massecuite_brix": [92.0, np.nan, 93.0], "a_massecuite_purity": [86.0] * 3}
    return entered | {name: np.array(column) for name, column in otherwise.items()}


def test_a_brix_that_lacks_is_estimated_where_purity_is_an_analysis_of_its_own():
    entered = massecuites()
    cane, brix = entered["cane"], entered["a_massecuite_brix"]
    mean = (cane[0] * brix[0] + cane[2] * brix[2]) / (cane[0] + cane[2])
    assert to_date(entered)["a_massecuite_brix"] == pytest.approx(mean, abs=1e-9, rel=0)


def test_a_brix_is_not_guessed_where_a_purity_was_entered_instead_of_brix_and_pol():
    """A guess of both would speak against the purity that was entered."""
    entered = massecuites(a_massecuite_pol=[79.0, np.nan, 80.0])
    assert np.isnan(to_date(entered)["a_massecuite_brix"])


def test_a_pol_of_another_week_takes_no_estimate_of_a_brix_away():
    """Only what is guessed beside it could speak against the purity."""
    entered = massecuites(a_massecuite_pol=[np.nan, np.nan, 80.0])
    days = np.array([0, 0, 7])
    chosen = in_force({}, 3)
    found = Books(Sheets(entered, chosen, days, days // 7, CARRIERS)).whole["a_massecuite_brix"]
    assert found[1] == 92.0


def test_a_weight_that_lacks_is_never_estimated():
    result = books(three_shifts_without("mixed_juice")).over([Period(0, 3)])
    assert np.isnan(result.values["pol_in_mixed_juice"][0])
    assert result.missing("pol_in_mixed_juice", 0) == {"mixed_juice": [1]}


def test_a_sum_that_lacks_is_not_made_of_other_sums_by_the_choice_of_the_last_day():
    """Solids count as fibre on the first day, where they were not found; later they do not."""
    entered = three_shifts_without("mixed_juice_suspended_solids", row=0)
    days = np.array([0, 7, 7])  # another week: nothing stands for the gap
    chosen = in_force({}, 3)
    chosen["suspended_solids"] = np.array(["counted as fibre"] + ["left in juice"] * 2, object)
    result = Books(Sheets(entered, chosen, days, days // 7, CARRIERS)).over(
        [Period(0, 3), Period(1, 3)]
    )
    whole, later = result.values["fibre_in_cane"]
    assert np.isnan(whole)
    assert later > 0
    assert result.missing("fibre_in_cane", 0) == {"mixed_juice_suspended_solids": [0]}


def test_tonnes_add_to_the_last_digit_typed():
    """In binary 0.1 + 0.2 + 0.3 is a little more than 0.6; typed to a tenth they are 0.6."""
    entered = three_shifts_without("bagasse_pol")
    entered["lime"] = np.array([0.1, 0.2, 0.3])
    assert 0.1 + 0.2 + 0.3 != 0.6
    assert to_date(entered)["lime"] == 0.6
