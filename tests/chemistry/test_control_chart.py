"""Control charts against a printed example, the published run lengths, and their edges."""

import numpy as np
import pytest

from app.chemistry.control_chart import (
    FEWEST,
    OF_TWO,
    RANGE_LIMIT,
    RUN,
    beyond,
    follow_each_other,
    limits,
    run_on_one_side,
)
from tests.examples import published

RANDOM = np.random.default_rng(1)


@pytest.mark.parametrize("row", published("individuals_chart"), ids=["flow rates"])
def test_limits_are_those_of_the_printed_example(row):
    """C-55"""
    chart = limits([float(value) for value in row["series"].split()])
    assert chart.centre == pytest.approx(float(row["mean"]), abs=5e-5)
    assert chart.moving_range / RANGE_LIMIT == pytest.approx(
        float(row["mean_moving_range"]), abs=5e-5
    )
    assert (chart.low, chart.high) == pytest.approx(
        (float(row["low"]), float(row["high"])), abs=5e-5
    )


def test_the_constants_are_the_expected_range_of_two_and_its_upper_limit():
    """d2 of two is 2 ÷ √π; D4 is 1 + 3 × d3 ÷ d2, with d3² = 2 - d2²: by integration."""
    d2 = 2 / np.sqrt(np.pi)
    assert round(d2, 3) == OF_TWO
    assert round(1 + 3 * np.sqrt(2 - d2**2) / d2, 3) == pytest.approx(RANGE_LIMIT, abs=1e-3)


def test_few_or_constant_results_have_no_limits():
    assert limits([1.0, 2.0] * 3 + [1.0]) is None
    assert limits([1.0, 2.0] * (FEWEST // 2)) is not None
    assert limits([7.0] * 20) is None


def test_a_result_on_a_limit_lies_within():
    """C-56"""
    chart = limits([float(value) for value in range(20)])
    assert not beyond(chart.high, chart)
    assert not beyond(chart.low, chart)
    assert beyond(np.nextafter(chart.high, np.inf), chart)
    assert beyond(np.nextafter(chart.low, -np.inf), chart)


@pytest.mark.parametrize("side", [1, -1])
def test_eight_in_a_row_on_one_side_are_a_run_and_seven_are_not(side):
    """C-56: a series that just fires and one that just does not."""
    assert not run_on_one_side([-side] + [side] * (RUN - 1), 0)
    assert run_on_one_side([-side] + [side] * RUN, 0)
    assert not run_on_one_side([side] * (RUN - 1), 0)


def test_a_result_on_the_centre_ends_a_run():
    assert not run_on_one_side([1.0] * 4 + [0.0] + [1.0] * 4, 0)


def test_random_results_raise_a_false_alarm_as_seldom_as_is_published():
    """C-57: beyond three sigma once in 1 ÷ 0.0027 = 370; a run of eight after 255 at first.

    Run of eight of a fair coin: 2⁸ - 1 tosses on average, either side counting (Feller, An
    Introduction to Probability Theory, XIII.7, from memory).
    """
    values = RANDOM.standard_normal(400_000)
    outside = np.abs(values) > 3
    assert len(values) / outside.sum() == pytest.approx(370.4, rel=0.1)
    lengths, run, side, since = [], 0, 0, 0
    for sign in np.sign(values):
        since += 1
        run = run + 1 if sign == side else 1
        side = sign
        if run == RUN:
            lengths.append(since)
            run, side, since = 0, 0, 0
    assert np.mean(lengths) == pytest.approx(2**RUN - 1, rel=0.1)


def test_limits_of_a_short_series_call_random_results_out_more_often_but_seldom():
    """From 20 results the limits are unsure themselves; it stays under 1 in 100."""
    series = RANDOM.standard_normal((20_000, 21))
    charts = [limits(row[:20].tolist()) for row in series]
    alarms = sum(beyond(row[20], c) for row, c in zip(series, charts, strict=True))
    assert 0.0027 < alarms / len(series) < 0.015


def test_results_that_follow_each_other_are_told_from_random_ones():
    random = RANDOM.standard_normal((500, 60))
    wander = np.cumsum(random, axis=1)
    assert sum(follow_each_other(row.tolist()) for row in random) < 0.05 * len(random)
    assert sum(follow_each_other(row.tolist()) for row in wander) > 0.95 * len(wander)
    assert follow_each_other([3.0] * 10)
