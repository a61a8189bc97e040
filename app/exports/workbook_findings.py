"""The sheet of a workbook with what stands out of a day: its numbers live, as its page has them."""

import math
from collections.abc import Iterator, Sequence

from xlsxwriter.worksheet import Worksheet

from app.exports.looks import HEAD, Looks
from app.figures import FIGURES
from app.language import _
from app.reports.dates import short_day
from app.reports.findings import Finding, Told
from app.reports.numbers import COVERAGE_FACTOR

NAME = "What to look at first"
_WIDE, _NARROW = 46, 12
_BEFORE = 2  # columns of title and unit, which stay in sight


def write_findings(sheet: Worksheet, told: Told, title: str, looks: Looks) -> None:
    """Write a row for each, in the order of the page, and below what is to be known of them."""
    every = (*told.first, *told.further)
    days = next((each.trend.values for each in every if each.trend), ())
    headings = (
        _("Value"), _("Target"), _("Difference"), _("Sugar, t"), _("± of sugar, t"), _money(every),
    )  # fmt: skip
    words = (_("What is known of it"), _("The last days, of"))
    trend = tuple(short_day(day) for day, _value in days)
    sheet.write_string(0, 0, _(NAME), looks.title)
    sheet.write_string(1, 0, title, looks.words)
    looked = [
        *((name, looks.heading) for name in (_("What stands out"), _("Unit"))),
        *((name, looks.over_numbers) for name in headings),
        *((name, looks.over_verdicts) for name in words),
        *((name, looks.over_numbers) for name in trend),
    ]  # fmt: skip
    for column, (name, look) in enumerate(looked):
        sheet.write_string(HEAD, column, name, look)
        sheet.set_column(column, column, _NARROW)
    known = _BEFORE + len(headings)
    for line, each in enumerate(every, start=HEAD + 1):
        sheet.write_string(line, 0, each.title, looks.sentence)
        sheet.write_string(line, 1, _(each.unit), looks.words)
        for column, (number, decimals) in enumerate(_numbers(each), start=_BEFORE):
            _write(sheet, (line, column), number, decimals, looks)
        sheet.write_string(line, known, each.verdict, looks.sentence)
        if each.trend:
            figure = FIGURES[each.trend.name]
            of = f"{_(figure.title)}, {_(figure.unit)}"
            sheet.write_string(line, known + 1, of, looks.sentence)
            for column, (_day, value) in enumerate(each.trend.values, start=known + 2):
                _write(sheet, (line, column), value, figure.decimals, looks)
    below = HEAD + 1 + len(every)
    notes = (*(() if every else (_("Nothing stands out."),)), *told.notes)
    for line, note in enumerate(notes, start=below + bool(every)):
        sheet.write_string(line, 0, note, looks.words)
    sheet.freeze_panes(HEAD + 1, _BEFORE)
    sheet.repeat_rows(HEAD)
    sheet.repeat_columns(0, 1)
    for column in (0, known, known + 1):
        sheet.set_column(column, column, _WIDE if column <= known else 26)


def _money(every: Sequence[Finding]) -> str:
    currency = next((each.currency for each in every if each.currency), "")
    return _("Money, {currency}", currency=currency) if currency else _("Money")


def _numbers(of: Finding) -> Iterator[tuple[float, int]]:
    exact = of.exact
    yield exact.value, exact.decimals
    yield exact.target, exact.decimals
    yield exact.difference, exact.decimals
    yield of.sugar, 1
    yield COVERAGE_FACTOR * exact.standard, 1
    yield of.amount, 0


def _write(
    sheet: Worksheet, place: tuple[int, int], value: float | None, decimals: int, looks: Looks
) -> None:
    """Write a number; nothing where there is none."""
    if value is not None and math.isfinite(value):
        sheet.write_number(*place, value, looks.number(decimals))
