from math import exp, lgamma, sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.chemistry.repeatability import (
    repeatability,
    repeatability_limit,
    uncertainty_of_repeatability,
)
from tests.examples import published

# Floating point alone parts both sides, on numbers of about 100.
EXACT = 1e-9

RESULTS = st.lists(st.tuples(st.floats(1, 99), st.floats(1, 99)), min_size=1, max_size=30)


def columns(text):
    return np.array([float(word) for word in text.split()])


# Printed is twice the standard deviation of a difference, which is √2 of that of one result. The
# authors rounded the latter to 0.1 before they doubled it: 0.1. Else half of the last digit.
@pytest.mark.parametrize("row", published("repeatability"), ids=lambda row: row["case"])
def test_pairs_of_results_have_the_printed_repeatability(row):
    standard = repeatability(columns(row["first"]), columns(row["second"]))
    printed, within = float(row["printed"]), float(row["within"])
    assert 2 * sqrt(2) * standard == pytest.approx(printed, abs=within), row["source"]


# Its own standard uncertainty is 0.5 % of itself at 20 000 pairs; five of them are allowed.
@given(
    sigma=st.floats(0.001, 5),
    spread=st.floats(0, 50),
    seed=st.integers(0, 2**32 - 1),
)
def test_the_error_of_simulated_pairs_is_found_however_samples_differ(sigma, spread, seed):
    random = np.random.default_rng(seed)
    pairs = 20_000
    sample = 60 + spread * random.standard_normal(pairs)
    bias = 3.0
    first, second = sample + bias + sigma * random.standard_normal((2, pairs))
    allowed = 5 * sigma * float(uncertainty_of_repeatability(pairs)) / 100
    assert repeatability(first, second) == pytest.approx(sigma, abs=allowed)


# As above, at 20 000 pairs; the means of pairs stray by 1 %, which moves it by 0.01 % of itself.
@given(percent=st.floats(0.01, 1), seed=st.integers(0, 2**32 - 1))
def test_the_relative_error_of_simulated_pairs_is_found(percent, seed):
    random = np.random.default_rng(seed)
    sample = random.uniform(100, 5000, 20_000)
    first, second = sample * (1 + percent / 100 * random.standard_normal((2, 20_000)))
    allowed = percent * (5 * 0.005 + 1e-4)
    assert repeatability(first, second, relative=True) == pytest.approx(percent, abs=allowed)


@given(pairs=RESULTS)
def test_it_is_the_root_of_the_mean_of_the_variances_of_the_pairs(pairs):
    results = np.array(pairs).T
    pooled = np.sqrt(results.var(axis=0, ddof=1).mean())
    assert repeatability(*results) == pytest.approx(pooled, abs=EXACT)


@given(pairs=RESULTS)
def test_which_result_was_first_does_not_matter(pairs):
    first, second = np.array(pairs).T
    for relative in (False, True):
        there = repeatability(first, second, relative=relative)
        assert repeatability(second, first, relative=relative) == there


def test_a_pair_that_lacks_a_result_counts_for_nothing():
    first, second = [10.0, np.nan, 20.0, 30.0], [10.2, 15.0, 20.4, np.nan]
    # √((0.04 + 0.16) ÷ 4)
    assert repeatability(first, second) == pytest.approx(sqrt(0.05), abs=EXACT)


def test_a_mean_of_zero_has_no_percent():
    assert repeatability([0.0, 10.0], [0.0, 10.0], relative=True) == 0
    assert np.isnan(repeatability([-1.0], [1.0], relative=True))


def test_nothing_is_known_without_pairs():
    assert np.isnan(repeatability([], []))
    assert np.isnan(uncertainty_of_repeatability([0, -1])).all()


def test_several_measures_at_once_are_worked_out_along_the_last_axis():
    first, second = np.zeros((2, 3)), np.array([[0.2] * 3, [0.4] * 3])
    assert repeatability(first, second) == pytest.approx([0.2 / sqrt(2), 0.4 / sqrt(2)], abs=EXACT)


# 1.96 √2 is 2.772, which the trade rounds to 2.8: 1.1 % more.
def test_two_results_of_normal_error_exceed_the_limit_once_in_twenty():
    assert repeatability_limit(1.0) == pytest.approx(1.959964 * sqrt(2), rel=0.011)


# The docstring's 8 % at 2 pairs, and 2 % from 10 on.
@pytest.mark.parametrize(("pairs", "within"), [(2, 0.08), (10, 0.02), (50, 0.02)])
def test_how_sure_it_is_comes_near_the_exact_spread_of_the_chi_distribution(pairs, within):
    mean = sqrt(2 / pairs) * exp(lgamma((pairs + 1) / 2) - lgamma(pairs / 2))
    exact = 100 * sqrt(1 - mean**2)
    assert uncertainty_of_repeatability(pairs) == pytest.approx(exact, rel=within)
