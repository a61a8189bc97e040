"""What if: with nothing changed nothing moves, and each change is that of the relation alone."""

import GTC
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.figures.points import ASKED
from app.figures.sheets import Period
from app.figures.what_if import CHANGES, as_wished, changes, uncertainties
from tests.figures.mills import figures_of, measured, mills, plausible
from tests.figures.test_points import by_library, column, recovered, sides, standing
from tests.figures.test_uncertainty import books, season, stated, unsure

EXACT = 1e-9
# the place of each among the factors, by how much it is tried otherwise, what it is a share of
OTHERWISE = {
    "pol_extraction": (0, 0.7, 100), "mixed_juice_purity": (1, 1.3, 1),
    "filter_cake_loss_on_mixed_juice": (2, 0.4, 100), "final_molasses_purity": (3, -2.1, 1),
    "sugar_purity": (4, -0.6, 1),
}  # fmt: skip
WISHES = st.fixed_dictionaries({}, optional={
    "pol_extraction": st.floats(90, 99), "mixed_juice_purity": st.floats(78, 90),
    "filter_cake_loss_on_mixed_juice": st.floats(0, 2), "final_molasses_purity": st.floats(28, 45),
    "sugar_purity": st.floats(97, 100), "undetermined_loss": st.floats(0, 5),
})  # fmt: skip
PLACES = CHANGES[:-1]


def named(moved):
    """What changed by its name, of one period."""
    return dict(zip(CHANGES, moved[:, 0], strict=True))


def asked_of(made_of):
    found = figures_of(measured(made_of))
    return found, np.array([found[name] for name in ASKED])


@plausible
@given(mills())
def test_with_nothing_changed_every_figure_is_the_accounts_own_to_the_last_bit(made_of):
    _, figures = asked_of(made_of)
    assert np.array_equal(as_wished(figures, {}), figures)
    assert not changes(figures, {}).any()


@plausible
@given(mills(), WISHES)
def test_whatever_is_changed_all_pol_of_cane_is_somewhere(made_of, wished):
    found, figures = asked_of(made_of)
    moved = dict(zip(CHANGES, changes(figures, wished), strict=True))
    np.testing.assert_allclose(sum(moved[name] for name in PLACES), 0, rtol=0, atol=EXACT)
    lost = ("bagasse", "filter_cake", "final_molasses", "undetermined")
    there = sum(found[f"{name}_loss"] + moved[name] for name in lost)
    recovery = found["overall_recovery"] + moved["sugar"]
    np.testing.assert_allclose(there + recovery, 100, rtol=0, atol=EXACT)


@plausible
@given(sides, st.sampled_from(sorted(OTHERWISE)))
def test_one_change_makes_of_recovery_what_the_relation_makes_of_it(side, name):
    place, by, share = OTHERWISE[name]
    other = list(side)
    other[place] += by / share
    moved = changes(column(side), {name: share * other[place]})[0, 0]
    assert moved == pytest.approx(recovered(*other) - recovered(*side), abs=EXACT)


@plausible
@given(sides, st.floats(0, 5))
def test_pol_that_is_no_longer_undetermined_is_sugar(side, lost):
    figures = column(side)
    moved = changes(figures, {"undetermined_loss": lost})[:, 0]
    assert moved[0] == pytest.approx(figures[-1, 0] - lost, abs=EXACT)
    assert moved[4] == pytest.approx(-moved[0], abs=EXACT)
    assert moved[1:4] == pytest.approx([0, 0, 0], abs=EXACT)


@plausible
@given(sides, WISHES)
def test_figures_as_wished_hold_what_was_wished(side, wished):
    found = dict(zip(ASKED, as_wished(column(side), wished)[:, 0], strict=True))
    cake = "filter_cake_loss_on_mixed_juice"
    found[cake] = 100 * found["filter_cake_loss"] / found["pol_extraction"]
    assert {name: found[name] for name in wished} == pytest.approx(wished, abs=EXACT)


# Definition, by hand. S 100, J 80, M 40: s is 10000 × 40 ÷ (80 × 60), 83.3333; M 36 makes it
# 10000 × 44 ÷ (80 × 64), 85.9375. Extraction 0.96 and no cake: 2.5 points more from molasses.
def test_molasses_of_less_purity_gives_sugar_as_by_hand():
    moved = named(changes(column((0.96, 80, 0, 40, 100, 0)), {"final_molasses_purity": 36}))
    assert moved["sugar"] == pytest.approx(2.5, abs=EXACT)
    assert moved["final_molasses"] == pytest.approx(-2.5, abs=EXACT)
    assert moved["bagasse"] == moved["filter_cake"] == moved["undetermined"] == 0


# Definition, by hand. Sugar of 100 purity and recovery 80 made of 98 purity: s at J 80 and M 40 is
# 98 × 10000 × 40 ÷ (80 × 100 × 58) = 84.4828, recovery 81.1034, which is 82.7586 of sugar.
def test_sugar_of_less_purity_is_more_sugar_as_by_hand():
    moved = named(changes(column((0.96, 80, 0, 40, 100, 0)), {"sugar_purity": 98}))
    assert moved["sugar"] == pytest.approx(1.10345, abs=1e-5)
    assert moved["as_made"] == pytest.approx(2.75862, abs=1e-5)


def test_nothing_comes_of_molasses_purer_than_juice():
    assert np.isnan(changes(column((0.96, 80, 0, 40, 100, 0)), {"final_molasses_purity": 81})[0, 0])


WISHED_OF_A_PERIOD = {"pol_extraction": 97.5, "final_molasses_purity": 33.0}


# Ours are central differences: on these numbers they differ from exact slopes by less than 1 in
# 1000.
def test_what_is_gained_is_as_unsure_as_by_a_library_of_a_metrology_institute():
    entered = season(8)
    entered["mixed_juice_suspended_solids"] = np.zeros(8)
    found = books(entered, stated(entered, 0.2, 0.3)).over([Period(0, 8)])
    ours = uncertainties(standing(found, 0), WISHED_OF_A_PERIOD)
    known = by_library(0, 8, unsure(entered, GTC.ureal, random=0.2, systematic=0.3))
    wished = [0.975, *known[1:3], 33.0, *known[4:]]
    gained = GTC.uncertainty(recovered(*wished) - recovered(*known))
    assert ours[0] == pytest.approx(gained, rel=2e-3)
    assert ours[1] == pytest.approx(GTC.uncertainty(100 * known[0]), rel=2e-3)


def test_what_is_not_changed_is_sure():
    entered = season(6)
    found = books(entered, stated(entered, 1, 0.6)).over([Period(0, 6)])
    assert not uncertainties(standing(found, 0), {}).any()
    unsure_of = uncertainties(standing(found, 0), {"undetermined_loss": 1.0})
    moved = dict(zip(CHANGES, unsure_of, strict=True))
    assert moved["bagasse"] == moved["filter_cake"] == 0
    assert moved["sugar"] > 0
