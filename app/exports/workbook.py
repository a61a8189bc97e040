"""A report as a workbook: numbers that can be worked with, each with its unit beside it.

It is for people and speaks the language chosen; its numbers are exact and shown as pages print
them. What has no value says why in words.
"""

import re
from collections.abc import Iterator, Sequence
from datetime import date, datetime
from io import BytesIO

from xlsxwriter import Workbook
from xlsxwriter.format import Format
from xlsxwriter.worksheet import Worksheet

from app.exports.looks import HEAD, Looks
from app.exports.workbook_findings import NAME, write_findings
from app.language import _, chosen
from app.reports.numbers import COVERAGE_FACTOR, enough_decimals
from app.reports.tabled import Number, Row, Table, Tabled

_NO_SHEET_NAME = str.maketrans(dict.fromkeys("[]:*?/\\'", " "))
_LONGEST_NAME = 31  # of a sheet, by ECMA-376
_OPTIONS = {
    "in_memory": True,
    # what is text stays text, whatever it begins with
    "strings_to_formulas": False, "strings_to_numbers": False, "strings_to_urls": False,
}  # fmt: skip
_A4 = 9
_NUMBER = re.compile(r"-?\d+(\.\d+)?")

Said = str | float | date
"""What is told about a report; a moment is local, as a workbook knows no zone."""
_ACROSS = 9  # columns of numbers that one paper takes


def workbook_of(tabled: Tabled, about: Sequence[tuple[str, Said]]) -> bytes:
    """Return the workbook of a report: a sheet for what is told `about` it, one for each table.

    Of a day, one before the tables for what stands out.
    """
    content = BytesIO()
    with Workbook(content, _OPTIONS) as workbook:
        workbook.set_properties({"title": tabled.title, "keywords": chosen()})
        looks = Looks(workbook)
        first = [_("About"), *([_(NAME)] if tabled.told else [])]
        names = _names([*first, *(table.short or table.title for table in tabled.tables)])
        sheets = [workbook.add_worksheet(name) for name in names]
        of_tables = sheets[len(first) :]
        _write_about(sheets[0], tabled, about, looks)
        if tabled.told:
            write_findings(sheets[1], tabled.told, tabled.title, looks)
        for sheet, table in zip(of_tables, tabled.tables, strict=True):
            _write(sheet, table, tabled.title, looks)
        for sheet in sheets:
            _set_up(sheet, tabled.title)
        for sheet, table in zip(of_tables, tabled.tables, strict=True):
            if len(table.columns) <= _ACROSS:
                sheet.fit_to_pages(1, 0)
        sheets[0].fit_to_pages(1, 0)
        sheets[1].activate()
    return content.getvalue()


def _names(titles: Sequence[str]) -> list[str]:
    """Return names of sheets in whole words, each another, without signs that none may have."""
    found: list[str] = []
    for title in titles:
        name = _cut(" ".join(title.translate(_NO_SHEET_NAME).split()), _LONGEST_NAME)
        number, taken = 1, {other.casefold() for other in found}
        while name.casefold() in taken:
            number += 1
            name = f"{_cut(name, _LONGEST_NAME - len(str(number)) - 1)} {number}"
        found.append(name)
    return found


def _cut(name: str, longest: int) -> str:
    """Return the words of a name that there is room for; of a single one that is longer, a part."""
    whole = name[: longest + 1].rpartition(" ")[0] if len(name) > longest else name
    return (whole or name[:longest]).rstrip(" ,;:")


def _write_about(
    sheet: Worksheet, tabled: Tabled, about: Sequence[tuple[str, Said]], looks: Looks
) -> None:
    sheet.write_string(0, 0, tabled.title, looks.title)
    line = 2
    for name, said in about:
        sheet.write_string(line, 0, name, looks.words)
        _write_said(sheet, (line, 1), said, looks)
        line += 1
    if tabled.conventions:
        line += 1
        for column, heading in enumerate(
            (_("Convention"), _("In force"), _("Unit"), _("Since"), _("Source"))
        ):
            sheet.write_string(line, column, heading, looks.heading)
        for each in tabled.conventions:
            line += 1
            value = float(each.value) if _NUMBER.fullmatch(each.value) else _(each.value)
            since = each.since or _("default")
            row = (_(each.title), value, _(each.unit), since, each.source)
            for column, said in enumerate(row):
                _write_said(sheet, (line, column), said, looks)
    for column, width in enumerate((48, 34, 12, 12, 44)):
        sheet.set_column(column, column, width)


