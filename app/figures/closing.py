"""Balances that measurements must close: what each leaves over, and what moves that.

A balance is a sum of tonnes that would be nothing, were everything weighed and analysed rightly. A
cane pol, brix or fibre that follows from the balance of the tandem is no measurement and is in
none; one by direct analysis is. A balance of which something is not measured is left out.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from app.chemistry.reconciliation import Misfit, misfit
from app.figures.declare import ENTERED
from app.figures.evaluate import LEVELS, Values
from app.figures.periods import Books
from app.figures.sheets import Period

WEIGHTS, FIBRE, CANE_POL, CANE_BRIX = "weights", "fibre", "pol of cane", "brix of cane"
POL, BRIX = "pol", "brix"

# what comes in counts up, what is found again down; a level counts by its change
BALANCES: dict[str, dict[str, int]] = {
    WEIGHTS: {"cane": 1, "imbibition": 1, "mixed_juice_as_weighed": -1, "bagasse_as_weighed": -1},
    FIBRE: {"cane_fibre_carried": 1, "fibre_in_cane": -1},
    CANE_POL: {"cane_pol_carried": 1, "pol_in_mixed_juice": -1, "pol_in_bagasse": -1},
    CANE_BRIX: {"cane_brix_carried": 1, "brix_in_mixed_juice": -1, "brix_in_bagasse": -1},
    POL: {
        "pol_in_mixed_juice": 1, "pol_in_sugar_bagged": -1, "pol_in_filter_cake": -1,
        "pol_in_final_molasses_weighed": -1, "pol_in_stock": -1,
    },
    BRIX: {
        "brix_in_mixed_juice": 1, "sugar": -1, "water_in_sugar": 1, "brix_in_filter_cake": -1,
        "brix_in_final_molasses_weighed": -1, "brix_in_stock": -1,
    },
}  # fmt: skip
# by what a balance is scaled: what would come in
INTO = {name: next(iter(parts)) for name, parts in BALANCES.items()}
# what really is lost on the way: a balance and its conventions
LOST = {POL: "usual_pol_loss", BRIX: "usual_brix_loss"}
# a weight that stands in the account by difference may be weighed all the same
AS_WEIGHED = {"mixed_juice_as_weighed": "mixed_juice", "bagasse_as_weighed": "bagasse"}
NAMES = tuple(dict.fromkeys(name for parts in BALANCES.values() for name in parts))
FIGURES_ASKED = tuple(dict.fromkeys(AS_WEIGHED.get(name, name) for name in NAMES))
NOTHING = 1e-6  # of what comes in: a balance that errors move by less is one by definition


@dataclass(frozen=True)
class Closing:
    """What the balances of a period leave over, in tonnes, and what moves that.

    `parts` are tonnes of the period by name; `left` has a value for each of `balances`, after what
    is `usual`ly lost; `slopes` are (parts, sources, rows) from row `first` of the season on.
    """

    season: "Season"
    balances: tuple[str, ...]
    parts: dict[str, float]
    left: Values
    usual: Values
    unsure: Values
    into: Values
    slopes: Values
    first: int

    @cached_property
    def misfit(self) -> Misfit:
        """What is left over, with the covariance that errors of measuring give to it."""
        random, systematic = self._of_balances
        covariance = np.tensordot(random, random, ((1, 2), (1, 2))) + systematic @ systematic.T
        return misfit(self.left, covariance + np.diag(self.unsure))

    @cached_property
    def spreads(self) -> Values:
        """The standard uncertainty of what each balance leaves over."""
        random, systematic = self._of_balances
        variances = np.square(random).sum(axis=(1, 2)) + np.square(systematic).sum(axis=1)
        return np.asarray(np.sqrt(variances + self.unsure))

    @cached_property
    def _slopes(self) -> Values:
        return np.asarray(np.tensordot(self.season.takes(self.balances), self.slopes, 1))

    @cached_property
    def _of_balances(self) -> tuple[Values, Values]:
        return self._errors(self._slopes)

    @cached_property
    def _rows(self) -> slice:
        return slice(self.first, self.first + self.slopes.shape[-1])

    def _errors(self, slopes: Values) -> tuple[Values, Values]:
        """Return what errors do to something: at random on each row, and on all rows alike."""
        random = slopes * self.season.random[:, self._rows]
        return random, (slopes * self.season.systematic[:, self._rows]).sum(axis=-1)

    def moves(self, source: str, units: Values) -> Values:
        """Return what a bias of a measure adds to each balance; `units` is it on each row."""
        return np.asarray(self._slopes[:, self.season.place[source]] @ units[self._rows])

    def shared(self, source: str, weights: Values) -> tuple[Values, float]:
        """Return the covariance of a weighted sum of a measure with the balances, and its sigma.

        `weights` has one for each row of the season.
        """
        place, own = self.season.place[source], weights[self._rows]
        random = own * self.season.random[place, self._rows]
        systematic = float(own @ self.season.systematic[place, self._rows])
        of_random, of_systematic = self._of_balances
        shared = of_random[:, place] @ random + of_systematic[:, place] * systematic
        return shared, float(np.hypot(np.linalg.norm(random), systematic))

    @cached_property
    def reconciled(self) -> dict[str, float]:
        """The parts, moved by the least that closes all balances; in tonnes that is exact."""
        random, systematic = self._errors(self.slopes)
        of_random, of_systematic = self._of_balances
        shared = np.tensordot(random, of_random, ((1, 2), (1, 2))) + systematic @ of_systematic.T
        moved, _ = self.misfit.adjustment(shared)
        pairs = zip(self.parts.items(), moved.tolist(), strict=True)
        return {name: tonnes + by for (name, tonnes), by in pairs}


class Season:
    """The balances of a season's books, ready to be asked for any period.

    `values` are tonnes of each part on each row, or the level at its end; `slopes` how they move
    with each source on that row.
    """

    def __init__(self, books: Books) -> None:
        self.books = books
        columns = {name: _column(books, name) for name in NAMES}
        columns = {name: column for name, column in columns.items() if np.isfinite(column).any()}
        self.names = tuple(columns)
        self.values = np.array(list(columns.values())).reshape(len(columns), len(books.sheets.day))
        self.is_level = np.array([name in LEVELS for name in self.names], dtype=bool)
        moved = books.row_errors(FIGURES_ASKED)
        figures = [AS_WEIGHED.get(name, name) for name in self.names]
        moving = {source for name in figures for source in moved.gradients.get(name, ())}
        moving |= {ENTERED + name for name in AS_WEIGHED.values()}
        self.sources = tuple(source for source in moved.errors if source in moving)
        self.place = {source: place for place, source in enumerate(self.sources)}
        self.random, self.systematic = (
            np.nan_to_num(np.array([getattr(moved.errors[s], part) for s in self.sources]))
            for part in ("random", "systematic")
        )
        self.slopes = np.zeros((len(self.names), *self.random.shape))
        for part, (name, figure) in enumerate(zip(self.names, figures, strict=True)):
            for source, slope in moved.gradients.get(figure, {}).items():
                self.slopes[part, self.place[source]] = np.nan_to_num(slope)
            if name in AS_WEIGHED and figure in books.whole:
                weighed = np.isfinite(books.whole[figure])
                self.slopes[part][:, weighed] = 0.0
                self.slopes[part, self.place[ENTERED + figure], weighed] = 1.0
        every = tuple(b for b, parts in BALANCES.items() if parts.keys() <= columns.keys())
        errors = np.hypot(self.random, self.systematic)
        moved_by = np.abs(np.tensordot(self.takes(every), self.slopes, 1)) * errors
        into = np.array([np.nansum(columns[INTO[balance]]) for balance in every])
        self.whole = tuple(np.array(every)[moved_by.sum(axis=(1, 2)) > NOTHING * into].tolist())

    def takes(self, balances: tuple[str, ...]) -> Values:
        """Return what each balance takes of each part."""
        found = [[float(BALANCES[b].get(name, 0)) for name in self.names] for b in balances]
        return np.array(found).reshape(len(balances), len(self.names))

    def openings(self, periods: Sequence[Period]) -> Values:
        """Return the levels with which periods opened, counted as the account does."""
        names = [name for name in self.names if name in LEVELS]
        found = self.books.openings(periods, names)
        return np.array([found[name] for name in names]).reshape(len(names), len(periods))

    def lost(self, balance: str, row: int) -> tuple[float, float]:
        """Return what share of what comes in is usually lost, and its standard uncertainty."""
        if balance not in LOST:
            return 0.0, 0.0
        chosen, name = self.books.sheets.conventions, LOST[balance]
        return chosen[name][row] / 100, chosen[f"{name}_uncertainty"][row] / 100

    def over(self, period: Period) -> Closing:
        """Return what the balances of a period leave over: those of which everything is known."""
        first, last = period.first, period.last
        before = max(first - 1, 0)
        levels = self.is_level
        tonnes = self.values[:, first:last].sum(axis=1)
        tonnes[levels] = self.values[levels, last - 1] - self.openings([period])[:, 0]
        slopes = self.slopes[:, :, before:last].copy()
        slopes[:, :, : first - before] = 0.0
        slopes[levels] = 0.0
        slopes[levels, :, -1] = self.slopes[levels, :, last - 1]
        if first:
            slopes[levels, :, 0] = -self.slopes[levels, :, before]
        parts = dict(zip(self.names, tonnes.tolist(), strict=True))
        every = [self._left(balance, parts, last - 1) for balance in self.whole]
        rows = slice(before, last)
        known = [
            place
            for place, (left, _, _, into) in enumerate(every)
            if np.isfinite(left) and into > 0
            and self._is_moved(self.whole[place], slopes, rows, into)
        ]  # fmt: skip
        left, usual, unsure, into = np.array(every).reshape(-1, 4)[known].T
        names = tuple(self.whole[place] for place in known)
        return Closing(self, names, parts, left, usual, unsure, into, slopes, before)

    def _left(self, balance: str, parts: dict[str, float], row: int) -> tuple[float, ...]:
        into = parts[INTO[balance]]
        share, unsure = self.lost(balance, row)
        left = sum(sign * parts[name] for name, sign in BALANCES[balance].items())
        return left - share * into, share * into, (unsure * into) ** 2, into

    def _is_moved(self, balance: str, slopes: Values, rows: slice, into: float) -> bool:
        """Tell whether errors move a balance: one side does not just follow from the other."""
        moved = np.tensordot(self.takes((balance,))[0], slopes, 1)
        errors = np.hypot(self.random, self.systematic)[:, rows]
        return bool(np.linalg.norm(moved * errors) > NOTHING * into)


def _column(books: Books, name: str) -> Values:
    """Return a part on each row: its tonnes, or its level at the end."""
    if name in AS_WEIGHED:
        figure = AS_WEIGHED[name]
        weighed = books.whole.get(figure, np.full(len(books.sheets.day), np.nan))
        return np.where(np.isfinite(weighed), weighed, books.filled[figure])
    return books.rows[name] if name in LEVELS else books.filled[name]
