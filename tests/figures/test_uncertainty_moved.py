"""Uncertainty beside what really moves: each measure read false by its own error, all else kept."""

import numpy as np
import pytest

from app.compute import compute
from app.figures import FIGURES
from app.figures.evaluate import in_force
from app.figures.periods import Books
from app.figures.sheets import Period, Sheets, Stated
from app.plant.measures import ASKED, CARRIERS
from tests.figures.mills import RANGES, measured

SIZE = 42
PERIODS = [Period(0, SIZE), Period(21, SIZE), Period(20, 21)]


def season():
    """Two weeks with gaps, an ash once a week, and steam raised from the bagasse."""
    random = np.random.default_rng(11)
    entered = measured({name: random.uniform(*ends, SIZE) for name, ends in RANGES.items()})
    weekly = np.arange(SIZE) % 21 == 20
    entered["bagasse_ash"] = np.where(weekly, random.uniform(1.5, 3, SIZE), np.nan)
    entered["steam"] = 0.5 * entered["cane"]
    entered["bagasse_pol"][[3, 17, 30]] = np.nan
    entered["mixed_juice_brix"][[5, 6]] = np.nan
    entered["gross_hours"] = np.full(SIZE, 8.0)
    entered["crushing_hours"] = random.uniform(6, 8, SIZE)
    return entered


def over(entered, errors):
    """Figures of the season where every measure has a small systematic error and no random one."""
    zero, no = np.zeros(SIZE), np.zeros(SIZE, dtype=bool)
    stated = {name: Stated(zero, np.full(SIZE, errors.get(name, 0.0)), no) for name in entered}
    day = np.arange(SIZE) // 3
    sheets = Sheets(
        entered, in_force({}, SIZE), day, day // 7, CARRIERS, asked=ASKED, stated=stated
    )
    result = Books(sheets).over(PERIODS)
    result.certainty.cover(tuple(FIGURES))
    return result


# The error is 1 part in 10 000 of the value, so that curves do not show; what is nothing beside a
# millionth of the figure is not compared.
@pytest.mark.parametrize(
    "measure",
    ["cane", "mixed_juice", "mixed_juice_pol", "mixed_juice_brix", "bagasse_moisture",
     "bagasse_pol", "bagasse_ash", "sugar", "final_molasses_brix", "steam"],
)  # fmt: skip
def test_what_a_measure_adds_is_what_it_moves(measure):
    entered = season()
    error = 1e-4 * np.nanmean(entered[measure])
    stated, gaps = over(entered, {measure: error}), over(entered, {})  # gaps are unsure anyway
    up, down = (over(entered | {measure: entered[measure] + side * error}, {}) for side in (1, -1))
    compared = 0
    for name in FIGURES:
        for index in range(len(PERIODS)):
            value = stated.values[name][index]
            moved = abs(up.values[name][index] - down.values[name][index]) / 2
            if not np.isfinite(value) or not np.isfinite(moved):
                continue
            standard, guessed = (r.certainty.standard(name, index) for r in (stated, gaps))
            moved = np.hypot(moved, guessed)
            assert standard == pytest.approx(moved, rel=0.01, abs=3e-6 * abs(value) + 1e-9), name
            compared += moved > 1e-5 * abs(value)
    assert compared > 10


def figures(measures, **uncertainties):
    return compute({"measures": measures, "uncertainties": uncertainties})["figures"]


# By hand: 1.4 × 0.096 = 0.134; a step up would leave 100 %, so the step down tells.
def test_a_value_at_the_end_of_its_range_is_still_unsure():
    exact = {"random": 0, "systematic": 0}
    found = figures(
        {"sugar_pol": 99.95, "sugar_moisture": 0.02, "sugar": 100.0},
        sugar_pol={"random": 0.096, "systematic": 0}, sugar_moisture=exact, sugar=exact,
    )  # fmt: skip
    assert found["sugar_esg"]["uncertainty"] == pytest.approx(1.4 * 0.096, rel=1e-6)


def test_what_stands_for_a_period_says_how_little_was_analysed():
    result = over(season(), {})
    share = result.coverage["bagasse_ash"][1]
    assert 0.03 < share < 0.07  # one sheet of 21
    assert result.coverage["bagasse_ash"][2] == 1


def test_an_opening_that_was_given_has_no_stated_uncertainty():
    from tests.figures.test_missing import EVERYTHING

    found = compute({"measures": EVERYTHING})["figures"]
    assert found["brix_in_stock"]["uncertainty"] > 0
    assert found["change_of_brix_in_stock"]["value"] is not None
    assert found["change_of_brix_in_stock"]["uncertainty"] is None


def test_what_is_given_in_one_period_leaves_the_others_sure():
    answer = compute(
        [
            {"measures": {"mixed_juice": 1000, "mixed_juice_pol": 12}},
            {"measures": {"pol_in_mixed_juice": 120}},
        ]
    )
    first, second = (period["figures"]["pol_in_mixed_juice"] for period in answer["periods"])
    assert first["uncertainty"] > 0
    assert second["uncertainty"] is None
    assert answer["to_date"]["figures"]["pol_in_mixed_juice"]["uncertainty"] is None


def test_an_identity_is_exact():
    entered = {name: column for name, column in season().items() if name != "bagasse"}
    result = over(entered, {"cane": 1.0, "imbibition": 1.0})
    assert result.values["water_balance"][0] == pytest.approx(100, abs=1e-9)
    assert result.certainty.standard("water_balance") == 0
