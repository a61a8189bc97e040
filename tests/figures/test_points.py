"""A change of overall recovery shared out: it adds, prefers no order, and knows its own error."""

import math
from itertools import pairwise, permutations

import GTC
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.figures.points import (
    ASKED,
    FACTORS,
    PARTS,
    Standing,
    factors,
    parts,
    uncertainties,
)
from app.figures.sheets import Period
from tests.figures.mills import figures_of, measured, mills, plausible
from tests.figures.test_uncertainty import account, books, season, stated, unsure

# extraction, purity of juice, cake per pol in juice, purities of molasses and sugar, the rest
RANGES = ((0.9, 0.98), (78, 88), (0.002, 0.01), (30, 40), (98.5, 99.8), (-4, 2))
EXACT = 1e-9


def recovered(extraction, juice, cake, molasses, sugar, rest):
    """Overall recovery written straight, of plain numbers or of uncertain ones."""
    by_purities = 100 * sugar * (juice - molasses) / (juice * (sugar - molasses))
    return extraction * (1 - cake) * by_purities + rest


def figures(of_factors):
    """The figures that a mill of such factors has, in the order of ASKED."""
    extraction, juice, cake, molasses, sugar, _rest = of_factors
    recovery = recovered(*of_factors)
    undetermined = 100 - recovery - 9.0 - 100 * extraction * cake - 100 * (1 - extraction)
    return np.array([
        recovery, 100 * extraction, 100 * extraction * cake, juice, sugar, molasses, undetermined,
    ])  # fmt: skip


def by_orders(before, after):
    """The mean effect of each factor over all 720 orders, each followed step by step."""
    found = [0.0] * len(FACTORS)
    for order in permutations(range(len(FACTORS))):
        steps = [list(before)]
        for factor in order:
            steps.append([*steps[-1][:factor], after[factor], *steps[-1][factor + 1 :]])
        for factor, (old, new) in zip(order, pairwise(steps), strict=True):
            found[factor] = found[factor] + (recovered(*new) - recovered(*old)) / math.factorial(6)
    return found


sides = st.tuples(*(st.floats(low, high) for low, high in RANGES))


def column(of_factors):
    return figures(of_factors)[:, np.newaxis]


@plausible
@given(sides, sides)
def test_the_parts_add_to_the_change_and_turn_with_the_sides(before, after):
    found = dict(zip(PARTS, parts(column(before), column(after))[:, 0], strict=True))
    assert sum(found[name] for name in FACTORS) == pytest.approx(found["change"], abs=EXACT)
    assert found["of_undetermined"] + found["of_molasses"] == pytest.approx(
        found["rest"], abs=EXACT
    )
    back = parts(column(after), column(before))[:, 0]
    np.testing.assert_allclose(back, -np.array(list(found.values())), rtol=0, atol=EXACT)


@plausible
@given(mills(at_least=2))
def test_in_any_mill_the_parts_add_to_the_change_of_the_account(made_of):
    found = figures_of(measured(made_of))
    asked = np.array([found[name] for name in ASKED])
    shared = dict(zip(PARTS, parts(asked[:, :-1], asked[:, 1:]), strict=True))
    change = np.diff(found["overall_recovery"])
    added = np.sum([shared[name] for name in FACTORS], axis=0)
    np.testing.assert_allclose(added, change, rtol=0, atol=EXACT)


@plausible
@given(mills(at_least=2))
def test_the_rest_is_undetermined_pol_and_molasses_against_what_purities_imply(made_of):
    found = figures_of(measured(made_of))
    asked = np.array([found[name] for name in ASKED])
    shared = dict(zip(PARTS, parts(asked[:, :-1], asked[:, 1:]), strict=True))
    boiled = found["pol_extraction"] - found["filter_cake_loss"]
    implied = boiled * (1 - found["sjm_recovery"] / 100)
    more_in_molasses = np.diff(found["final_molasses_loss"] - implied)
    np.testing.assert_allclose(shared["of_molasses"], -more_in_molasses, rtol=0, atol=EXACT)
    lost = np.diff(found["undetermined_loss"])
    np.testing.assert_allclose(shared["of_undetermined"], -lost, rtol=0, atol=EXACT)


@plausible
@given(sides, sides, st.sets(st.integers(0, 4)))
def test_what_did_not_change_has_no_part(before, after, kept):
    after = tuple(before[n] if n in kept else after[n] for n in range(len(FACTORS)))
    found = parts(column(before), column(after))[:, 0]
    assert [found[n] for n in kept] == pytest.approx([0.0] * len(kept), abs=EXACT)


@pytest.mark.parametrize("seed", range(3))
def test_each_part_is_the_mean_effect_over_all_orders(seed):
    random = np.random.default_rng(seed)
    before, after = ([random.uniform(*ends) for ends in RANGES] for _ in range(2))
    found = parts(column(before), column(after))[: len(FACTORS), 0]
    assert list(found) == pytest.approx(by_orders(before, after), abs=EXACT)


