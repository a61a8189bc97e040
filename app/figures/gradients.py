"""How much a figure moves with what it is worked out from: central differences, chained.

Each function is called once for all its inputs, with every input moved up and down by its own
standard uncertainty along one more axis in front. What two inputs share is met again under its own
name, so that it is counted once.
"""

from collections.abc import Callable, Iterable, Mapping

import numpy as np

from app.figures.declare import Figure, Way
from app.figures.evaluate import Values, Ways, calculation

Gradient = dict[str, Values]  # slopes by the name of their source, one value a row
Spread = Callable[[Gradient], Values]  # the standard uncertainty that a gradient amounts to

# a step for what has no stated uncertainty, as a part of its value
NOMINAL = 1e-3


def chain(
    figures: Iterable[Figure],
    values: Mapping[str, Values],
    ways: Mapping[str, Ways],
    sources: Mapping[str, Gradient],
    spread: Spread,
) -> tuple[dict[str, Gradient], dict[str, Values]]:
    """Return the gradient of every source and figure that some source moves, and its spread.

    `figures` come in the order of working out, `values` holds every input that is known, and
    `ways` the number of the way that each row took (-1: none). A figure that is a source is left
    as it is where no way was taken.
    """
    found = dict(sources)
    spreads = {name: spread(gradient) for name, gradient in sources.items()}
    with calculation():
        for figure in figures:
            gradient = _of_figure(figure, values, ways[figure.name], found, spreads)
            if gradient:
                found[figure.name] = gradient
                spreads[figure.name] = spread(gradient)
    return found, spreads


def _of_figure(
    figure: Figure,
    values: Mapping[str, Values],
    taken: Ways,
    found: Mapping[str, Gradient],
    spreads: Mapping[str, Values],
) -> Gradient:
    known = found.get(figure.name, {})
    total: Gradient = {source: np.where(taken < 0, slope, 0.0) for source, slope in known.items()}
    numbers = np.unique(taken)
    for number in numbers[numbers >= 0]:
        way = figure.ways[number]
        moved = [name for name in dict.fromkeys(way.inputs) if name in found]
        if not moved:
            continue
        slopes = _slopes(way, moved, values, spreads)
        if len(numbers) > 1:
            slopes = np.where(taken == number, slopes, 0.0)
        for name, slope in zip(moved, slopes, strict=True):
            for source, part in found[name].items():
                step = slope * part
                total[source] = total[source] + step if source in total else step
    return total


def _slopes(
    way: Way, moved: list[str], values: Mapping[str, Values], spreads: Mapping[str, Values]
) -> Values:
    """Return the slope of a way by each moved input.

    Where a step leaves the range of the rule, the slope is that of the other side alone; where
    both do it is not a number.
    """
    steps = [_step(spreads[name], values[name]) for name in moved]
    stacked = {}
    for name in way.inputs:
        stacked[name] = values.get(name, np.asarray(np.nan))
        if name in moved:
            place = 2 * moved.index(name)
            up_and_down = np.repeat(values[name][np.newaxis], 2 * len(moved) + 1, axis=0)
            up_and_down[place] += steps[place // 2]
            up_and_down[place + 1] -= steps[place // 2]
            stacked[name] = up_and_down
    answers = way.function(*(stacked[name] for name in way.inputs))
    above, below, width = answers[0:-1:2], answers[1:-1:2], 2 * np.array(steps)
    if np.isfinite(answers).all() and (width > 0).all():
        return np.asarray((above - below) / width)
    here, there = answers[-1], np.array([values[name] for name in moved])
    sides = (np.isfinite(above).astype(float) + np.isfinite(below)) / 2
    rise = np.where(np.isfinite(above), above, here) - np.where(np.isfinite(below), below, here)
    still = (width == 0) | np.isnan(there)
    return np.where(still, 0.0, rise / (sides * width))


def _step(spread: Values, value: Values) -> Values:
    return np.where(spread > 0, spread, NOMINAL * np.abs(value))
