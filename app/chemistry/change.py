"""Since when something reads wrong: the days on which a series of balances does not fit.

Source: a single change of level by least squares, Hinkley 1970 (from memory); a change that ended
again and one that grows each day are fitted beside it, in the same way.
"""

from copy import copy
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

Values = NDArray[np.float64]

ENDED = 16.0  # in squares of standard uncertainties: four of them


@dataclass(frozen=True)
class Change:
    """A change from place `since` to before `until`, of size `by`, with its uncertainty.

    Where it `grows`, it grew evenly from nothing to `by` at the end of the series. `tried` tells
    among how many possible changes it explains most.
    """

    since: int
    until: int
    grows: bool
    by: float
    standard: float
    tried: int

    @property
    def multiple(self) -> float:
        """The change in its own standard uncertainties."""
        return self.by / self.standard


class Series:
    """What balances leave over, day by day, with the covariance of its random errors.

    `left` has a row a day and a column a balance; `covariance` is (days, balances, days, balances).
    `level` is by what each balance is scaled on each day: a constant share of it, which errors that
    do not change over the season leave, is taken out.
    """

    def __init__(self, left: Values, covariance: Values, level: Values) -> None:
        self.days, balances = left.shape
        size = self.days * balances
        weight = np.asarray(np.linalg.inv(covariance.reshape(size, size)), dtype=np.float64)
        steady = np.einsum("db,bc->dbc", level, np.eye(balances)).reshape(size, balances)
        self._left = left
        self._weigh(weight, steady)

    def _weigh(self, weight: Values, known: Values) -> None:
        """Weigh the days so that what is `known` to be in them, as columns, counts for nothing."""
        towards = weight @ known
        weight = weight - towards @ np.linalg.solve(known.T @ towards, towards.T)
        self._weight = weight.reshape(self._left.shape * 2)
        self._pull = (weight @ self._left.ravel()).reshape(self._left.shape)

    def without(self, moves: Values, since: int, until: int) -> "Series":
        """Return the series in which a bias on some of its days, of any size, counts for nothing.

        `moves` is what a bias of 1 adds to each balance on each day.
        """
        found = copy(self)
        there = np.zeros_like(moves)
        there[since:until] = moves[since:until]
        found._weigh(self._weight.reshape(there.size, there.size), there.reshape(-1, 1))
        return found

    def change(self, moves: Values, before: int, after: int) -> Change | None:
        """Return the change of one measurement that explains most; None where the series is short.

        `moves` is what a bias of 1 adds to each balance on each day. At least `before` days lie
        before it, and it lasts for at least `after` days.
        """
        if self.days < before + after:
            return None
        pull = np.einsum("db,db->d", moves, self._pull)
        both = np.einsum("db,dbec->dec", moves, self._weight)
        both = np.einsum("dec,ec->de", both, moves)
        steps = _of_steps(pull, both, before, after)
        growth = _of_growth(pull, both, before, after)
        score, information = (np.append(*pair) for pair in zip(steps, growth, strict=True))
        explained = np.where(information > 0, score**2 / np.maximum(information, 1e-300), 0.0)
        since, until = _spans(self.days, before, after)
        ends = np.append(until < self.days, np.zeros(len(growth[0]), bool))
        # an end is told where it explains more by so much, and not for one odd day at the last
        best = int((explained - np.where(ends, ENDED, 0.0)).argmax())
        if not explained[best] > 0:
            return None
        grows = best >= len(since)
        return Change(
            before + best - len(since) if grows else int(since[best]),
            self.days if grows else int(until[best]),
            grows,
            float(score[best] / information[best]),
            float(information[best] ** -0.5),
            len(score),
        )


@lru_cache(maxsize=4)
def _spans(days: int, before: int, after: int) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Return every place where a step may begin and end."""
    until, since = np.tril_indices(days + 1, -after)
    kept = since >= before
    return since[kept], until[kept]


def _of_steps(pull: Values, both: Values, before: int, after: int) -> tuple[Values, Values]:
    """Return score and information of a change that came at once and may have ended again."""
    days = len(pull)
    since, until = _spans(days, before, after)
    along = np.append(0.0, pull.cumsum())
    square = np.zeros((days + 1, days + 1))
    square[1:, 1:] = both.cumsum(axis=0).cumsum(axis=1)
    ends = np.diagonal(square)
    return along[until] - along[since], ends[until] + ends[since] - 2 * square[since, until]


def _of_growth(pull: Values, both: Values, before: int, after: int) -> tuple[Values, Values]:
    """Return score and information of a change that grows evenly, to 1 at the end."""
    days = len(pull)
    at = slice(before, days - after + 1)
    size = np.arange(days, 0, -1.0)[at]
    score = pull[::-1].cumsum().cumsum()[::-1][at] / size
    turned = both[::-1, ::-1].cumsum(axis=0).cumsum(axis=0).cumsum(axis=1).cumsum(axis=1)
    return score, np.diagonal(turned)[::-1][at] / size**2
