"""What lacks for a figure that a period has not: the measures, and the rows they lack in."""

from typing import TYPE_CHECKING

import numpy as np

from app.figures.declare import FIGURES, OPENING
from app.figures.evaluate import ADDS, SUMMED, Lookup

if TYPE_CHECKING:
    from app.figures.periods import Books, Result
from app.figures.sheets import Period


class Missing:
    """Finds what lacks, in the rows of one set of books."""

    def __init__(self, books: "Books") -> None:
        self._books = books
        sheets = books.sheets
        self._rows_known = Lookup(
            books.rows | sheets.known(books.entered), sheets.conventions, sheets.asked
        )

    def behind(self, name: str, index: int, result: "Result") -> dict[str, list[int]]:
        """Return the measures for want of which `name` has no value, with the rows they lack in."""
        period = result.periods[index]
        if period.last - period.first == 1:
            return {leaf: [period.first] for leaf in result.alone(index).lacking(name, 0)}
        found: dict[str, set[int]] = {}
        for leaf in self._sums(name, index, result):
            rows, base = self._rows(leaf, period), leaf.removeprefix(OPENING)
            never = self._never_measured(base, rows)
            for measure in never:
                found.setdefault(measure, set()).update(rows)
            for row in rows if not never else ():
                for measure in self._of_row(base, row):
                    found.setdefault(measure, set()).add(row)
        return {measure: sorted(rows) for measure, rows in found.items()}

    def too_little_analysed(self, name: str, index: int, result: "Result") -> bool:
        """Tell whether `name` is withheld only because too little was really analysed."""
        period = result.periods[index]
        if period.last - period.first == 1 or np.isfinite(result.values[name][index]):
            return False
        leaves = self._sums(name, index, result)
        return bool(leaves) and all(
            leaf in ADDS and np.isfinite(self._books.sum_of(leaf, period)) for leaf in leaves
        )

    def _sums(self, name: str, index: int, result: "Result") -> list[str]:
        if name in SUMMED:
            return [name]
        sums = Lookup(result.values, result.conventions, self._books.sheets.asked, SUMMED)
        return sums.lacking(name, index)

    def _rows(self, leaf: str, period: "Period") -> list[int]:
        if leaf.startswith(OPENING):
            return [max(period.first - 1, 0)]
        if leaf not in ADDS:
            return [period.last - 1]
        within = slice(period.first, period.last)
        filled = self._books.filled[leaf][within]
        gaps = np.isnan(filled)
        if not gaps.any():
            gaps = np.isnan(self._books.rows[leaf][within]) & (filled != 0)
        return [period.first + int(row) for row in np.flatnonzero(gaps)]

    def _never_measured(self, name: str, rows: list[int]) -> list[str]:
        """Return what lacks for `name` where no sheet of the season has it; else nothing."""
        lacks = self._of_row(name, rows[0]) if rows else []
        entered = self._books.entered
        there = [m for m in lacks if m not in entered or np.isfinite(entered[m]).any()]
        return [] if there else lacks

    def _of_row(self, name: str, row: int) -> list[str]:
        if name not in FIGURES:
            return [name]
        return self._rows_known.lacking(name, row)