def _write_said(sheet: Worksheet, place: tuple[int, int], said: Said, looks: Looks) -> None:
    """Write what is said as what it is: a moment, a day, a number or words."""
    if isinstance(said, datetime):
        sheet.write_datetime(*place, said, looks.moment)
    elif isinstance(said, date):
        sheet.write_datetime(*place, said, looks.day)
    elif isinstance(said, str):
        sheet.write_string(*place, said, looks.words)
    else:
        sheet.write_number(*place, said, looks.said)


def _write(sheet: Worksheet, table: Table, title: str, looks: Looks) -> None:
    """Write a table below its heading: title, unit, numbers, target, verdict, ± and coverage."""
    judged = any(row.target is not None for row in table.rows)
    unsure = any(n.standard is not None for row in table.rows for n in row.numbers)
    after = 2 + len(table.columns) + 2 * judged
    sheet.write_string(0, 0, table.title, looks.title)
    sheet.write_string(1, 0, title, looks.words)
    for column, (heading, look) in enumerate(_headings(table, looks, judged, unsure)):
        sheet.write_string(HEAD, column, heading, look)
        sheet.set_column(column, column, 24 if look is looks.over_verdicts else 14)
    rows = (*table.rows, *([table.whole] if table.whole else []))
    for line, row in enumerate(rows, start=HEAD + 1):
        sheet.write_string(line, 0, row.title, looks.words)
        sheet.write_string(line, 1, row.unit, looks.words)
        for column, number in enumerate(row.numbers, start=2):
            _write_number(sheet, (line, column), number, row, looks)
        if row.target is not None:
            sheet.write_number(line, after - 2, row.target, looks.number(row.decimals))
            sheet.write_string(line, after - 1, row.verdict, looks.verdict)
        if unsure:
            _write_sureness(sheet, line, after, row, looks)
    sheet.print_area(0, 0, HEAD + len(rows), after - 1)
    sheet.freeze_panes(HEAD + 1, 2)
    sheet.repeat_rows(HEAD)
    sheet.repeat_columns(0, 1)
    sheet.set_column(0, 0, min(46, max([22, *(len(row.title) for row in rows)])))
    sheet.set_column(1, 1, max([8, *(len(row.unit) + 1 for row in rows)]))


def _headings(
    table: Table, looks: Looks, judged: bool, unsure: bool
) -> Iterator[tuple[str, Format]]:
    yield _("Figure"), looks.heading
    yield _("Unit"), looks.heading
    yield from ((column, looks.over_numbers) for column in table.columns)
    if judged:
        yield _("Target"), looks.over_numbers
        yield _("Against target"), looks.over_verdicts
    if unsure:
        for column in table.columns:
            yield _("± of {column}", column=column), looks.over_numbers
        for column in table.columns:
            yield _("Share analysed of {column}", column=column), looks.over_numbers


def _write_number(
    sheet: Worksheet, place: tuple[int, int], number: Number, row: Row, looks: Looks
) -> None:
    if number.value is None:
        sheet.write_string(*place, number.lacks, looks.lacks)
    else:
        sheet.write_number(*place, number.value, looks.number(row.decimals))


def _write_sureness(sheet: Worksheet, line: int, first: int, row: Row, looks: Looks) -> None:
    """Write twice the standard uncertainty of each number, and the share that was analysed."""
    for column, number in enumerate(row.numbers, start=first):
        if number.standard is not None:
            expanded = COVERAGE_FACTOR * number.standard
            decimals = enough_decimals(expanded, row.decimals)
            sheet.write_number(line, column, expanded, looks.number(decimals))
        if number.coverage is not None:
            place = line, column + len(row.numbers)
            sheet.write_number(*place, number.coverage, looks.number(3))


def _set_up(sheet: Worksheet, title: str) -> None:
    """Have a sheet printed on A4; what is wider than a paper goes on, beside its titles again."""
    sheet.set_paper(_A4)
    sheet.set_landscape()
    sheet.set_print_scale(70)
    sheet.set_footer(f"&L{title.replace('&', '&&')}&R&P / &N")
    sheet.hide_gridlines(1)
