"""A row a day or a row a week: the same figures down a longer period, with its totals."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from app.figures import FIGURES
from app.figures.periods import Result
from app.figures.sheets import Period
from app.language import _
from app.plant.calendar import week_name
from app.reports.dates import month_of_year, short_day, short_weekday
from app.reports.day import PLAN, PRINTED, Account, account
from app.reports.gaps import gaps, never_entered
from app.reports.lines import Cell, Section, cell, sections
from app.reports.numbers import printed
from app.reports.runs import run_title
from app.reports.season_books import InForce, SeasonBooks

KEY_FIGURES = (
    "cane", "time_efficiency", "cane_pol", "cane_fibre", "pol_extraction", "mixed_juice_purity",
    "boiling_house_recovery", "overall_recovery", "bagasse_loss", "filter_cake_loss",
    "final_molasses_loss", "undetermined_loss", "final_molasses_purity",
    "sugar_made_and_estimated", "cane_per_sugar",
)  # fmt: skip

SHORT = {
    "cane": "Cane", "time_efficiency": "Time efficiency", "cane_pol": "Pol % cane",
    "cane_fibre": "Fibre % cane", "pol_extraction": "Pol extraction",
    "mixed_juice_purity": "Mixed juice purity", "boiling_house_recovery": "Boiling house recovery",
    "overall_recovery": "Overall recovery", "bagasse_loss": "Lost in bagasse",
    "filter_cake_loss": "Lost in cake", "final_molasses_loss": "Lost in molasses",
    "undetermined_loss": "Undetermined", "final_molasses_purity": "Final molasses purity",
    "sugar_made_and_estimated": "Sugar made", "cane_per_sugar": "Cane per sugar",
}  # fmt: skip


@dataclass(frozen=True)
class Heading:
    """A column of the table: the figure it prints, its target as printed and its exact value."""

    name: str
    title: str
    unit: str
    target: str
    aim: float | None


@dataclass(frozen=True)
class Row:
    """One day or week: its title, its address, the cells of its figures, and its period."""

    title: str
    address: str
    cells: tuple[Cell, ...]
    period: Period


@dataclass(frozen=True)
class PeriodReport:
    """Everything the page of a week, month or season prints; `gaps` counts what lacks on a day."""

    title: str
    first: date
    last: date
    headings: tuple[Heading, ...]
    rows: tuple[Row, ...]
    total: Row
    account: Account
    sections: tuple[Section, ...]
    conventions: tuple[InForce, ...]
    gaps: tuple[tuple[date, int], ...]
    never: tuple[str, ...]


def week_report(
    books: SeasonBooks, days: Sequence[date], targets: Mapping[str, float]
) -> PeriodReport | None:
    """Return the page of a week: a row for each of its days the season holds."""
    week = week_name(days[0])
    return _day_by_day(
        books,
        days,
        _("Week {number} of {year}", number=week[-2:], year=week[:4]),
        f"/weeks/{week}",
        targets,
    )


def run_report(
    books: SeasonBooks, days: Sequence[date], targets: Mapping[str, float]
) -> PeriodReport | None:
    """Return the page of a run: a row for each of its days the season holds."""
    first, last = days[0], days[-1]
    return _day_by_day(books, days, run_title(first, last), f"/runs/{first}/{last}", targets)


def month_report(
    books: SeasonBooks, days: Sequence[date], targets: Mapping[str, float]
) -> PeriodReport | None:
    """Return the page of a calendar month: a row for each of its days the season holds."""
    title = month_of_year(days[0])
    return _day_by_day(books, days, title, f"/months/{days[0]:%Y-%m}", targets)


def _day_by_day(
    books: SeasonBooks,
    days: Sequence[date],
    title: str,
    address: str,
    targets: Mapping[str, float],
) -> PeriodReport | None:
    held = [day for day in days if books.day(day).last]
    if not held:
        return None
    parts = [
        (f"{short_weekday(day)} {short_day(day)}", f"/days/{day}", books.day(day)) for day in held
    ]
    return _report(books, title, address, parts, targets)


def season_report(
    books: SeasonBooks, name: str, until: date, targets: Mapping[str, float]
) -> PeriodReport | None:
    """Return the page of a season to `until`: a row for each of its weeks."""
    days = sorted({day for day in books.days if day <= until})
    if not days:
        return None
    mondays = sorted({day - timedelta(days=day.weekday()) for day in days})
    parts = [
        (
            week_name(monday), f"/weeks/{week_name(monday)}",
            books.between(monday, min(monday + timedelta(days=6), until)),
        )
        for monday in mondays
    ]  # fmt: skip
    return _report(books, _("Season {name}", name=name), f"/seasons/{name}", parts, targets)


def _report(
    books: SeasonBooks,
    title: str,
    address: str,
    parts: Sequence[tuple[str, str, Period]],
    targets: Mapping[str, float],
) -> PeriodReport:
    books.need(PRINTED.union(KEY_FIGURES))
    periods = [part[2] for part in parts]
    whole = Period(periods[0].first, periods[-1].last)
    result, total = books.books.over(periods), books.books.over([whole])
    rows = [
        Row(name, link, _key_cells(result, n, books), period)
        for n, (name, link, period) in enumerate(parts)
    ]
    first, last = books.days[whole.first], books.days[whole.last - 1]
    return PeriodReport(
        title, first, last, tuple(_heading(name, targets) for name in KEY_FIGURES),
        tuple(rows), Row(_("Total"), address, _key_cells(total, 0, books), whole),
        account(total, books, targets),
        sections(PLAN, total, books, targets),
        tuple(books.in_force_for(PRINTED.union(KEY_FIGURES), last)),
        tuple(sorted(Counter(gap.day for gap in gaps(books, whole)).items())),
        never_entered(books),
    )  # fmt: skip


def _key_cells(result: Result, index: int, books: SeasonBooks) -> tuple[Cell, ...]:
    return tuple(cell(name, result, index, books) for name in KEY_FIGURES)


def _heading(name: str, targets: Mapping[str, float]) -> Heading:
    figure = FIGURES[name]
    return Heading(
        name, SHORT[name], figure.unit,
        printed(targets.get(name), figure.decimals), targets.get(name),
    )  # fmt: skip