# Definition, by hand. S 100 and M 40: s is 10000 × (J - 40) ÷ (60 × J), 83.3333 at J 80 and 77.7778
# at 75. Extraction 0.96 to 0.90 and no cake: recovery 80 to 70. Extraction first and juice last
# gives -0.06 × 83.3333 and 0.90 × -5.5556, the other order -0.06 × 77.7778 and 0.96 × -5.5556; the
# means are -4.8333 and -5.1667.
def test_two_factors_share_a_change_as_by_hand():
    before, after = column((0.96, 80, 0, 40, 100, 0)), column((0.90, 75, 0, 40, 100, 0))
    found = dict(zip(PARTS, parts(before, after)[:, 0], strict=True))
    assert found["extraction"] == pytest.approx(-4.83333, abs=1e-5)
    assert found["juice_purity"] == pytest.approx(-5.16667, abs=1e-5)
    assert found["change"] == pytest.approx(-10, abs=EXACT)
    assert found["filter_cake"] == found["molasses_purity"] == found["sugar_quality"] == 0


def test_nothing_is_shared_out_where_molasses_is_purer_than_juice():
    beyond = column((0.96, 34, 0.005, 36, 99, 0))
    assert np.isnan(factors(beyond)[-1]).all()
    assert np.isnan(parts(column((0.96, 84, 0.005, 36, 99, 0)), beyond)[: len(FACTORS)]).all()


def standing(result, index, of="2026"):
    figures = np.array([result.values[name][index] for name in ASKED])
    return Standing(figures, tuple(result.certainty.moves(name, index) for name in ASKED), of)


def by_library(first, last, errors):
    """The six factors of some rows, of numbers that carry their own uncertainty."""
    rows = slice(first, last)
    there = type(errors)(**{name: values[rows] for name, values in vars(errors).items()})
    found = account(there)
    extraction = found["pol_extraction"] / 100
    cake = sum(w * p / 100 for w, p in zip(there.filter_cake, there.filter_cake_pol, strict=True))
    juice = sum(w * p / 100 for w, p in zip(there.mixed_juice, there.mixed_juice_pol, strict=True))
    solids = sum(w * (1 - m / 100) for w, m in zip(there.sugar, there.sugar_moisture, strict=True))
    sugar = sum(w * p / 100 for w, p in zip(there.sugar, there.sugar_pol, strict=True))
    weighed = list(zip(there.final_molasses, there.final_molasses_pol, strict=True))
    brix = sum(w * b for w, b in zip(there.final_molasses, there.final_molasses_brix, strict=True))
    molasses = 100 * sum(w * p for w, p in weighed) / brix
    known = [extraction, found["mixed_juice_purity"], cake / juice, molasses, 100 * sugar / solids]
    return [*known, found["overall_recovery"] - recovered(*known, 0)]


# Ours are central differences: on these numbers they differ from exact slopes by less than 1 in
# 1000.
def test_parts_are_as_unsure_as_by_a_library_of_a_metrology_institute():
    entered = season(8)
    entered["mixed_juice_suspended_solids"] = np.zeros(8)
    found = books(entered, stated(entered, 0.2, 0.3)).over([Period(0, 4), Period(4, 8)])
    ours = uncertainties(standing(found, 0), standing(found, 1))
    errors = unsure(entered, GTC.ureal, random=0.2, systematic=0.3)
    before, after = (by_library(*rows, errors) for rows in ((0, 4), (4, 8)))
    theirs = [GTC.uncertainty(part) for part in by_orders(before, after)]
    assert list(ours[: len(FACTORS)]) == pytest.approx(theirs, rel=2e-3)
    change = GTC.uncertainty(recovered(*after) - recovered(*before))
    assert ours[-1] == pytest.approx(change, rel=2e-3)


def test_an_error_that_both_periods_share_counts_once_within_a_season_alone():
    entered = season(8)
    found = books(entered, stated(entered, 0, 1)).over([Period(0, 4), Period(4, 8)])
    within = uncertainties(standing(found, 0), standing(found, 1))
    between = uncertainties(standing(found, 0, "2025"), standing(found, 1))
    assert (within[PARTS.index("extraction")]) < 0.5 * between[PARTS.index("extraction")]


@pytest.mark.parametrize("period", [Period(3, 9), Period(5, 6)])
def test_what_each_measure_moves_makes_the_uncertainty_of_a_figure(period):
    entered = season(9)
    found = books(entered, stated(entered, 1, 0.6)).over([period])
    for name in ASKED:
        moved = found.certainty.moves(name).values()
        whole = math.sqrt(sum(np.square(random).sum() + alike**2 for random, alike in moved))
        assert whole == pytest.approx(found.certainty.standard(name), rel=1e-9)


def test_a_target_is_exact():
    entered = season(6)
    found = books(entered, stated(entered, 1, 0.6)).over([Period(0, 6)])
    now = standing(found, 0)
    against = uncertainties(Standing(now.figures + 0.1), now)
    assert against[-1] == pytest.approx(found.certainty.standard("overall_recovery"), rel=1e-6)
    assert (against > 0).all()
