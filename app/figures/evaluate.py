"""Working the declared figures out, over any number of rows at once."""

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from app.chemistry.validity import outside_is_nothing
from app.figures.conventions import CONVENTIONS
from app.figures.declare import ENTERED, FIGURES, OPENING, Figure, Way, in_order, is_leaf

Values = NDArray[np.float64]
Ways = NDArray[np.int8]
Known = Mapping[str, Values]
Conventions = Mapping[str, NDArray]  # type: ignore[type-arg]  # floats or words

ORDER = in_order()
ADDS = tuple(name for name, figure in FIGURES.items() if figure.kind == "adds")
LEVELS = tuple(name for name in ORDER if FIGURES[name].kind == "level")
SUMMED = frozenset(ADDS + LEVELS)


def in_force(chosen: Mapping[str, object], size: int) -> dict[str, NDArray]:  # type: ignore[type-arg]
    """Return an array of `size` for every convention: what is chosen, else its default.

    Raises ValueError for an unknown convention or a value it does not take.
    """
    unknown = chosen.keys() - CONVENTIONS.keys()
    if unknown:
        raise ValueError(f"no such convention: {', '.join(sorted(unknown))}")
    return {
        name: np.full(size, convention.read(chosen.get(name, convention.default)))  # type: ignore[arg-type]
        for name, convention in CONVENTIONS.items()
    }


@lru_cache(maxsize=256)
def behind(names: tuple[str, ...]) -> tuple[str, ...]:
    """Return `names` and every figure that they follow from, in order."""
    found: set[str] = set()
    waiting = list(names)
    while waiting:
        name = waiting.pop().removeprefix(OPENING)
        if name in FIGURES and name not in found:
            found.add(name)
            waiting += [i for way in FIGURES[name].ways for i in way.inputs]
    return tuple(name for name in ORDER if name in found)


def worked_out(known: Known, conventions: Conventions) -> dict[str, Values]:
    """Return every figure of every row; not a number where an input lacks.

    `known` holds what was typed as `entered_<measure>`, openings as `opening_<level>`, and any
    figure that is already known (a sum) by its own name. Arrays of one length.
    """
    return worked_out_by_way(known, conventions)[0]


def worked_out_by_way(
    known: Known, conventions: Conventions, names: Sequence[str] = ORDER
) -> tuple[dict[str, Values], dict[str, Ways]]:
    """Return as `worked_out`, and for each figure the number of the way taken in each row.

    The number is -1 where there is no value, or where it was known already. `names` may be some
    figures with all that is `behind` them.
    """
    values: dict[str, Values] = dict(known)
    ways: dict[str, Ways] = {}
    with calculation():
        for name in names:
            values[name], ways[name] = first_that_works(FIGURES[name], values, conventions)
    return {name: values[name] for name in names}, ways


@contextmanager
def calculation() -> Iterator[None]:
    """Let what divides by nothing or leaves its range be no number; `lacking` tells of it."""
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"), outside_is_nothing():
        yield


def first_that_works(
    figure: Figure, values: Known, conventions: Conventions
) -> tuple[Values, Ways]:
    """Return a figure of every row, and the number of the way taken; -1 where it was known."""
    size = len(next(iter(conventions.values())))
    nothing = _nothing(size)
    result = values.get(figure.name, nothing)
    taken = np.full(size, -1, dtype=np.int8)
    gaps = np.isnan(result)
    for number, way in enumerate(figure.ways):
        if not gaps.any():
            break
        inputs = [values.get(i, conventions.get(i, nothing)) for i in way.inputs]
        found = way.function(*inputs)
        filled = gaps & np.isfinite(found)
        if way.when:
            filled &= applies(way, conventions, size)
        if filled.any():
            result = np.where(filled, found, result)
            taken[filled] = number
            gaps &= ~filled
    return result, taken


@lru_cache(maxsize=32)
def _nothing(size: int) -> Values:
    nothing = np.full(size, np.nan)
    nothing.flags.writeable = False
    return nothing


def applies(way: Way, conventions: Conventions, size: int) -> NDArray[np.bool_]:
    """Tell for each row whether the conventions in force allow this way."""
    allowed = np.ones(size, dtype=bool)
    for convention, choices in way.when.items():
        allowed &= np.any([conventions[convention] == choice for choice in choices], axis=0)
    return allowed


def allowed_ways(name: str, conventions: Conventions, row: int) -> list[Way]:
    """Return the ways of figure `name` that the conventions in force on one row allow."""
    return [
        way
        for way in FIGURES[name].ways
        if all(conventions[c][row] in choices for c, choices in way.when.items())
    ]


@dataclass(frozen=True)
class Lookup:
    """What is known of some rows, for asking why a figure has no value in one of them.

    `asked` names the measures a laboratory is asked for: a way that needs others comes second.
    A figure of `stops` is named itself; any other is followed down to what lacks beneath it.
    """

    values: Known
    conventions: Conventions
    asked: frozenset[str] = frozenset()
    stops: frozenset[str] = frozenset()
    _asked_before: dict[tuple[str, int], list[str]] = field(default_factory=dict)

    def lacking(self, name: str, row: int) -> list[str]:
        """Return what lacks for `name`, by the way that is nearest to giving it.

        An empty list means that nothing lacks and the figure is undefined: its divisor is zero, or
        it is out of its range.
        """
        if (name, row) not in self._asked_before:
            found = [self._of_way(way, row) for way in allowed_ways(name, self.conventions, row)]
            self._asked_before[name, row] = min(found, key=self._distance, default=[])
        return self._asked_before[name, row]

    def _of_way(self, way: Way, row: int) -> list[str]:
        leaves: dict[str, None] = {}
        for name in way.inputs:
            if name in self.conventions or self._is_known(name, row):
                continue
            if is_leaf(name) or name in self.stops:
                leaves[name.removeprefix(ENTERED)] = None
            else:
                leaves |= dict.fromkeys(self.lacking(name, row))
        return list(leaves)

    def _is_known(self, name: str, row: int) -> bool:
        return name in self.values and bool(np.isfinite(self.values[name][row]))

    def _distance(self, leaves: list[str]) -> tuple[bool, int]:
        unasked = any(n not in self.asked and n not in self.stops for n in leaves)
        return unasked and bool(self.asked), len(leaves)
