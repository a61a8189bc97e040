"""How well a laboratory repeats itself, from two results of each of several samples.

Both results come from the same sample, method, instrument and hand, within a short time. Their
difference then holds random error alone, twice; what both share is not seen.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

_LIMIT = 2.8  # 1.96 √2, rounded: 95 of 100 differences of two results are smaller


def repeatability(
    first: ArrayLike, second: ArrayLike, *, relative: bool = False
) -> NDArray[np.float64]:
    """Return the standard deviation of one result: the root of Σ d² ÷ 2n, d a pair's difference.

    Pairs run along the last axis; one that lacks a result counts for nothing. In the unit of the
    results, or, where `relative`, in percent of each pair's mean; a pair whose mean is zero is then
    left out. Not a number without any pair.
    Source: pooled form of ISO 5725-2 for two results (from memory).
    """
    first, second = np.broadcast_arrays(np.asarray(first, float), np.asarray(second, float))
    difference = first - second
    if relative:
        mean = (first + second) / 2
        difference = 100 * difference / np.where(mean == 0, np.nan, np.abs(mean))
    counted = np.isfinite(difference)
    pairs = counted.sum(axis=-1)
    squares = np.where(counted, difference, 0.0) ** 2
    return np.sqrt(squares.sum(axis=-1) / np.where(pairs, 2.0 * pairs, np.nan))


def repeatability_limit(standard: ArrayLike) -> NDArray[np.float64]:
    """Return the difference that two results exceed 5 times in 100, of errors like the normal.

    `standard` is the standard deviation of one result, 0 or more, in any unit.
    Source: ISO 5725-6, 2.8 s (from memory).
    """
    return _LIMIT * np.asarray(standard, float)


def uncertainty_of_repeatability(pairs: ArrayLike) -> NDArray[np.float64]:
    """Return the relative standard uncertainty of a repeatability from so many pairs, percent.

    100 ÷ √(2n), of errors like the normal; too large by 8 % for 2 pairs, by 2 % from 10 on. Not a
    number for less than one pair. Source: GUM, annex E.4.3 (from memory).
    """
    pairs = np.asarray(pairs, float)
    return 100 / np.sqrt(2 * np.where(pairs >= 1, pairs, np.nan))
