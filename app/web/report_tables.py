"""The tables of each report that has a page, with what they say of themselves."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from fastapi import HTTPException

from app.language import _
from app.ledger import book, chain, mills
from app.ledger.chain import Head
from app.ledger.issues import issues_of
from app.ledger.mills import Mill
from app.reports.season_return import season_return
from app.reports.sheet import sheet_of
from app.reports.shift import running_account
from app.reports.table import (
    PeriodReport,
    month_report,
    run_report,
    season_report,
    week_report,
)
from app.reports.tabled import (
    Tabled,
    tables_of_day,
    tables_of_period,
    tables_of_return,
    tables_of_shift,
)
from app.web.checked import books_to_check
from app.web.morning import outstanding
from app.web.open_shift import open_shift
from app.web.periods import Asked, Find, Finder
from app.web.requests import Day
from app.web.shift_page import filling_of


@dataclass(frozen=True)
class ReportTables:
    """A report as tables: of which mill, known when, up to which event, and whether it is over.

    `issued` is the last issue of it, which said what was known then.
    """

    address: str
    mill: Mill
    tabled: Tabled
    head: Head
    at: datetime
    over: bool
    issued: str = ""

    @property
    def name(self) -> str:
        """How its files are named: "days-2026-10-27-draft"."""
        status = "as-known-now" if self.issued else "draft"
        return f"{self.address.strip('/').replace('/', '-')}-{status}"


# is made only once a language is chosen
Made = Callable[[], ReportTables]


def of_day(find: Find, day: Day) -> Made:
    """Give the morning report of a day."""

    def made() -> ReportTables:
        asked = find.day(day)
        targets = mills.targets(find.connection, asked.mill, day)
        out = outstanding(find, asked, day)
        handed_out = issues_of(find.connection, asked.season, day)
        issued = handed_out[-1].name if handed_out else ""
        tabled = tables_of_day(asked.books, out.report, targets, out.told)
        return _of(find, asked, tabled, issued)

    return made


def of_week(find: Find, week: str) -> Made:
    """Give a week."""
    return lambda: _of_days(find, find.week(week), week_report, _("Week"))


def of_month(find: Find, month: str) -> Made:
    """Give a calendar month."""
    return lambda: _of_days(find, find.month(month), month_report, _("Month"))


def of_run(find: Find, first: Day, last: Day) -> Made:
    """Give a run of days."""
    return lambda: _of_days(find, find.run(first, last), run_report, _("Run"))


def of_season(find: Find, name: str) -> Made:
    """Give a season to its last day that is over."""

    def report(books: Any, days: Any, targets: Mapping[str, float]) -> PeriodReport | None:
        return season_report(books, name, days[-1], targets)

    return lambda: _of_days(find, find.season(name), report, _("Season to date"))


def of_return(find: Find, name: str) -> Made:
    """Give the return of a season to its last day that is over."""

    def made() -> ReportTables:
        asked = find.season(name)
        targets = mills.targets(find.connection, asked.mill, asked.days[-1])
        page = season_return(asked.books, name, asked.days)
        asked = replace(asked, address=f"{asked.address}/return")
        return _of(find, asked, tables_of_return(asked.books, page, targets))

    return made


def _of_days(
    find: Finder, asked: Asked, report: Callable[..., PeriodReport | None], column: str
) -> ReportTables:
    targets = mills.targets(find.connection, asked.mill, asked.days[-1])
    page = report(asked.books, asked.days, targets)
    if page is None:
        raise HTTPException(404, _("Nothing is entered yet for {title}.", title=asked.title))
    return _of(find, asked, tables_of_period(asked.books, page, column, targets))


def _of(find: Finder, asked: Asked, tabled: Tabled, issued: str = "") -> ReportTables:
    over = find.is_over(asked.days[-1], asked.mill)
    head = chain.head(find.connection)
    return ReportTables(asked.address, asked.mill, tabled, head, find.now, over, issued)


def of_shift(find: Find, day: Day, number: int) -> Made:
    """Give the sheet of a shift."""

    def made() -> ReportTables:
        shift = open_shift(find.connection, day, number, find.now)
        results = book.sheet(find.connection, shift.season, day, number)
        books = books_to_check(find.connection, shift)
        sheet = sheet_of(shift.measures, filling_of(shift, results, books))
        account = running_account(books, day, number)
        return ReportTables(
            shift.address, shift.mill, tables_of_shift(books, sheet, account, day, number),
            chain.head(find.connection), find.now, shift.bounds[1] <= find.now,
        )  # fmt: skip

    return made


REPORTS: Mapping[str, Callable[..., Made]] = {
    "/shifts/{day}/{number}": of_shift,
    "/days/{day}": of_day,
    "/weeks/{week}": of_week,
    "/months/{month}": of_month,
    "/runs/{first}/{last}": of_run,
    "/seasons/{name}": of_season,
    "/seasons/{name}/return": of_return,
}
"""The reports that have files, by the addresses of their pages."""
