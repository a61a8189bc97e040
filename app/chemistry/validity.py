"""The range in which a relation holds: outside it there is a named error, never a silent guess."""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

import numpy as np
from numpy.typing import ArrayLike, NDArray

_RAISES = ContextVar("raises", default=True)


class OutOfRange(ValueError):
    """A value for which a published relation does not hold; the message names it and its range."""

    def __init__(self, name: str, value: float, low: float, high: float, unit: str) -> None:
        said = f" {unit}" if unit else ""
        super().__init__(f"{name} is {value:.6g}{said}; this holds from {low:g} to {high:g}{said}")
        self.name, self.value, self.low, self.high, self.unit = name, value, low, high, unit


def within(
    name: str, values: ArrayLike, low: float, high: float, unit: str = ""
) -> NDArray[np.float64]:
    """Return `values` as an array, all of them between `low` and `high` or not a number.

    Raises OutOfRange for the first that is not; inside `outside_is_nothing` it becomes not a
    number instead.
    """
    found = np.asarray(values, dtype=float)
    outside = (found < low) | (found > high)
    if not outside.any():
        return found
    if _RAISES.get():
        raise OutOfRange(name, found[outside].flat[0], low, high, unit)
    return np.where(outside, np.nan, found)


@contextmanager
def outside_is_nothing() -> Iterator[None]:
    """Let what lies outside a range be not a number, as many rows at once need it."""
    token = _RAISES.set(False)
    try:
        yield
    finally:
        _RAISES.reset(token)
