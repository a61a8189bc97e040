"""Reconciliation against published networks, scipy, and what a simulation knows."""

from itertools import groupby

import numpy as np
import pytest
from scipy import optimize, stats

from app.chemistry.reconciliation import (
    chi_square_limit,
    misfit,
    multiple_limit,
)
from tests.examples import published
from tests.networks import reconciled, without_unmeasured

BYPASS, WRONG = "exchanger with bypass", "exchanger with bypass, stream 2 wrong"


def by_network(name):
    rows = sorted(published(name), key=lambda row: row["network"])
    return {network: list(group) for network, group in groupby(rows, lambda row: row["network"])}


STREAMS, BALANCES = by_network("reconciliation"), by_network("reconciliation_balances")


def column(network, name):
    values = [row[name] for row in STREAMS[network]]
    return np.array([float(value) if value else np.nan for value in values])


def takes(network):
    return np.array([[int(t) for t in row["takes"].split()] for row in BALANCES[network]], float)


def of(network):
    spread = column(network, "standard")
    return reconciled(column(network, "measured"), np.diag(spread**2), takes(network))


# Printed with three to five digits, from measurements and deviations printed with as many.
@pytest.mark.parametrize("network", STREAMS)
@pytest.mark.parametrize(
    ("mine", "printed", "sign"),
    [("values", "reconciled", 1), ("standard", "standard_reconciled", 1),
     ("multiples", "multiple", -1)],  # the collection takes measured less reconciled
)  # fmt: skip
def test_a_published_network_is_reconciled_as_printed(network, mine, printed, sign):
    expected = column(network, printed)
    there = np.isfinite(expected)
    assert there.sum() >= 3
    found = sign * getattr(of(network), mine)
    assert found[there] == pytest.approx(expected[there], abs=1e-3)


@pytest.mark.parametrize("network", STREAMS)
def test_the_global_test_of_a_published_network_is_as_printed(network):
    printed = float(BALANCES[network][0]["statistic"])
    found = of(network)
    assert found.misfit.statistic == pytest.approx(printed, rel=2e-4)
    assert found.misfit.freedom == len(BALANCES[network])
    gross = network in {WRONG, "water", "eight streams"}
    assert (found.misfit.statistic > found.misfit.limit) == gross


@pytest.mark.parametrize("network", STREAMS)
def test_what_is_reconciled_closes_every_balance(network):
    found = of(network)
    assert np.abs(takes(network) @ found.values).max() < 1e-10 * np.abs(found.values).max()


def test_the_wrong_stream_stands_out_and_its_bias_is_found():
    """Read as 68.45 where the other network has 64.45."""
    found = of(WRONG)
    assert int(np.abs(found.multiples).argmax()) == 1
    assert np.abs(found.multiples).max() > multiple_limit(6)
    bias, standard = found.misfit.bias(takes(WRONG)[:, 1])
    assert bias == pytest.approx(4, abs=2 * standard)
    assert bias / standard == pytest.approx(-found.multiples[1])
    assert np.abs(of(BYPASS).multiples).max() < multiple_limit(6)


def test_least_squares_of_scipy_finds_the_same():
    network = "steam"
    measured, spread = column(network, "measured"), column(network, "standard")
    axes = np.linalg.svd(takes(network))[2][len(takes(network)) :].T
    found = optimize.lsq_linear(axes / spread[:, np.newaxis], measured / spread, tol=1e-14)
    assert of(network).values == pytest.approx(axes @ found.x, rel=1e-8)


def test_a_stream_that_nobody_measures_is_like_one_of_no_weight():
    measured, spread, every = column(BYPASS, "measured"), column(BYPASS, "standard"), takes(BYPASS)
    known = [0, 1, 3, 4, 5]
    found = reconciled(
        measured[known], np.diag(spread[known] ** 2), every[:, known], every[:, [2]]
    )  # fmt: skip
    loose = reconciled(measured, np.diag(np.where(np.arange(6) == 2, 1e8, spread**2)), every)
    assert found.misfit.freedom == 3
    assert found.values == pytest.approx(loose.values[known], rel=1e-6)


def test_where_too_little_is_measured_no_balance_is_left():
    assert without_unmeasured([[1, -1]], [[1.0]]).shape == (0, 2)
    found = reconciled([3, 5], np.eye(2), [[1, -1]], [[1.0]])
    assert found.values.tolist() == [3, 5]
    assert np.isnan(found.multiples).all()
    assert found.misfit.statistic == 0 < found.misfit.limit


def test_a_balance_said_twice_counts_once():
    network = "twelve streams"
    measured, spread, every = (
        column(network, "measured"),
        column(network, "standard"),
        takes(network),
    )
    twice = np.vstack([every, every[0] + every[1]])
    found = reconciled(measured, np.diag(spread**2), twice)
    assert found.misfit.freedom == len(every)
    assert found.misfit.statistic == pytest.approx(of(network).misfit.statistic)
    assert found.values == pytest.approx(of(network).values)


@pytest.mark.parametrize("share", [0.9, 0.95, 0.99])
def test_the_limit_of_the_global_test_is_that_of_scipy(share):
    """Also as the tables have it: 3.8415, 9.4877, 19.6751 for 1, 4 and 11."""
    for freedom in range(1, 60):
        expected = stats.chi2.ppf(share, freedom)
        assert chi_square_limit(freedom, share) == pytest.approx(expected, rel=1e-9)
    assert [round(chi_square_limit(k), 4) for k in (1, 4, 11)] == [3.8415, 9.4877, 19.6751]


def test_of_many_measurements_without_fault_one_in_twenty_networks_has_one_that_stands_out():
    random, network = np.random.default_rng(5), "steam"
    spread, every = column(network, "standard"), takes(network)
    true = of(network).values
    limit = multiple_limit(len(spread))
    assert limit == pytest.approx(stats.norm.ppf((1 + 0.95 ** (1 / 28)) / 2))
    raised = sum(
        np.nanmax(np.abs(reconciled(true + random.normal(0, spread), np.diag(spread**2), every)
                         .multiples)) > limit
        for _ in range(800)
    )  # fmt: skip
    assert 0.02 < raised / 800 < 0.07  # fewer than 5 in 100: adjustments go together


def test_a_bias_that_no_balance_sees_is_not_told():
    found = misfit([1.0, 2.0], np.eye(2))
    assert np.isnan(found.bias([0.0, 0.0])).all()
