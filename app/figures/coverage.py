"""The share of what a figure follows from that was really analysed, 0 to 1."""

from collections.abc import Mapping

import numpy as np

from app.figures.declare import FIGURES
from app.figures.evaluate import Values, Ways
from app.figures.seldom import STAND_FOR


def standing_for_all(values: Mapping[str, Values]) -> dict[str, Values]:
    """Return what share of a weight the sheets have that stand for all of them."""
    found = {}
    for name, (analysed, weight) in STAND_FOR.items():
        if name in values and analysed in values and weight in values:
            whole = values[weight]
            share = np.divide(values[analysed], whole, out=np.ones(len(whole)), where=whole > 0)
            found[name] = np.where(np.isnan(share), 1.0, share)
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
