"""What pairs of a measure say of its random part, and when that may be used."""

import pytest

from app.figures.duplicates import ENOUGH, beyond_limit, repeated

# Floating point alone.
EXACT = 1e-9


def test_one_pair_says_nothing_yet():
    assert repeated([], relative=False) is None
    assert repeated([(14.2, 14.3)], relative=False) is None
    assert repeated([(14.2, 14.3)] * 2, relative=False).pairs == 2


def test_a_pair_at_zero_is_no_pair_in_percent():
    pairs = [(0.0, 0.0), (99.0, 101.0), (202.0, 198.0)]
    found = repeated(pairs, relative=True)
    assert found.pairs == 2
    # each differs by 2 % of its mean: 2 ÷ √2
    assert found.standard == pytest.approx(2**0.5, abs=EXACT)
    assert repeated(pairs, relative=False).pairs == 3
    assert repeated(pairs[:2], relative=True) is None


def test_ten_pairs_that_differ_are_needed_to_use_it():
    differing, equal = [(14.2, 14.3)] * ENOUGH, [(14.2, 14.2)] * ENOUGH
    assert repeated(differing, relative=False).usable
    assert not repeated(differing[1:], relative=False).usable
    assert not repeated(equal, relative=False).usable


# 2.8 × 0.05 = 0.14, also where it is 0.5 % of 10.
@pytest.mark.parametrize(("random", "relative"), [(0.05, False), (0.5, True)])
def test_a_pair_at_the_limit_is_not_beyond_it(random, relative):
    assert not beyond_limit((10.07, 9.93), random, relative=relative)
    assert beyond_limit((10.0705, 9.93), random, relative=relative)
