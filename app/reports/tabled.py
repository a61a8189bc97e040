"""A report as plain tables of exact numbers, from which programs and workbooks read it.

A figure is a row and a period a column, whatever lies across on the page.
"""

import math
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from app.figures import FIGURES
from app.figures.sheets import Period
from app.language import _
from app.plant.measures import MEASURES
from app.plant.typed import NUMBER, VOID
from app.reports.cells import Cell as SheetCell
from app.reports.dates import long_day
from app.reports.day import ANALYSES, Account, DayReport
from app.reports.findings import Told
from app.reports.lines import NOTHING, Line, Section
from app.reports.season_books import InForce, SeasonBooks
from app.reports.season_return import ReturnReport, sections_of
from app.reports.sheet import Sheet
from app.reports.table import PeriodReport

# headings too long for the name of a sheet, and the words that stand for them there
SHARES, TONNES = (
    "Where the pol of the cane went, per 100 pol in cane", "Where the pol of the cane went, tonnes",
)  # fmt: skip
SHORT = {
    SHARES: "Account, per 100 pol in cane",
    TONNES: "Account, tonnes of pol",
    "Massecuites and molasses of their curing": "Massecuites and their molasses",
}


@dataclass(frozen=True)
class Number:
    """An exact number with all that is known of it; none where something is `missing`.

    `standard` is its standard uncertainty and `coverage` the share of it that was analysed, each
    none where there is none to tell; `lacks` says in words why there is no value.
    """

    value: float | None
    missing: tuple[str, ...] = ()
    lacks: str = ""
    standard: float | None = None
    coverage: float | None = None


@dataclass(frozen=True)
class Row:
    """A figure or a measure, a number in each column; `verdict` judges the first by the target."""

    name: str
    title: str
    unit: str
    decimals: int
    numbers: tuple[Number, ...]
    target: float | None = None
    verdict: str = ""


@dataclass(frozen=True)
class Table:
    """Rows under one heading, `short` of which where it is long; `whole` is what they share out.

    That follows from what they are, so that no figure tells it.
    """

    title: str
    columns: tuple[str, ...]
    rows: tuple[Row, ...]
    short: str = ""
    whole: Row | None = None


@dataclass(frozen=True)
class Tabled:
    """All tables of a report, of the days from `first` to `last`; of a day, what stands out."""

    title: str
    first: date
    last: date
    tables: tuple[Table, ...]
    conventions: tuple[InForce, ...] = ()
    lacking: int = 0
    told: Told | None = None


def tables_of_day(
    books: SeasonBooks, page: DayReport, targets: Mapping[str, float], told: Told
) -> Tabled:
    """Return the tables of the morning report of a day, and what stands out of it."""
    day = page.day
    account = _of_account(page.account)
    sections = (*account, *page.sections, page.stock, page.analyses)
    periods = [books.day(day), books.week_to(day), books.to(day)]
    shares, *others = _tables(sections, page.columns, _Known(books, periods, sections, targets))
    return Tabled(
        _("Morning report, {day}", day=long_day(day)), day, day,
        (_with_whole(shares, page.account), *others), page.conventions, len(page.gaps), told,
    )  # fmt: skip


def tables_of_period(
    books: SeasonBooks, page: PeriodReport, column: str, targets: Mapping[str, float]
) -> Tabled:
    """Return the tables of a week, month or season, its days or weeks across in the first.

    `column` is what its totals are headed with.
    """
    parts = (*page.rows, page.total)
    lines = [
        Line(name, FIGURES[name].title, FIGURES[name].unit, tuple(p.cells[n] for p in parts))
        for n, name in enumerate(heading.name for heading in page.headings)
    ]
    key = (Section(_("Key figures"), tuple(lines)),)
    columns = (*(row.title for row in page.rows), _("Total"))
    sections = (*_of_account(page.account), *page.sections)
    shares, *others = _tables(
        sections, (column,), _Known(books, [page.total.period], sections, targets)
    )
    return Tabled(
        page.title, page.first, page.last,
        (
            *_tables(key, columns, _Known(books, [p.period for p in parts], key, targets)),
            _with_whole(shares, page.account),
            *others,
        ),
        page.conventions, sum(count for _day, count in page.gaps),
    )  # fmt: skip


