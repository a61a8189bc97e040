"""The balances of a season day by day, and since when a measure reads otherwise than before."""

from copy import copy
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from app.chemistry.change import Change, Series
from app.figures.closing import INTO, Season
from app.figures.evaluate import Values
from app.figures.sheets import Period

# a change is judged by at least so many days before it, and lasts for at least so many
DAYS_BEFORE, DAYS_AFTER = 7, 1
OFTEN = 0.5  # of the days: a balance that is closed on fewer is not followed from day to day


@dataclass(frozen=True)
class Found:
    """Since and until which rows of the season a measure reads otherwise, and the change."""

    first: int
    last: int
    change: Change


class Days:
    """The days up to row `last` on which something was crushed and every balance is known."""

    def __init__(self, season: Season, last: int) -> None:
        self._season = season
        day = season.books.sheets.day[:last]
        starts = np.flatnonzero(np.append(True, day[1:] != day[:-1])) if last else np.zeros(0, int)
        self._starts, self._ends = starts, np.append(starts[1:], last) - 1
        self.balances: tuple[str, ...] = ()
        if len(starts):
            left = self._left(season.whole)
            often = np.isfinite(left).mean(axis=1) > OFTEN
            self.balances = tuple(b for b, is_so in zip(season.whole, often, strict=True) if is_so)

    @property
    def last_row(self) -> int:
        """The last row of the days that are known; -1 where none is."""
        return int(self._ends[self._known[-1]]) if self.balances and len(self._known) else -1

    def _sum(self, rows: Values) -> Values:
        return np.add.reduceat(rows[..., : self._ends[-1] + 1], self._starts, axis=-1)

    def _share(self, balance: str) -> tuple[Values, Values]:
        """Return the usual loss of each day, and its standard uncertainty."""
        both = np.array([self._season.lost(balance, row) for row in self._ends])
        into = self._into(balance)
        return both[:, 0] * into, both[:, 1] * into

    def _into(self, balance: str) -> Values:
        season = self._season
        return self._sum(season.values[season.names.index(INTO[balance])])

    def _left(self, balances: tuple[str, ...]) -> Values:
        season = self._season
        takes = season.takes(balances)
        tonnes = self._sum(season.values)
        closing = season.values[season.is_level][:, self._ends]
        tonnes[season.is_level] = closing - self._openings
        left = np.array([self._share(balance)[0] for balance in balances])
        left = -left.reshape(len(balances), len(self._ends))
        for place, take in enumerate(takes):
            left[place] += take[take != 0] @ tonnes[take != 0]
        return left

    @cached_property
    def _openings(self) -> Values:
        days = map(Period, self._starts.tolist(), (self._ends + 1).tolist())
        return self._season.openings(list(days))

    @cached_property
    def _known(self) -> NDArray[np.int64]:
        left = self._left(self.balances)
        into = np.array([self._into(balance) for balance in self.balances])
        return np.flatnonzero(np.isfinite(left).all(axis=0) & (into > 0).all(axis=0))

    @cached_property
    def _slopes(self) -> tuple[Values, Values]:
        """Return how balances move with sources: on each row, and with what a day hands on."""
        season, last = self._season, self._ends[-1] + 1
        takes, levels = season.takes(self.balances), season.is_level
        rows = np.tensordot(takes[:, ~levels], season.slopes[~levels, :, :last], 1)
        closing = np.tensordot(takes[:, levels], season.slopes[levels][:, :, self._ends], 1)
        rows[:, :, self._ends] += closing
        return rows, closing

    @cached_property
    def series(self) -> Series | None:
        """The days as a series; None where no balance is closed often enough."""
        known = self._known if self.balances else np.zeros(0, int)
        if len(known) < DAYS_BEFORE + DAYS_AFTER:
            return None
        rows, closing = self._slopes
        size = rows.shape[-1]
        random, handed = (
            rows * self._season.random[:, :size],
            closing * self._season.random[:, self._ends],
        )
        own = self._sum(np.einsum("bsr,csr->bcr", random, random, optimize=True))
        own[:, :, 1:] += np.einsum("bsd,csd->bcd", handed, handed, optimize=True)[:, :, :-1]
        varies = np.array([self._share(balance)[1] for balance in self.balances])
        own[np.arange(len(varies)), np.arange(len(varies))] += varies**2
        days, balances = len(self._ends), len(self.balances)
        covariance = np.zeros((days, balances, days, balances))
        each = np.arange(days)
        covariance[each, :, each] = own.transpose(2, 0, 1)
        # what a day hands on, the next one opens with
        linked = -np.einsum("bsd,csd->dbc", handed, random[:, :, self._ends], optimize=True)[:-1]
        covariance[each[1:], :, each[:-1]] = linked
        covariance[each[:-1], :, each[1:]] = linked.transpose(0, 2, 1)
        into = np.array([self._into(balance) for balance in self.balances])
        left = self._left(self.balances)
        return Series(left[:, known].T, covariance[known][:, :, known], into[:, known].T)

    def change(self, source: str, units: Values) -> Found | None:
        """Return since when a measure reads otherwise; `units` is a bias of 1 on each row."""
        if self.series is None:
            return None
        change = self.series.change(self._moves(source, units), DAYS_BEFORE, DAYS_AFTER)
        if change is None:
            return None
        known = self._known
        last = int(self._ends[known[change.until - 1]])
        return Found(int(self._starts[known[change.since]]), last, change)

    def without(self, source: str, units: Values, found: Found) -> "Days":
        """Return the days in which a change that was found counts for nothing."""
        less = copy(self)
        if self.series is not None:
            moves, change = self._moves(source, units), found.change
            less.__dict__["series"] = self.series.without(moves, change.since, change.until)
        return less

    def _moves(self, source: str, units: Values) -> Values:
        """Return what a bias adds to each balance on each day that is known."""
        rows, closing = self._slopes
        place, size = self._season.place[source], rows.shape[-1]
        moves = self._sum(rows[:, place] * units[:size])
        moves[:, 1:] -= (closing[:, place] * units[self._ends])[:, :-1]
        return np.asarray(moves[:, self._known].T)
