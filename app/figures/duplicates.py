"""What pairs of results say of the random part of a measure's uncertainty."""

from collections.abc import Sequence
from dataclasses import dataclass

from app.chemistry.repeatability import (
    repeatability,
    repeatability_limit,
    uncertainty_of_repeatability,
)

FEWEST = 2  # pairs, from which on a repeatability is worked out at all
ENOUGH = 10  # pairs, from which on it may replace what is stated

Pair = tuple[float, float]


@dataclass(frozen=True)
class Repeatability:
    """The standard deviation of one result by its pairs, and its own standard uncertainty, %."""

    pairs: int
    standard: float
    unsure: float

    @property
    def limit(self) -> float:
        """The difference of two results that 5 pairs in 100 exceed."""
        return float(repeatability_limit(self.standard))

    @property
    def usable(self) -> bool:
        """Whether it may stand for the random part.

        It may not from few pairs, nor where no pair differs: then a digit lacks, not the error.
        """
        return self.pairs >= ENOUGH and self.standard > 0


def repeated(pairs: Sequence[Pair], *, relative: bool) -> Repeatability | None:
    """Return what `pairs` say, in the unit of the results or in % of them; None for too few.

    In %, a pair whose mean is zero is no pair.
    """
    counted = [pair for pair in pairs if sum(pair) != 0 or not relative]
    if len(counted) < FEWEST:
        return None
    first, second = zip(*counted, strict=True)
    standard = float(repeatability(first, second, relative=relative))
    return Repeatability(len(counted), standard, float(uncertainty_of_repeatability(len(counted))))


def beyond_limit(pair: Pair, random: float, *, relative: bool) -> bool:
    """Tell whether two results differ by more than 2.8 times the random part stated for one."""
    unit = abs(sum(pair)) / 200 if relative else 1.0
    return abs(pair[0] - pair[1]) > float(repeatability_limit(random * unit)) * (1 + 1e-9)
