"""Run rules: what in a control chart is not likely to be chance, each rule by its own name.

Sources: Nelson, The Shewhart Control Chart: Tests for Special Causes, Journal of Quality
Technology 16, 1984 (from memory); Western Electric, Statistical Quality Control Handbook, 1956
(from memory). A point on a line between zones counts to the inner one, a point on the centre to
neither side. Arrays in, arrays out: along the last axis run the points in their order, in standard
deviations from the centre.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Values = NDArray[np.float64]
Truths = NDArray[np.bool_]

NELSON, WESTERN_ELECTRIC = "Nelson", "Western Electric"
BOTH = "Nelson and Western Electric"
ABOVE, BELOW, RISING, FALLING, EITHER = "above", "below", "rising", "falling", "either"


class Signal(NamedTuple):
    """Where a rule fires on one side, and which points it counts."""

    side: str
    fires: Truths
    counts: Truths


class Found(NamedTuple):
    """Points that a rule names together, from first to last, and those of them that it counts."""

    side: str
    first: int
    last: int
    points: tuple[int, ...]


@dataclass(frozen=True)
class Rule:
    """A rule: its name, what it says in words, whose it is, and how many points it looks at."""

    name: str
    title: str
    source: str
    span: int
    signals: Callable[[Values], tuple[Signal, ...]]

    def fires(self, off: Values) -> Truths:
        """Tell of each point whether the rule fires at it, on whichever side."""
        return np.logical_or.reduce([signal.fires for signal in self.signals(off)])

    def found(self, off: Values) -> list[Found]:
        """Return what the rule names in one series, oldest first.

        What touches is named as one, but where a rule counts every point (of steps, which it shares
        with none that only follows): there what it fires at without a break.
        """
        every = [each for signal in self.signals(off) for each in self._of_side(signal)]
        return sorted(every, key=lambda each: (each.first, each.last))

    def _of_side(self, signal: Signal) -> list[Found]:
        points: list[set[int]] = []
        for at in np.flatnonzero(signal.fires).tolist():
            window = range(max(at - self.span + 1, 0), at + 1)
            named = {n for n in window if signal.counts[n]}
            together = at - 1 if signal.counts.all() else min(named) - 1
            if points and together <= max(points[-1]):
                points[-1] |= named
            else:
                points.append(named)
        return [Found(signal.side, min(each), max(each), tuple(sorted(each))) for each in points]


def _so_many(counts: Truths, needed: int, among: int) -> Truths:
    """Tell where a point that counts is the last of `needed` such among the last `among`."""
    summed = np.cumsum(counts, axis=-1)
    before = np.zeros_like(summed)
    before[..., among:] = summed[..., :-among]
    fires: Truths = counts & (summed - before >= needed)
    return fires


def _beyond(sigmas: float, needed: int, among: int) -> Callable[[Values], tuple[Signal, ...]]:
    def signals(off: Values) -> tuple[Signal, ...]:
        sides = (ABOVE, off > sigmas), (BELOW, off < -sigmas)
        return tuple(Signal(side, _so_many(c, needed, among), c) for side, c in sides)

    return signals


def _steadily(points: int) -> Callable[[Values], tuple[Signal, ...]]:
    def signals(off: Values) -> tuple[Signal, ...]:
        steps = np.diff(off, axis=-1, prepend=off[..., :1])
        every = np.ones(off.shape, dtype=bool)
        sides = (RISING, steps > 0), (FALLING, steps < 0)
        return tuple(Signal(side, _so_many(c, points - 1, points - 1), every) for side, c in sides)

    return signals


def _alternately(points: int) -> Callable[[Values], tuple[Signal, ...]]:
    def signals(off: Values) -> tuple[Signal, ...]:
        steps = np.sign(np.diff(off, axis=-1, prepend=off[..., :1]))
        turns = np.zeros(off.shape, dtype=bool)
        turns[..., 1:] = steps[..., 1:] * steps[..., :-1] < 0
        every = np.ones(off.shape, dtype=bool)
        return (Signal(EITHER, _so_many(turns, points - 2, points - 2), every),)

    return signals


def _near(off: Values) -> tuple[Signal, ...]:
    counts = np.abs(off) <= 1
    return (Signal(EITHER, _so_many(counts, 15, 15), counts),)


def _far(off: Values) -> tuple[Signal, ...]:
    """Eight beyond one sigma, some of them above and some below."""
    above, below = off > 1, off < -1
    counts = above | below
    fires = _so_many(counts, 8, 8)
    for side in (above, below):
        summed = np.cumsum(side, axis=-1)
        before = np.zeros_like(summed)
        before[..., 8:] = summed[..., :-8]
        fires &= summed > before
    return (Signal(EITHER, fires, counts),)


RULES = {
    rule.name: rule
    for rule in (
        Rule("beyond", "One point beyond three sigma", BOTH, 1, _beyond(3, 1, 1)),
        Rule("eight", "Eight in a row on one side", WESTERN_ELECTRIC, 8, _beyond(0, 8, 8)),
        Rule("nine", "Nine in a row on one side", NELSON, 9, _beyond(0, 9, 9)),
        Rule("steady", "Six in a row that rise, or that fall", NELSON, 6, _steadily(6)),
        Rule("alternate", "Fourteen in a row that go up and down in turn", NELSON, 14,
             _alternately(14)),
        Rule("two_of_three", "Two of three beyond two sigma, on one side", BOTH, 3,
             _beyond(2, 2, 3)),
        Rule("four_of_five", "Four of five beyond one sigma, on one side", BOTH, 5,
             _beyond(1, 4, 5)),
        Rule("near", "Fifteen in a row within one sigma", NELSON, 15, _near),
        Rule("far", "Eight in a row beyond one sigma, on both sides", NELSON, 8, _far),
    )
}  # fmt: skip

USUAL = ("beyond", "eight")
