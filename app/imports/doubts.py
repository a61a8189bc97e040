"""What a table leaves open though it can be read, so that somebody is asked before it is."""

import re
from collections.abc import Iterable, Iterator
from decimal import Decimal
from typing import Any

from app.imports.bringing import Table
from app.imports.columns import SHEET, VALUE, Columns, unit_of
from app.plant.books import BOOKS
from app.plant.books.declare import NUMBER
from app.plant.measures import MEASURES
from app.plant.typed import Unreadable, both_readings, read

_YEAR_FIRST = re.compile(r"\d{4}\D")
_DECIMAL = re.compile(r"[+-]?\d*([.,])\d+", re.ASCII)


def shares(table: Table, columns: Columns) -> dict[int, Decimal]:
    """Return the columns of percent that may hold shares of one, each with a number of it.

    A workbook keeps 1.85 %, as a cell shows it, as 0.0185. Where a number is usual as it stands,
    nobody is asked.
    """
    if not table.brought.is_workbook:
        return {}
    found = {}
    for place, what in columns.measures.items():
        if not unit_of(what, columns.target).startswith("%"):
            continue
        numbers = [number for number in _numbers(table, place) if number]
        if all(abs(number) <= 1 for number in numbers) and any(
            _is_unusual(what, columns.target, number) for number in numbers
        ):
            found[place] = numbers[0]
    return found


def decimal_of(table: Table, columns: Columns) -> tuple[str, str]:
    """Return the decimal sign of a table that has numbers like 1,250, and one of those.

    The sign is empty where no other number tells it; both are where no number asks for it.
    """
    ask, signs = "", set()
    for text in _texts(table, columns):
        if both_readings(text):
            ask = ask or text
        elif found := _DECIMAL.fullmatch(text):
            signs.add(found[1])
    return (signs.pop() if len(signs) == 1 else "", ask) if ask else ("", "")


def _texts(table: Table, columns: Columns) -> Iterator[str]:
    """Yield what stands in the columns of numbers that have less than three decimals."""
    declared: dict[str, Any] = {**MEASURES}
    if columns.target != SHEET:
        fields = BOOKS[columns.target].fields
        declared = {field.name: field for field in fields if field.kind == NUMBER}
    places = {
        place
        for place, what in columns.of.items()
        if what == VALUE or (what in declared and declared[what].decimals < 3)
    }
    if table.brought.is_workbook:
        return
    for _row, texts in table.rows:
        yield from (texts[place] for place in places if place < len(texts))


def _numbers(table: Table, place: int) -> Iterator[Decimal]:
    for _row, texts in table.rows:
        try:
            _state, value = read(texts[place] if place < len(texts) else "")
        except Unreadable:
            continue
        if value is not None:
            yield value


def _is_unusual(what: str, target: str, number: Decimal) -> bool:
    if target == SHEET:
        return bool(MEASURES[what].direction(number))
    field = next(field for field in BOOKS[target].fields if field.name == what)
    return field.usual is None or bool(field.side(float(number)))


def two_ways(days: Iterable[str]) -> tuple[str, str] | None:
    """Return a day whose year comes first and one whose does not, where a column has both.

    A program that takes the day for the month turns some days into others, and leaves as they are
    those that it cannot read.
    """
    first: dict[bool, str] = {}
    for text in days:
        if re.search(r"\d", text):
            first.setdefault(bool(_YEAR_FIRST.match(text)), text)
    return (first[True], first[False]) if len(first) > 1 else None
