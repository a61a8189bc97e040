"""The share of what a figure follows from that was really analysed, 0 to 1."""

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from app.figures.declare import ENTERED, FIGURES
from app.figures.evaluate import Values, Ways
from app.figures.seldom import STAND_FOR


def standing_for_all(
    values: Mapping[str, Values], coverage: Mapping[str, Values]
) -> dict[str, Values]:
    """Return the coverage with what share of a weight the sheets have that stand for all."""
    found = dict(coverage)
    for name, (analysed, weight) in STAND_FOR.items():
        if name in values and analysed in values and weight in values:
            whole = values[weight]
            share = np.divide(values[analysed], whole, out=np.ones(len(whole)), where=whole > 0)
            found[name] = np.where(np.isnan(share), 1.0, share) * coverage.get(name, 1.0)
    return found


def followed(coverage: dict[str, Values], ways: Mapping[str, Ways]) -> dict[str, Values]:
    """Coverage of what follows: the least of the inputs of the way that was taken."""
    found = dict(coverage)
    partly = {name for name, share in coverage.items() if (share != 1).any()}
    for name in ways:
        if name in found:
            continue
        found[name] = np.ones(len(ways[name]))
        for number, way in enumerate(FIGURES[name].ways):
            inputs = [found[i] for i in way.inputs if i in partly]
            if inputs:
                partly.add(name)
                least = np.min(inputs, axis=0)
                found[name] = np.where(ways[name] == number, least, found[name])
    return found


class Partly:
    """What part of single sheets was really analysed, where records give an analysis of a part."""

    def __init__(self, shares: Mapping[str, Values], ways: Mapping[str, Ways]) -> None:
        """Take shares of measures, one a row, and the ways that figures took on each row."""
        self._entered = {ENTERED + name: column for name, column in shares.items()}
        self._rows = followed(self._entered, ways) if shares else {}

    def of_rows(self, names: Sequence[str]) -> Values | float:
        """Return the shares of figures, one a row of the sheets for each."""
        return np.array([self._rows[name] for name in names]) if self._rows else 1.0

    def at(
        self, rows: NDArray[np.int64], alone: NDArray[np.bool_], levels: Sequence[str]
    ) -> dict[str, Values]:
        """Return those of `levels` on some rows, and of what was entered where a sheet is alone."""
        if not self._rows:
            return {}
        entered = self._entered.items()
        return {name: self._rows[name][rows] for name in levels} | {
            name: np.where(alone, column[rows], 1.0) for name, column in entered
        }
