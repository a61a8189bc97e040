"""Is the balance right: what measurements leave over, and which of them likeliest reads wrong.

Reconciled values are said beside what was measured and enter nothing.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from app.chemistry.reconciliation import multiple_limit
from app.figures import FIGURES
from app.figures.closing import (
    BRIX,
    CANE_BRIX,
    CANE_POL,
    FIBRE,
    FIGURES_ASKED,
    POL,
    WEIGHTS,
    Closing,
    Season,
)
from app.figures.closing_days import Days
from app.figures.sheets import Period
from app.language import _
from app.reports.numbers import MINUS, plus_minus, printed
from app.reports.season_books import SeasonBooks
from app.reports.suspects import WEIGHT, Measured, Suspect, Verdict, name_of, tested, verdict

BALANCES = {
    WEIGHTS: "Weights of the tandem",
    FIBRE: "Fibre of the tandem",
    CANE_POL: "Pol of the tandem",
    CANE_BRIX: "Brix of the tandem",
    POL: "Pol of the boiling house",
    BRIX: "Brix of the boiling house",
}
# what a mill would have to measure for a balance that it has not
WOULD_GIVE = {
    WEIGHTS: "the weight of bagasse, beside those of cane, imbibition water and mixed juice",
    FIBRE: "fibre of cane by direct analysis",
    CANE_POL: "pol of cane by direct analysis",
    CANE_BRIX: "brix of cane by direct analysis",
    POL: "pol of mixed juice, sugar, molasses and filter cake, and the stock-taking",
    BRIX: "brix of mixed juice, molasses and filter cake, moisture of sugar, and the stock-taking",
}
MANY_TONNES = 10_000  # from so many on a weight is printed without decimals
# the account of pol: what is told of each part, and its sign in it
POL_IN_CANE, UNDETERMINED = "Pol in cane", "Undetermined"
ACCOUNT = (
    ("Sugar bagged", "pol_in_sugar_bagged"),
    ("Bagasse", "pol_in_bagasse"),
    ("Filter cake", "pol_in_filter_cake"),
    ("Final molasses weighed", "pol_in_final_molasses_weighed"),
    ("Growth of stock in process", "pol_in_stock"),
)


@dataclass(frozen=True)
class BalanceRow:
    """One balance: tonnes left over after the usual loss, ±, and in its own uncertainties."""

    title: str
    into: str
    usual: str
    left: str
    doubt: str


@dataclass(frozen=True)
class MeasureRow:
    """One measurement as measured and reconciled, and by what it was moved."""

    name: str
    title: str
    unit: str
    measured: str
    doubt: str
    reconciled: str
    adjustment: str
    multiple: str
    mark: str


@dataclass(frozen=True)
class AccountRow:
    """Tonnes of pol of one place, and per 100 pol in cane, as measured and reconciled."""

    title: str
    measured: str
    reconciled: str
    share: str
    reconciled_share: str
    total: bool = False


@dataclass(frozen=True)
class BalanceReport:
    """Everything the page of a balance prints."""

    verdict: Verdict
    same_loss: str
    statistic: str
    limit: str
    balances: tuple[BalanceRow, ...]
    would_give: tuple[tuple[str, str], ...]
    measures: tuple[MeasureRow, ...]
    account: tuple[AccountRow, ...]
    last_day: date


@dataclass(frozen=True)
class Judged:
    """What the balances of a period leave over, what was tested, and what came of that.

    `same_loss` are the tonnes of pol a day that, really lost, would look like the likeliest fault.
    """

    closing: Closing
    measured: tuple[Measured, ...]
    verdict: Verdict
    same_loss: float

    @property
    def fits(self) -> bool:
        """Whether there are balances and all close within what is stated of measuring."""
        misfit = self.closing.misfit
        return bool(self.closing.balances) and misfit.statistic <= misfit.limit


def judged(books: SeasonBooks, period: Period) -> Judged:
    """Return what is judged of the balances of a period."""
    books.need(FIGURES_ASKED)
    season = Season(books.books)
    closing = season.over(period)
    measured = tested(books, season, closing, period) if closing.balances else ()
    found = verdict(books, closing, Days(season, period.last), measured)
    days = len({books.days[row] for row in range(period.first, period.last)})
    return Judged(closing, measured, found, _same_loss(closing, found.first, days))


def balance_report(books: SeasonBooks, period: Period) -> BalanceReport:
    """Return what the balances of a period say."""
    by = judged(books, period)
    closing, measured, found = by.closing, by.measured, by.verdict
    stood = closing.parts.get("cane") == 0
    lacking = [] if stood else [name for name in BALANCES if name not in closing.balances]
    return BalanceReport(
        found,
        printed(by.same_loss, 1) if by.same_loss > 0 else "",
        printed(closing.misfit.statistic, 1),
        printed(closing.misfit.limit, 1) if closing.balances else "",
        tuple(_balance_rows(closing)),
        tuple((BALANCES[name], WOULD_GIVE[name]) for name in lacking),
        tuple(_measure_rows(closing, measured, multiple_limit(found.tested))),
        tuple(_account(closing)),
        books.days[period.last - 1],
    )


def _same_loss(closing: Closing, suspect: Suspect | None, days: int) -> float:
    if suspect is None or POL not in closing.balances:
        return 0.0
    moved = closing.moves(suspect.source, suspect.units)[closing.balances.index(POL)]
    return float(moved * suspect.bias / days)


def _balance_rows(closing: Closing) -> Iterator[BalanceRow]:
    spreads = closing.spreads
    for place, name in enumerate(closing.balances):
        into, usual, left = closing.into[place], closing.usual[place], closing.left[place]
        yield BalanceRow(
            BALANCES[name], printed(into, 1), printed(usual, 1) if usual else "",
            signed(float(left), 1), plus_minus(float(spreads[place]), 1),
        )  # fmt: skip


def _measure_rows(
    closing: Closing, tested: Sequence[Measured], limit: float
) -> Iterator[MeasureRow]:
    """Yield a row for each measurement that was tested, the most moved first.

    What is moved by more than `limit` of its own uncertainties carries a mark.
    """
    rows = []
    for measured in tested:
        shared, sigma = closing.shared(measured.source, measured.weights)
        (moved,), (spread,) = closing.misfit.adjustment([shared])
        row = _measure_row(measured, sigma, float(moved), float(spread), limit)
        rows.append((abs(moved / spread), row))
    yield from (row for _size, row in sorted(rows, key=lambda pair: -pair[0]))


def _measure_row(
    measured: Measured, sigma: float, moved: float, spread: float, limit: float
) -> MeasureRow:
    measure, multiple = measured.measure, moved / spread
    decimals, mark = _decimals(measured), ""
    if abs(multiple) > limit:
        mark = _("▲ raised") if moved > 0 else _("▼ lowered")
    return MeasureRow(
        measure.name, name_of(measure), measure.unit,
        printed(measured.value, decimals), plus_minus(sigma, decimals),
        printed(measured.value + moved, decimals), signed(moved, decimals), signed(multiple, 1),
        mark,
    )  # fmt: skip


def _decimals(measured: Measured) -> int:
    """Return how many are printed: one more of an analysis than it is typed with, for its mean."""
    if measured.measure.prop != WEIGHT:
        return measured.measure.decimals + 1
    return 0 if measured.value >= MANY_TONNES else measured.measure.decimals


def _account(closing: Closing) -> Iterator[AccountRow]:
    """Yield the account of pol, as measured and reconciled; nothing where it does not close."""
    if POL not in closing.balances:
        return
    raw, moved = closing.parts, closing.reconciled
    bagasse = "pol_in_bagasse" in raw
    cane, cane_moved = (
        tonnes["pol_in_mixed_juice"] + (tonnes["pol_in_bagasse"] if bagasse else 0.0)
        for tonnes in (raw, moved)
    )
    rest, rest_moved = cane, cane_moved
    for title, name in ACCOUNT:
        if name in raw:
            rest, rest_moved = rest - raw[name], rest_moved - moved[name]
            yield _account_row(title, (raw[name], cane), (moved[name], cane_moved))
    yield _account_row(UNDETERMINED, (rest, cane), (rest_moved, cane_moved))
    title = POL_IN_CANE if bagasse else FIGURES["pol_in_mixed_juice"].title
    yield _account_row(title, (cane, cane), (cane_moved, cane_moved), total=True)


def _account_row(
    title: str, raw: tuple[float, float], moved: tuple[float, float], *, total: bool = False
) -> AccountRow:
    return AccountRow(
        title, printed(raw[0], 2), printed(moved[0], 2),
        printed(100 * raw[0] / raw[1], 2), printed(100 * moved[0] / moved[1], 2), total,
    )  # fmt: skip


def signed(value: float, decimals: int) -> str:
    """Return a number with its sign, + too; nothing but zeros has none."""
    text = printed(value, decimals)
    nothing = not any(digit in text for digit in "123456789")
    return text if nothing or text.startswith(MINUS) else f"+{text}"
