"""Measurements that must fit a balance: how far to move each, and whether one of them is wrong.

Weighted least squares with linear constraints, in closed form. Source of the relations: Mah,
Stanley and Downing 1976; Mah and Tamhane 1982 (test of each measurement); Narasimhan and Mah 1987
(size of a bias); all from memory, and checked against published networks in the tests.
"""

import math
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np
from numpy.typing import ArrayLike, NDArray

Values = NDArray[np.float64]

CONFIDENCE = 0.95
NOTHING = 1e-10  # of the largest: what rounding leaves of a variance that is none


@dataclass(frozen=True)
class Misfit:
    """What balances leave over, with the covariance that measuring alone gives to it.

    `weight` is the inverse of that covariance; of balances that say the same, or that nothing
    measured can move, it takes what is left. `freedom` counts the balances that say something.
    """

    left: Values
    weight: Values
    freedom: int

    @property
    def statistic(self) -> float:
        """The sum of squares of what is left over, in its own uncertainties: the global test."""
        return float(self.left @ self.weight @ self.left)

    @property
    def limit(self) -> float:
        """What measuring alone exceeds in 5 cases of 100."""
        return chi_square_limit(self.freedom) if self.freedom else math.inf

    def bias(self, moves: ArrayLike) -> tuple[float, float]:
        """Return the likeliest bias of a measurement and its standard uncertainty.

        `moves` is what a bias of 1 adds to each balance. By generalised least squares; not a number
        where the balances cannot see it.
        """
        moves = np.asarray(moves, float)
        information = float(moves @ self.weight @ moves)
        if information <= 0:
            return math.nan, math.nan
        return float(moves @ self.weight @ self.left) / information, 1 / math.sqrt(information)

    def adjustment(self, shared: ArrayLike) -> tuple[Values, Values]:
        """Return what to add to measurements so that all balances close, and its uncertainty.

        `shared` has a row for each measurement: its covariance with what each balance leaves.
        """
        shared = np.asarray(shared, float)
        moved = -shared @ self.weight @ self.left
        variance = np.einsum("ij,jk,ik->i", shared, self.weight, shared)
        return moved, np.sqrt(np.maximum(variance, 0.0))


def misfit(left: ArrayLike, covariance: ArrayLike) -> Misfit:
    """Return what balances leave over, ready to be tested."""
    left, covariance = np.asarray(left, float), np.asarray(covariance, float)
    scale = np.sqrt(np.maximum(np.diagonal(covariance), 0.0))
    scale = np.where(scale > 0, scale, 1.0)
    spreads, axes = np.linalg.eigh(covariance / np.outer(scale, scale))
    seen = spreads > NOTHING * max(float(spreads.max(initial=0.0)), NOTHING)
    inverse = (axes[:, seen] / spreads[seen]) @ axes[:, seen].T
    return Misfit(left, inverse / np.outer(scale, scale), int(seen.sum()))


def chi_square_limit(freedom: int, share: float = CONFIDENCE) -> float:
    """Return what a sum of squares of so many normal values exceeds in 1 - `share` of cases.

    Found by halving an interval, from the exact sum for whole numbers (Abramowitz and Stegun,
    26.4.4 and 26.4.5, from memory).
    """
    low, high = 0.0, 10.0 * freedom + 100.0
    for _ in range(100):
        middle = (low + high) / 2
        low, high = (middle, high) if _beyond(middle, freedom) > 1 - share else (low, middle)
    return (low + high) / 2


def _beyond(value: float, freedom: int) -> float:
    """Return how often a sum of squares of so many normal values exceeds `value`."""
    half = value / 2
    if freedom % 2:
        found, term, step = math.erfc(math.sqrt(half)), math.sqrt(half / math.pi) * 2, 1.5
    else:
        found, term, step = 0.0, 1.0, 1.0
    term *= math.exp(-half)
    for _ in range(freedom // 2):
        found += term
        term *= half / step
        step += 1
    return found


def multiple_limit(tests: int, share: float = CONFIDENCE) -> float:
    """Return what the largest of so many normal values exceeds, either way, in 1 - `share`.

    Source: Šidák 1967 (from memory); exact for independent tests, on the safe side for others.
    """
    return NormalDist().inv_cdf((1 + share ** (1 / max(tests, 1))) / 2)
