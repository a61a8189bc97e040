"""Control charts of individuals and moving ranges: what a series that only wanders stays within.

Source of limits and constants: NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2; of the
run of eight on one side: Western Electric, Statistical Quality Control Handbook, 1956 (from
memory).
"""

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

FEWEST = 8  # no limits from fewer results than these
RUN = 8  # results in a row on one side of the centre
OF_TWO = 1.128  # mean range of two values of a normal distribution, in standard deviations
RANGE_LIMIT = 3.267  # upper limit of a moving range of two, in mean moving ranges


class Limits(NamedTuple):
    """What a chart says of a series: limits and centre of results, limit of their moving ranges."""

    low: float
    centre: float
    high: float
    moving_range: float

    @property
    def sigma(self) -> float:
        """The standard deviation that the limits are made of."""
        return (self.high - self.low) / 6


def limits(series: Sequence[float]) -> Limits | None:
    """Return the limits of a series, oldest first; None for a short or a constant one."""
    if len(series) < FEWEST:
        return None
    ranges = [abs(after - before) for before, after in pairwise(series)]
    mean_range = math.fsum(ranges) / len(ranges)
    if mean_range == 0:
        return None
    centre, reach = math.fsum(series) / len(series), 3 * mean_range / OF_TWO
    return Limits(centre - reach, centre, centre + reach, RANGE_LIMIT * mean_range)


def beyond(value: float, chart: Limits) -> bool:
    """Tell whether a result lies beyond three sigma; one on the limit lies within."""
    return not chart.low <= value <= chart.high


def run_on_one_side(series: Sequence[float], centre: float) -> bool:
    """Tell whether the last eight of a series lie on one side; one on the centre ends a run."""
    last = [value - centre for value in series[-RUN:]]
    return len(last) == RUN and (min(last) > 0 or max(last) < 0)


def follow_each_other(series: Sequence[float]) -> bool:
    """Tell whether neighbours are alike, so that a run tells nothing.

    The correlation of each result with the one before it lies above two standard errors, 2/√n.
    Source of the bound: Bartlett 1946, as textbooks give it (from memory).
    """
    centre = math.fsum(series) / len(series)
    off = [value - centre for value in series]
    whole = math.fsum(d * d for d in off)
    if whole == 0:
        return True
    beside = math.fsum(a * b for a, b in pairwise(off))
    return beside / whole > 2 / math.sqrt(len(series))
