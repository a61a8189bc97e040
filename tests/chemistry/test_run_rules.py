"""Run rules: each fires where it should, not one point before, and as seldom as published."""

import numpy as np
import pytest

from app.chemistry.control_chart import OF_TWO, limits, run_on_one_side
from app.chemistry.run_rules import RULES, USUAL

# of each rule a series that just fires and one that just does not, in sigma from the centre
EDGES = {
    "beyond": ([0, 3.001], [0, 3.0]),
    "eight": ([0.1] * 8, [0.1] * 7 + [0.0]),
    "nine": ([-0.1] * 9, [-0.1] * 8 + [0.1]),
    "steady": ([0, 0.1, 0.2, 0.3, 0.4, 0.5], [0, 0.1, 0.2, 0.3, 0.3, 0.4]),
    "alternate": ([0.1, -0.1] * 7, [0.1, -0.1] * 6 + [0.1, 0.1]),
    "two_of_three": ([2.1, 0, 2.1], [2.1, 0, 2.0]),
    "four_of_five": ([1.1, 1.1, 0, 1.1, 1.1], [1.1, 1.1, 0, 1.1, 1.0]),
    "near": ([1.0] * 8 + [-1.0] * 7, [1.0] * 8 + [-1.0] * 6 + [1.001]),
    "far": ([1.1] * 7 + [-1.1], [1.1] * 7 + [-1.0]),
}


def test_every_rule_has_its_edges():
    assert EDGES.keys() == RULES.keys()
    assert set(USUAL) < set(RULES)


@pytest.mark.parametrize("name", RULES)
def test_a_rule_fires_at_the_last_point_that_it_needs_and_not_before(name):
    """C-56"""
    fires, does_not = (np.array(series, dtype=float) for series in EDGES[name])
    fired = RULES[name].fires(fires)
    assert fired[-1]
    assert not fired[:-1].any()
    assert not RULES[name].fires(does_not).any()


@pytest.mark.parametrize("name", RULES)
def test_a_rule_does_not_know_above_from_below(name):
    for series in EDGES[name]:
        off = np.array(series, dtype=float)
        assert np.array_equal(RULES[name].fires(off), RULES[name].fires(-off))


def test_two_of_three_on_different_sides_are_nothing():
    assert not RULES["two_of_three"].fires(np.array([2.1, -2.1, 0.0, 2.1])).any()
    assert not RULES["far"].fires(np.full(20, 1.5)).any()


def test_what_a_rule_names_has_its_points_and_what_touches_is_named_once():
    """C-56: the chart says which rule fired and at which points."""
    off = np.array([0, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, -1, 3.5, 3.5, 0, -4], dtype=float)
    (run,) = RULES["eight"].found(off)
    assert (run.side, run.first, run.last, len(run.points)) == ("above", 1, 10, 10)
    assert [tuple(each) for each in RULES["beyond"].found(off)] == [
        ("above", 12, 13, (12, 13)), ("below", 15, 15, (15,)),
    ]  # fmt: skip
    (pair,) = RULES["two_of_three"].found(np.array([0, 2.5, 0, 2.5, 0]))
    assert pair.points == (1, 3)


@pytest.mark.parametrize("again", [(1, 2, 3, 4, 5, 6), (6, 7, 8, 9, 10, 11)])
def test_two_climbs_that_only_touch_are_two_and_a_longer_one_is_one(again):
    """Between them is a step that does not rise: that would not be a row of twelve that do."""
    twice = RULES["steady"].found(np.array([1.0, 2, 3, 4, 5, 6, *again]))
    assert [(each.first, each.last) for each in twice] == [(0, 5), (6, 11)]
    (once,) = RULES["steady"].found(np.arange(9.0))
    assert (once.first, once.last) == (0, 8)


def test_two_that_alternate_with_a_break_between_are_two():
    turns = np.tile([1.0, -1.0], 7)
    found = RULES["alternate"].found(np.concatenate([turns, -turns]))
    assert [(each.first, each.last) for each in found] == [(0, 13), (14, 27)]


def test_the_run_of_eight_is_that_of_the_checks_of_a_sheet():
    values = np.random.default_rng(3).standard_normal(3000)
    fired = RULES["eight"].fires(values)
    told = [run_on_one_side(values[: n + 1].tolist(), 0) for n in range(len(values))]
    assert fired.tolist() == told
    assert 0 < sum(told) < len(told)


def test_all_four_rules_of_western_electric_raise_a_first_false_alarm_after_92_points():
    """C-57: 91.75 on average, with the rule of three sigma alone 370.4.

    Source: Champ and Woodall, Technometrics 29, 1987, exact by Markov chains (from memory).
    """
    points, runs = np.random.default_rng(7), 20_000
    off = points.standard_normal((runs, 1200))
    fired = np.logical_or.reduce(
        [RULES[name].fires(off) for name in ("beyond", "eight", "two_of_three", "four_of_five")]
    )
    assert fired.any(axis=1).mean() > 0.9999
    assert (fired.argmax(axis=1) + 1).mean() == pytest.approx(91.75, rel=0.02)


def test_limits_lie_three_of_the_sigma_by_which_zones_are_made():
    series = np.random.default_rng(5).standard_normal(40)
    chart = limits(series.tolist())
    sigma = np.abs(np.diff(series)).mean() / OF_TWO
    assert chart.sigma == pytest.approx(sigma)
    assert chart.high == pytest.approx(series.mean() + 3 * sigma)
