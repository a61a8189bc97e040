"""Forecast of a season's end: days and sugar to come, each with the band in which it likely lies.

Days are taken together in blocks of seven, counted back from the last, so that what goes on from
one day to the next, as a stop or rain, mostly stays within a block. Cane goes on as in the last
blocks; sugar per cane follows its straight line over them. A band is the wider of two: that of a
mean to come beside those that were (prediction interval, Student's t; Draper and Smith, Applied
Regression Analysis, from memory), and how far this same forecast, made as far ahead earlier in the
season, would have missed. Errors of measuring that are the same on every day are not in it.
"""

import math
from dataclasses import dataclass
from functools import cached_property
from statistics import NormalDist

import numpy as np

from app.figures.conventions import Convention, convention
from app.figures.declare import Values
from app.figures.sources import COMMON

BLOCK = 7  # days
FROM_BLOCKS = 6  # the last ones, from which a forecast is made
SHARE = 0.8  # of cases that lie within a band
FEWEST_FREE = 3  # degrees of freedom of what was tried, however few trials there were
STOOD = 0.05  # of the cane of a mean block: in one with less, sugar per cane says nothing

convention(
    Convention(
        "cane_estimate", "Cane of the whole season, estimated", 0.0, "t", COMMON,
        "What the season is thought to crush from its first day to its last. The forecast of the "
        "season’s end stands on it; 0 says that nobody has estimated. State it anew whenever the "
        "fields are estimated anew. It enters no figure.",
        high=100_000_000.0,
    )
)  # fmt: skip
convention(
    Convention(
        "cane_estimate_uncertainty", "Standard uncertainty of the cane estimated", 5.0,
        "% of the cane to come", COMMON,
        "In % of the cane that was still to come on the day of the estimate; some 5 where the "
        "fields were walked. It enters no figure.",
        high=50.0,
    )
)  # fmt: skip


@dataclass(frozen=True)
class Span:
    """What is likeliest, and how far the band around it reaches on either side."""

    middle: float
    reach: float

    def low(self, least: float = 0.0) -> float:
        """Return the lower end of the band, which is not under `least`."""
        return max(self.middle - self.reach, least)

    @property
    def high(self) -> float:
        """The upper end of the band."""
        return self.middle + self.reach


@dataclass(frozen=True)
class Forecast:
    """What is to come of a season, from the tonnes of cane and sugar of its blocks of days.

    `crushed` and `made` are the tonnes so far, `left` the cane to come with the standard
    uncertainty `unsure`.
    """

    cane: Values
    sugar: Values
    crushed: float
    made: float
    left: float
    unsure: float

    @property
    def crushed_a_day(self) -> float:
        """Tonnes of cane of a mean day of the last blocks, stops counted."""
        return float(self.cane[-FROM_BLOCKS:].mean()) / BLOCK

    @property
    def blocks_left(self) -> float:
        """How many blocks the cane to come takes."""
        return self.left / (self.crushed_a_day * BLOCK)

    @property
    def tried(self) -> bool:
        """Whether as many blocks as are left could be tried earlier in the season."""
        return round(self.blocks_left) <= _most_tried(len(self.cane))

    @property
    def days(self) -> Span:
        """How many days there are to the end."""
        blocks = self.blocks_left
        a_block = ahead(self.cane, blocks, sloping=False)
        reach = math.hypot(blocks * a_block.reach, self._reach_of_crop) / a_block.middle
        return Span(BLOCK * blocks, BLOCK * reach)

    @property
    def cane_at_end(self) -> Span:
        """Tonnes of cane of the whole season."""
        return Span(self.crushed + self.left, self._reach_of_crop)

    @property
    def enough(self) -> bool:
        """Whether there are blocks enough in which cane was crushed, the last ones among them."""
        crushed = len(self._sugar_per_cane) >= FROM_BLOCKS <= len(self.cane)
        return crushed and self.crushed_a_day > 0

    @cached_property
    def _sugar_per_cane(self) -> Values:
        crushed = self.cane > STOOD * self.cane.mean()
        return self.sugar[crushed] / self.cane[crushed]

    @property
    def sugar_per_cane(self) -> Span:
        """Tonnes of sugar of a tonne of the cane to come."""
        return ahead(self._sugar_per_cane, self.blocks_left, sloping=True)

    @property
    def sugar_at_end(self) -> Span:
        """Tonnes of sugar of the whole season."""
        return self._sugar(Span(self.left, self._reach_of_crop), self.sugar_per_cane)

    def cane_after(self, days: float) -> Span:
        """Return the tonnes of cane of the season after so many days more, its end not passed."""
        blocks = days / BLOCK
        a_block = ahead(self.cane, blocks, sloping=False)
        middle, reach = (blocks * part for part in (a_block.middle, a_block.reach))
        high = min(middle + reach, self.left + self._reach_of_crop)
        low = min(middle - reach, max(self.left - self._reach_of_crop, 0.0))
        return Span(self.crushed + (low + high) / 2, (high - low) / 2)

    def sugar_after(self, days: float) -> Span:
        """Return the tonnes of sugar of the season after so many days more, its end not passed."""
        cane, blocks = self.cane_after(days), min(days / BLOCK, self.blocks_left)
        each = ahead(self._sugar_per_cane, blocks, sloping=True)
        return self._sugar(Span(cane.middle - self.crushed, cane.reach), each)

    def _sugar(self, cane: Span, each: Span) -> Span:
        reach = math.hypot(cane.middle * each.reach, cane.reach * each.middle)
        return Span(self.made + cane.middle * each.middle, reach)

    @property
    def _reach_of_crop(self) -> float:
        return NormalDist().inv_cdf((1 + SHARE) / 2) * self.unsure


