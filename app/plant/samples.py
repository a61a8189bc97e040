"""Samples within a shift: when each is due, and how they make the shift's result."""

import math
import re
from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import NamedTuple

MEAN, SUM, LAST = "mean", "sum", "last"

# how the samples of a shift make its result
RULES = {
    MEAN: "mean of the samples",
    SUM: "sum of the samples",
    LAST: "the last sample",
}

EVERY = (0, 1, 2, 4)  # hours between samples of a shift; 0 is once a shift

_KEY = re.compile(r"([a-z][a-z0-9_]*)(?:-([1-9]\d?))?(?:-([1-9]))?", re.ASCII)


class Place(NamedTuple):
    """Where a result stands on a sheet: the measure, which sample of it, which test of that.

    Samples are numbered by their time within the shift, from 1; tests of one sample from 1.
    """

    measure: str
    sample: int = 1
    determination: int = 1

    @property
    def key(self) -> str:
        """How forms and addresses name it: clear_juice_ph, clear_juice_ph-3, clear_juice_ph-3-2."""
        if self.determination > 1:
            return f"{self.measure}-{self.sample}-{self.determination}"
        return self.measure if self.sample == 1 else f"{self.measure}-{self.sample}"


def place_of(key: str) -> Place:
    """Return the place that a key names; ValueError for another text."""
    found = _KEY.fullmatch(key)
    if not found:
        raise ValueError(f"{key} is no place of a sheet")
    return Place(found[1], int(found[2] or 1), int(found[3] or 1))


def times(begins: datetime, ends: datetime, every: int) -> list[datetime]:
    """Return when the samples of a shift are due: from its beginning, `every` hours apart.

    Once a shift, `every` 0, it is due by the shift's end. A shift in which clocks change has one
    sample more or less, as it is an hour longer or shorter.
    """
    if not every:
        return [ends]
    step = timedelta(hours=every)
    count = -(-(ends - begins) // step)
    return [begins + n * step for n in range(count)]


def mean(tests: Sequence[float]) -> float | None:
    """Return what the tests of one sample make; None where none counts."""
    return math.fsum(tests) / len(tests) if tests else None


def made(rule: str, samples: Sequence[float], due: int) -> float | None:
    """Return the result of a shift of which so many samples are due.

    None without a sample, and for a sum of which one lacks: an hour not weighed is not nothing.
    """
    if not samples or (rule == SUM and len(samples) < due):
        return None
    return result(rule, samples)


def result(rule: str, samples: Sequence[float]) -> float:
    """Return what the samples of a shift make, in the order of their times; one at least."""
    if rule == LAST:
        return samples[-1]
    return result_of_sum(rule, math.fsum(samples), len(samples))


def result_of_sum(rule: str, total: float, count: int) -> float:
    """Return what samples make that add up to `total`, by a rule that asks for no order."""
    # to more decimals than are ever typed: the same, in whatever order they were added
    exact = round(total, 8)
    return exact if rule == SUM else exact / count
