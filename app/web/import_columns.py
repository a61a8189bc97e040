"""What the columns of a table that is brought in are: as they seem, and as they were said to be."""

from collections.abc import Mapping
from typing import Any

from sqlalchemy import Connection

from app.imports.bringing import Table
from app.imports.columns import (
    DAY,
    SHEET,
    Columns,
    called,
    heading_row,
    near,
    recognised,
    unmeasured_in,
    word_for,
)
from app.imports.days import YEAR_FIRST, day_orders
from app.imports.doubts import decimal_of, shares, two_ways
from app.imports.files import Brought
from app.language import _
from app.ledger.imported import remembered
from app.plant.books import BOOKS
from app.web.import_pages import DECIMALS, ORDERS, PERCENT, SHARE, UploadPage
from app.web.uploads import Upload


def guessed(
    connection: Connection, found: Upload, sheet: str | None, heading: str, target: str
) -> UploadPage:
    """Return the page of a table with what its columns were before, or else seem to be."""
    target = target if target in BOOKS or target == SHEET else ""
    table = table_of(found.brought, sheet, heading, target or SHEET)
    before = remembered(connection, table.headings, target)
    target = before.target if before else target or SHEET
    if target != SHEET and target not in BOOKS:
        before, target = None, SHEET
    of, notes = recognised(table.headings, target, before.columns if before else None)
    typed = {place: word_for(what, target) for place, what in of.items()}
    wrong = {}
    if heading and heading != f"{table.brought.sheets[table.sheet][table.heading][0]}":
        wrong["heading"] = _("There is nothing in row {number}", number=heading[:9])
    last_time = before.order if before and before.order != YEAR_FIRST else ""
    return UploadPage(
        found, table, target, typed, **asked(table, Columns(target, of)), last_time=last_time,
        known=bool(before), notes=notes, wrong=wrong,
    )  # fmt: skip


def table_of(brought: Brought, sheet: str | None, heading: str, target: str) -> Table:
    """Return the table that is asked for, by the number of its row of headings, or the likeliest.

    Of several sheets it is the one with the most rows.
    """
    sheets = brought.sheets
    if sheet is None or sheet not in sheets:
        sheet = max(sheets, key=lambda name: len(sheets[name]))
    numbers = [number for number, _texts in sheets[sheet]]
    asked = int(heading) if heading.isdecimal() and len(heading) < 8 else None
    place = numbers.index(asked) if asked in numbers else heading_row(sheets[sheet], target)
    return Table(brought, sheet, place)


def asked(table: Table, columns: Columns) -> dict[str, Any]:
    """Return what somebody must say of a table, as its page has it."""
    days = _days(table, columns)
    orders = day_orders(days)
    sign, ask = decimal_of(table, columns)
    return {
        "asks": () if len(orders) == 1 else [name for name in ORDERS if name in (orders or ORDERS)],
        "two_ways": two_ways(days),
        "doubted": shares(table, columns),
        "two_readings": "" if sign else ask,
    }


def _days(table: Table, columns: Columns) -> list[str]:
    place = columns.place(DAY)
    if place is None:
        return []
    return [texts[place] for _number, texts in table.rows if place < len(texts)]


def _nothing_called(text: str, target: str) -> str:
    if name := near(text, target):
        return _("There is nothing called {words}; {name} is near", words=text[:60], name=name)
    return _("There is nothing called {words}", words=text[:60])


def columns_said(
    table: Table, target: str, typed: Mapping[int, str], form: Mapping[str, str]
) -> tuple[Columns, str, dict[str, str]]:
    """Return what columns are by what was typed, the order of days, and what is wrong by field."""
    of: dict[int, str] = {}
    wrong: dict[str, str] = {}
    for place, text in typed.items():
        what = called(text, target)
        if what is None:
            wrong[f"column-{place}"] = _nothing_called(text, target)
        else:
            of[place] = what
    days = _days(table, Columns(target, of))
    orders, order = day_orders(days), form.get("order", "")
    order = order if order in ORDERS and len(orders) != 1 else ""
    if two_ways(days) and "alike" not in form:
        wrong["alike"] = _("Look at the days, and say that they are right")
    if len(orders) != 1 and not order:
        wrong["order"] = _("Say whether the day or the month comes first")
    said = {place: form.get(f"share:{place}") for place in shares(table, Columns(target, of))}
    wrong |= {
        f"share-{place}": _("Say what its numbers are in percent")
        for place, words in said.items()
        if words not in (SHARE, PERCENT)
    }
    decimal, ask = decimal_of(table, Columns(target, of))
    decimal = decimal or form.get("decimal", "")
    if ask and decimal not in DECIMALS:
        wrong["decimal"] = _("Say what {number} means", number=ask)
    columns = Columns(
        target,
        of,
        order or next(iter(orders), YEAR_FIRST),
        frozenset(place for place, words in said.items() if words == SHARE),
        unmeasured_in(form.get("unmeasured", "")),
        decimal if ask else "",
    )
    if not wrong:
        where: Any
        for where, words in columns.wrong.items():
            wrong["columns" if where == DAY else f"column-{where}"] = words
    return columns, order, wrong