def tables_of_return(
    books: SeasonBooks, page: ReturnReport, targets: Mapping[str, float]
) -> Tabled:
    """Return the tables of the return of a season, in its groups."""
    sections = sections_of(page)
    meaned = frozenset(line.name for s in sections for line in s.lines) - FIGURES.keys()
    known = _Known(books, page.periods, sections, targets, meaned)
    return Tabled(
        page.title, page.first, page.last, _tables(sections, page.columns, known),
        page.conventions, page.gaps,
    )  # fmt: skip


def tables_of_shift(
    books: SeasonBooks, sheet: Sheet, account: Sequence[Section], day: date, number: int
) -> Tabled:
    """Return the tables of the sheet of a shift: its results, and its running account."""
    results = tuple(
        Row(
            cell.key, cell.title, _(cell.measure.unit), cell.measure.decimals,
            (Number(cell.number, () if cell.number is not None else (cell.key,), _lacks(cell)),),
        )
        for cell in sheet.cells.values()
        if cell.filled or cell in sheet.missing
    )  # fmt: skip
    column = (_("Shift {number}", number=number),)
    period = books.shift(day, number)
    known = _Known(books, [period], account, {}) if period else None
    title = _("Shift {number} of {day}", number=number, day=long_day(day))
    return Tabled(
        title, day, day,
        (
            Table(_("Results"), column, results),
            *(_tables(account, column, known) if known else ()),
        ),
        lacking=len(sheet.missing),
    )  # fmt: skip


def _lacks(cell: SheetCell) -> str:
    """Say in words why a box of a sheet has no number."""
    if cell.number is not None:
        return ""
    stated = cell.result is not None and cell.result.state not in (NUMBER, VOID)
    return _(cell.result.state) if cell.result and stated else _("not entered")


def _of_account(account: Account) -> tuple[Section, Section]:
    shares = tuple(replace(row.share, title=row.title) for row in account.rows)
    tonnes = tuple(replace(row.tonnes, title=row.title) for row in account.rows)
    return (
        Section(SHARES, shares),
        Section(TONNES, (*tonnes, account.pol_in_cane)),
    )


def _with_whole(shares: Table, account: Account) -> Table:
    """Return the shares of the account with the pol in cane that they are of."""
    line = account.pol_in_cane
    numbers = tuple(
        Number(100.0) if cell.value else Number(None, (), cell.missing or _(NOTHING))
        for cell in line.cells
    )
    unit, decimals = shares.rows[-1].unit, shares.rows[-1].decimals
    return replace(shares, whole=Row(line.name, _(line.title), unit, decimals, numbers))


def _tables(
    sections: Iterable[Section], columns: tuple[str, ...], known: "_Known"
) -> tuple[Table, ...]:
    return tuple(
        Table(
            _(section.title),
            columns,
            tuple(map(known.row, section.lines)),
            _(SHORT[section.title]) if section.title in SHORT else "",
        )
        for section in sections
    )


class _Known:
    """What is known of the numbers of a report, whose columns are some periods."""

    def __init__(
        self,
        books: SeasonBooks,
        periods: Sequence[Period],
        sections: Iterable[Section],
        targets: Mapping[str, float],
        meaned: Collection[str] = ANALYSES,
    ) -> None:
        self._result, self._targets = books.books.over(periods), targets
        self._meaned = meaned  # which a figure of its name may weigh otherwise
        names = (line.name for section in sections for line in section.lines)
        self._result.certainty.cover(tuple(n for n in names if n not in meaned))

    def row(self, line: Line) -> Row:
        """Return a line with what is known of its numbers."""
        decimals = (FIGURES if line.name in FIGURES else MEASURES)[line.name].decimals
        return Row(
            line.name, _(line.title), _(line.unit), decimals,
            tuple(self._number(line, index) for index in range(len(line.cells))),
            self._targets.get(line.name), line.verdict,
        )  # fmt: skip

    def _number(self, line: Line, index: int) -> Number:
        cell, result = line.cells[index], self._result
        if line.name in self._meaned:
            missing = () if cell.value is not None else (line.name,)
            return Number(cell.value, missing, cell.missing)
        if cell.value is None:
            return Number(None, tuple(result.missing(line.name, index)), cell.missing)
        return Number(
            cell.value,
            standard=_finite(result.certainty.standard(line.name, index)),
            coverage=_finite(float(result.coverage[line.name][index])),
        )


def _finite(value: float) -> float | None:
    return value if math.isfinite(value) else None
