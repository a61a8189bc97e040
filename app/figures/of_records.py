"""What follows in one record of another book by the chemistry of the trade.

Plain arithmetic within a record stands with its book, in `app.plant.books`; here is what asks for
a relation of sugar solutions, a convention of the mill, or both.
"""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from inspect import signature

from app.chemistry.validity import OutOfRange
from app.figures.sources import Source

Value = float | str | datetime


@dataclass(frozen=True)
class Following:
    """One thing that follows in a record: `function` takes fields, what follows, conventions.

    What has a default may lack.
    """

    name: str
    title: str
    unit: str
    decimals: int
    formula: str
    source: Source
    function: Callable[..., float]

    @property
    def inputs(self) -> tuple[str, ...]:
        """What it takes, by name."""
        return tuple(signature(self.function).parameters)

    @property
    def needs(self) -> tuple[str, ...]:
        """What it cannot do without."""
        parameters = signature(self.function).parameters.values()
        return tuple(p.name for p in parameters if p.default is p.empty)


# book: what follows in its records, each after what it takes
FOLLOWING: dict[str, list[Following]] = {}


def follows(
    book: str, title: str, *, unit: str, decimals: int, formula: str, source: Source
) -> Callable[[Callable[..., float]], Callable[..., float]]:
    """Declare what follows in the records of `book`: named as the function is."""

    def declare(function: Callable[..., float]) -> Callable[..., float]:
        FOLLOWING.setdefault(book, []).append(
            Following(function.__name__, title, unit, decimals, formula, source, function)
        )
        return function

    return declare


def follow(
    book: str, values: Mapping[str, Value], conventions: Mapping[str, Value]
) -> dict[str, float]:
    """Return what follows in one record, by name.

    What lacks something it needs is left out, and so is what is out of the range of its rule.
    """
    known: dict[str, Value] = {**conventions, **values}
    found: dict[str, float] = {}
    for each in FOLLOWING.get(book, []):
        if not all(name in known for name in each.needs):
            continue
        try:
            value = float(each.function(**{n: known[n] for n in each.inputs if n in known}))
        except OutOfRange:
            continue
        if math.isfinite(value):
            known[each.name] = found[each.name] = value
    return found
