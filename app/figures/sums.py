"""What rows add up to in a period."""

import math
from collections.abc import Sequence

import numpy as np

from app.figures.evaluate import Values
from app.figures.sheets import Period


def exact_sums(rows: Values, periods: Sequence[Period]) -> Values:
    """Return what each line of `rows` adds up to in each period, to the last digit of a float.

    Tonnes typed to one digit more than is printed may add to a tie, which a sum that is off by its
    last binary digit would round to the wrong side.
    """
    return np.array(
        [[math.fsum(row) for row in rows[:, p.first : p.last].tolist()] for p in periods]
    ).T


def sums(rows: Values, periods: Sequence[Period]) -> Values:
    """Return what each line of `rows` adds up to in each period."""
    return np.array([rows[:, p.first : p.last].sum(axis=1) for p in periods]).T
