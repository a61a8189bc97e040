import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy import stats

from app.chemistry import grain as relation
from app.chemistry.validity import OutOfRange, outside_is_nothing

SIEVES = np.array([1180.0, 1000, 850, 710, 600, 500, 355])
# Rounded shares of a normal distribution of mean 800 and standard deviation 200; worked out apart.
NORMAL = np.array([2.9, 15.9, 40.1, 67.4, 84.1, 93.3, 98.7])
# Floating point alone parts two ways of one sum, on numbers of about 1000.
EXACT = 1e-8

SHARES = st.lists(st.floats(0.5, 30), min_size=8, max_size=8).map(np.array)


def masses(shares: np.ndarray) -> np.ndarray:
    return np.diff(np.concatenate([[0.0], shares, [100.0]]))


def bracketed(retained: np.ndarray) -> bool:
    shares = relation.cumulative_retained(retained)
    return shares[0] <= 16 and shares[-1] >= 84


# One decimal is printed.
def test_grain_equals_the_example_worked_out_apart():
    line = relation.grain_by_probit(SIEVES, masses(NORMAL))
    assert line.mean_aperture == pytest.approx(800.2, abs=0.05, rel=0)
    assert line.coefficient_of_variation == pytest.approx(25.0, abs=0.05, rel=0)
    between = relation.grain_by_interpolation(SIEVES, masses(NORMAL))
    assert between.mean_aperture == pytest.approx(799.2, abs=0.05, rel=0)
    assert between.coefficient_of_variation == pytest.approx(24.9, abs=0.05, rel=0)


@given(retained=SHARES.filter(bracketed))
def test_the_line_on_probability_paper_is_scipys_regression(retained):
    shares = relation.cumulative_retained(retained)
    line = stats.linregress(stats.norm.ppf(shares / 100), SIEVES)
    found = relation.grain_by_probit(SIEVES, retained)
    assert found.mean_aperture == pytest.approx(line.intercept, abs=EXACT, rel=0)
    variation = -100 * line.slope / line.intercept
    assert found.coefficient_of_variation == pytest.approx(variation, abs=EXACT, rel=0)


@given(retained=SHARES.filter(bracketed))
def test_interpolation_is_numpys(retained):
    shares = relation.cumulative_retained(retained)
    coarse, mean, fine = np.interp([16, 50, 84], shares, SIEVES)
    found = relation.grain_by_interpolation(SIEVES, retained)
    assert found.mean_aperture == pytest.approx(mean, abs=EXACT, rel=0)
    variation = 100 * (coarse - fine) / (2 * mean)
    assert found.coefficient_of_variation == pytest.approx(variation, abs=EXACT, rel=0)


@given(mean=st.floats(650, 900), variation=st.floats(22, 30))
def test_the_line_finds_the_normal_distribution_it_was_made_of(mean, variation):
    shares = 100 * stats.norm.sf(SIEVES, mean, mean * variation / 100)
    assume(shares[0] <= 16 and shares[-1] >= 84)
    found = relation.grain_by_probit(SIEVES, masses(shares))
    # the quantile function of the standard library is good to about 1e-15 of 1, worth 1e-6 here
    assert found.mean_aperture == pytest.approx(mean, abs=1e-6, rel=0)
    assert found.coefficient_of_variation == pytest.approx(variation, abs=1e-6, rel=0)


def test_many_samples_are_worked_out_at_once():
    samples = np.stack([masses(NORMAL), 3 * masses(NORMAL), np.roll(masses(NORMAL), 1)])
    for method in (relation.grain_by_interpolation, relation.grain_by_probit):
        found = method(SIEVES, samples)
        assert found.mean_aperture.shape == (3,)
        assert found.mean_aperture[0] == pytest.approx(found.mean_aperture[1], abs=EXACT)
        alone = method(SIEVES, samples[2])
        assert found.coefficient_of_variation[2] == alone.coefficient_of_variation


def test_sieves_that_hold_nothing_or_all_are_off_the_paper():
    retained = np.array([0.0, 0, *masses(NORMAL), 0])
    wider = np.array([1700.0, 1400, *SIEVES, 250])
    # the pan of the example falls on the sieve of 250: nothing passes it
    found = relation.grain_by_probit(wider, retained)
    plain = relation.grain_by_probit(SIEVES, masses(NORMAL))
    assert found.mean_aperture == pytest.approx(plain.mean_aperture, abs=EXACT)


# By hand: 50 % lies 34/40 of the way from 800 to 700, 84 % lies 28/40 of the way from 700 to 600.
def test_a_step_at_16_percent_has_an_aperture():
    found = relation.grain_by_interpolation([900.0, 800, 700, 600], [16.0, 0, 40, 40, 4])
    assert found.coefficient_of_variation == pytest.approx(100 * (900 - 630) / (2 * 715), abs=EXACT)


@pytest.mark.parametrize(
    ("retained", "said"),
    [([20, 30, 40, 10], "coarsest sieve is 20 %"), ([10, 30, 40, 20], "all sieves is 80 %")],
)
@pytest.mark.parametrize("method", [relation.grain_by_interpolation, relation.grain_by_probit])
def test_sieves_that_do_not_bracket_16_and_84_percent_are_refused(method, retained, said):
    with pytest.raises(OutOfRange, match=said):
        method([900, 700, 500], retained)
    with outside_is_nothing():
        found = method([900, 700, 500], [retained, [10, 30, 50, 10]])
    for value in found:
        assert np.isnan(value).tolist() == [True, False]


def test_one_sieve_draws_no_line():
    with pytest.raises(OutOfRange, match="sieves that part the sample is 1"):
        relation.grain_by_probit([900, 700, 500], [0, 50, 50, 0])
    with outside_is_nothing():
        assert np.isnan(relation.grain_by_probit([900, 700, 500], [0, 50, 50, 0])).all()


def test_sieves_out_of_order_are_refused():
    with pytest.raises(ValueError, match="fall from the coarsest"):
        relation.grain_by_interpolation([500, 700, 900], [10, 30, 50, 10])


def test_a_mass_that_was_not_weighed_leaves_grain_unknown():
    for method in (relation.grain_by_interpolation, relation.grain_by_probit):
        assert np.isnan(method([900, 700, 500], [10, np.nan, 50, 10])).all()
