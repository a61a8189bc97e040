"""Where the points of overall recovery went: its change, shared out among what it is made of.

Overall recovery R is E × (1 - c) × s(J, S, M) + u. E is pol extraction, c the pol of filter cake
per pol in mixed juice, s the recovery that the s-j-m rule gives purities of mixed juice J, sugar S
and final molasses M, and u the rest that purities do not explain, so that R is the account's own.
A change of R is shared among the six by Shapley's value: each factor gets its mean effect over all
orders in which the six may change, so that the parts add to the change and no order is preferred.
Source: Shapley, A value for n-person games, 1953 (from memory).
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from app.chemistry.recovery import sjm_recovery
from app.figures.declare import Values
from app.figures.evaluate import calculation
from app.figures.propagation import Moves

# the figures that a change is shared out from, in the rows of what follows
ASKED = (
    "overall_recovery", "pol_extraction", "filter_cake_loss", "mixed_juice_purity",
    "sugar_purity", "final_molasses_purity", "undetermined_loss",
)  # fmt: skip
FACTORS = (
    "extraction", "juice_purity", "filter_cake", "molasses_purity", "sugar_quality", "rest",
)  # fmt: skip
# the rest once more in two, and the whole change
PARTS = (*FACTORS, "of_undetermined", "of_molasses", "change")

_MIXTURES = np.arange(2 ** len(FACTORS))
_CHANGED = (_MIXTURES[:, np.newaxis] >> np.arange(len(FACTORS)) & 1).astype(bool)
# of every order in which the factors may change, the part in which so many change before one
_WEIGHTS = np.array(
    [1 / (len(FACTORS) * math.comb(len(FACTORS) - 1, n)) for n in range(len(FACTORS))]
)


def factors(figures: Values) -> Values:
    """Return the six factors, in the order of FACTORS, of figures in that of ASKED.

    Columns are periods. Shares are 0 to 1, purities 0 to 100, the rest per 100 pol in cane. Not a
    number where purities are out of the range of the s-j-m rule.
    """
    recovery, extraction, cake_loss, juice, sugar, molasses, _ = figures
    with calculation():
        cake = cake_loss / extraction
        known = np.array([extraction / 100, juice, cake, molasses, sugar])
        rest = recovery - recovered(known, np.zeros_like(recovery))
    return np.array([*known, rest])


def recovered(known: Values, rest: Values) -> Values:
    """Return overall recovery, of all factors but the rest, and that."""
    extraction, juice, cake, molasses, sugar = known
    return extraction * (1 - cake) * sjm_recovery(juice, sugar, molasses) + rest


def parts(before: Values, after: Values) -> Values:
    """Return how many points each of PARTS made of the change from `before` to `after`.

    Both are figures as ASKED names them, columns are periods. The first six add to the
    last; the two of the rest add to it: undetermined pol of the account, and molasses weighed
    against what the purities imply.
    """
    old, new = factors(before), factors(after)
    mixed = np.where(_CHANGED[:, :, np.newaxis], new, old)
    with calculation():
        *known, rest = np.moveaxis(mixed, 1, 0)
        found = recovered(np.array(known), rest)
    shared = []
    for place in range(len(FACTORS)):
        without = _MIXTURES[~_CHANGED[:, place]]
        gained = found[without | 1 << place] - found[without]
        shared.append(_WEIGHTS[_CHANGED[without].sum(axis=1)] @ gained)
    undetermined = before[-1] - after[-1]
    return np.array([*shared, undetermined, shared[-1] - undetermined, after[0] - before[0]])


@dataclass(frozen=True)
class Standing:
    """Figures of one period, as ASKED names them, and how each may have been moved.

    `moves` has an item a figure; a target is exact and has none. `season` tells whose rows they
    are: a systematic error is taken as the same within a season, as another in another one.
    """

    figures: Values
    moves: tuple[Mapping[str, Moves], ...] = ()
    season: str = ""


def uncertainties(before: Standing, after: Standing) -> Values:
    """Return the standard uncertainty of each of PARTS.

    What both periods share, as a systematic error, or the stock between them, is counted once.
    """
    slopes = _slopes(before, after)
    moved = [
        {} if not of.moves else _moved(of, part)
        for of, part in zip((before, after), slopes, strict=True)
    ]
    together = before.season == after.season
    variance = np.zeros(len(PARTS))
    for measure in moved[0].keys() | moved[1].keys():
        found = [one[measure] for one in moved if measure in one]
        for random, systematic in [_sum(found)] if together else found:
            variance += np.square(random).sum(axis=1) + np.square(systematic)
    return np.sqrt(variance)


def spread(of: Standing, slopes: Values) -> Values:
    """Return the standard uncertainty of what moves so with the figures of one period.

    `slopes` has a row for each thing and a column for each of ASKED.
    """
    moved = _moved(of, slopes).values()
    variance = sum(np.square(random).sum(axis=1) + np.square(alike) for random, alike in moved)
    return np.sqrt(variance + np.zeros(len(slopes)))


def _sum(found: list[tuple[Values, Values]]) -> tuple[Values, Values]:
    random, systematic = zip(*found, strict=True)
    return np.sum(random, axis=0), np.sum(systematic, axis=0)


def _moved(of: Standing, slopes: Values) -> dict[str, tuple[Values, Values]]:
    """Return what each measure does to the parts: at random on each sheet, and on all alike."""
    found: dict[str, tuple[Values, Values]] = {}
    for slope, moves in zip(slopes.T, of.moves, strict=True):
        for measure, (random, systematic) in moves.items():
            here = np.outer(slope, random), slope * systematic
            found[measure] = _sum([found[measure], here]) if measure in found else here
    return found


def _slopes(before: Standing, after: Standing) -> tuple[Values, Values]:
    """Return how each part moves with each figure of both periods, by central differences."""
    several = len(ASKED)
    steps = np.array([*steps_of(before), *steps_of(after)])
    here = np.concatenate([before.figures, after.figures])
    moved = np.concatenate(
        [here[:, np.newaxis] + np.diag(steps), here[:, np.newaxis] - np.diag(steps)], axis=1
    )
    answers = parts(moved[:several], moved[several:])
    rise = answers[:, : 2 * several] - answers[:, 2 * several :]
    slopes = np.divide(rise, 2 * steps, out=np.zeros_like(rise), where=steps != 0)
    return slopes[:, :several], slopes[:, several:]


def steps_of(of: Standing) -> list[float]:
    """Return the standard uncertainty of each figure, 0 for what is exact."""
    if not of.moves:
        return [0.0] * len(ASKED)
    return [math.sqrt(sum(_variance(move) for move in moves.values())) for moves in of.moves]


def _variance(move: Moves) -> float:
    random, systematic = move
    return float(np.square(random).sum()) + systematic**2
