"""How a check is declared: its words, and the function that compares.

A comparison is a function whose argument names are its inputs, as those of figures are: a figure by
its name, what stands on the sheet as `entered_<measure>`. It returns a value with the band that the
value is expected in, or nothing where it does not apply.
"""

import inspect
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import NamedTuple

from app.figures.sources import COMMON, Source
from app.plant.grains import SHIFT
from app.plant.measures import MEASURES


class Band(NamedTuple):
    """A value, and where it is expected to lie."""

    value: float
    low: float
    high: float

    @property
    def within(self) -> bool:
        """Whether it lies there; on a limit, it does."""
        return self.low <= self.value <= self.high

    @property
    def off(self) -> float:
        """How far it lies outside, negative below."""
        return self.value - (self.high if self.value > self.high else self.low)

    @property
    def size(self) -> float:
        """How far it lies outside, in widths of the band: what makes one check larger."""
        return abs(self.off) / (self.high - self.low)


@dataclass(frozen=True)
class Check:
    """A test of results, in words: what it looks at, and likely causes, the most likely first.

    `grain` is the period it looks at; a check of a day or week is raised on its last sheet.
    """

    name: str
    title: str
    note: str
    causes: tuple[str, ...]
    source: Source
    grain: str = SHIFT


@dataclass(frozen=True)
class Comparison:
    """One comparison that a check makes: of which inputs, and which cells it concerns.

    `of_samples` tells that each sample is compared for itself, where all inputs are of its time.
    """

    check: Check
    value: str
    unit: str
    decimals: int
    concerns: tuple[str, ...]
    inputs: tuple[str, ...]
    function: Callable[..., Band | None]
    of_samples: bool = False


CHECKS: dict[str, Check] = {}
COMPARISONS: list[Comparison] = []


def declare(check: Check) -> Check:
    """Keep a check under its name."""
    if check.name in CHECKS:
        raise ValueError(f"{check.name} is declared twice")
    CHECKS[check.name] = check
    return check


def compare(  # noqa: PLR0913  one argument for each thing a reader of a raised check is told
    title: str,
    *,
    value: str,
    unit: str,
    decimals: int,
    concerns: Iterable[str],
    causes: tuple[str, ...],
    grain: str = SHIFT,
    source: Source = COMMON,
) -> Callable[[Callable[..., Band | None]], Check]:
    """Declare the decorated function as a check of the same name; its docstring is the note."""

    def add(function: Callable[..., Band | None]) -> Check:
        note = " ".join(inspect.cleandoc(function.__doc__ or "").split())
        check = declare(Check(function.__name__, title, note, causes, source, grain))
        inputs = tuple(inspect.signature(function).parameters)
        also_compare(Comparison(check, value, unit, decimals, tuple(concerns), inputs, function))
        return check

    return add


def also_compare(comparison: Comparison) -> None:
    """Let a check make one comparison more."""
    COMPARISONS.append(comparison)


def purity_of(*streams: str) -> tuple[str, ...]:
    """Return the measures that a purity of each of `streams` is made of."""
    named = (f"{stream}_{prop}" for stream in streams for prop in ("brix", "pol", "purity"))
    return tuple(name for name in named if name in MEASURES)


def title_of_check(name: str) -> str:
    """Return the title of the check that a rule names, or its name where it is asked no more."""
    check = name.partition(":")[0]
    return CHECKS[check].title if check in CHECKS else name
