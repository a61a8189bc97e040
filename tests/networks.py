"""A network of streams, reconciled: what published examples print, from the misfit of its balances.

What is not measured is taken out of the balances first (Crowe, Garcia Campos and Hrymak 1983, from
memory).
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from app.chemistry.reconciliation import NOTHING, Misfit, misfit

Values = NDArray[np.float64]


@dataclass(frozen=True)
class Reconciled:
    """Measurements after reconciling: their values, what they were moved by, and how surely.

    `multiples` are the adjustments in their own standard uncertainties, not a number where no
    balance sees the measurement.
    """

    values: Values
    standard: Values
    adjustments: Values
    multiples: Values
    misfit: Misfit


def reconciled(
    measured: ArrayLike, covariance: ArrayLike, balances: ArrayLike, unmeasured: ArrayLike = ()
) -> Reconciled:
    """Return the measurements nearest to `measured` that fit every balance.

    Each row of `balances` is what a balance takes of each measurement, and the sum is zero; of
    `unmeasured`, what it takes of each stream that nobody measures. Nearest is by the inverse of
    `covariance`.
    """
    measured, covariance = np.asarray(measured, float), np.asarray(covariance, float)
    balances = without_unmeasured(balances, unmeasured)
    shared = covariance @ balances.T
    found = misfit(balances @ measured, balances @ shared)
    moved, spread = found.adjustment(shared)
    remaining = np.diagonal(covariance) - spread**2
    seen = spread > math.sqrt(NOTHING) * np.sqrt(np.diagonal(covariance))
    multiples = np.divide(moved, spread, out=np.full(len(moved), np.nan), where=seen)
    return Reconciled(
        measured + moved, np.sqrt(np.maximum(remaining, 0.0)), moved, multiples, found
    )


def without_unmeasured(balances: ArrayLike, unmeasured: ArrayLike = ()) -> Values:
    """Return the combinations of balances that hold whatever the unmeasured streams are.

    By projection on what is orthogonal to them (QR); no rows are left where they decide nothing.
    """
    balances = np.atleast_2d(np.asarray(balances, float))
    streams = np.asarray(unmeasured, float)
    if not streams.size:
        return balances
    axes, triangle = np.linalg.qr(streams.reshape(len(balances), -1), mode="complete")
    filled = np.abs(triangle).max(axis=1) > NOTHING * np.abs(triangle).max()
    return np.asarray(axes[:, ~filled].T @ balances)