def ahead(values: Values, blocks: float, *, sloping: bool) -> Span:
    """Return the mean of so many values to come after `values`.

    Made from the last of them: their mean, or their straight line where it is `sloping`.
    """
    span, standard = _prediction(values[-FROM_BLOCKS:], blocks, sloping=sloping)
    free = FROM_BLOCKS - 1 - sloping
    trial = max(min(round(blocks), _most_tried(len(values))), 1)
    missed = np.array([
        values[now : now + trial].mean()
        - _prediction(values[now - FROM_BLOCKS : now], trial, sloping=sloping)[0]
        for now in range(FROM_BLOCKS, len(values) - trial + 1)
    ])  # fmt: skip
    reach = student(free) * standard
    if len(missed):
        near = _prediction(values[-FROM_BLOCKS:], trial, sloping=sloping)[1]
        further = standard / near if near else 1.0
        usual = math.sqrt(float((missed**2).mean())) * further
        reach = max(reach, student(max(len(missed) / trial, FEWEST_FREE)) * usual)
    return Span(span, reach)


def _most_tried(blocks: int) -> int:
    """Return how far ahead a forecast can be tried several times in so many blocks."""
    return max((blocks - FROM_BLOCKS) // 2, 1)


def _prediction(values: Values, blocks: float, *, sloping: bool) -> tuple[float, float]:
    """Return the mean of so many values to come, and its standard deviation."""
    count = len(values)
    place = np.arange(count) - (count - 1) / 2
    square = float((place**2).sum())
    slope = float((place * values).sum()) / square if sloping else 0.0
    rest = values - values.mean() - slope * place
    each = float((rest**2).sum()) / (count - 1 - sloping)
    away = (count + blocks) / 2 if sloping else 0.0
    parts = 1 / max(blocks, 1 / BLOCK) + 1 / count + away**2 / square
    return float(values.mean()) + slope * away, math.sqrt(each * parts)


def student(free: float) -> float:
    """Return within how many standard deviations of so few a `SHARE` of cases lies.

    By Fisher's expansion of Student's t (Abramowitz and Stegun 26.7.5, from memory), right to
    0.005 from three degrees of freedom on.
    """
    z = NormalDist().inv_cdf((1 + SHARE) / 2)
    terms = (
        (z**3 + z) / 4,
        (5 * z**5 + 16 * z**3 + 3 * z) / 96,
        (3 * z**7 + 19 * z**5 + 17 * z**3 - 15 * z) / 384,
    )
    return z + sum(term / free**power for power, term in enumerate(terms, 1))
