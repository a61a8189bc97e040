"""Reads the days of a table, in whichever order and words they are written."""

import re
from collections.abc import Sequence
from datetime import date, timedelta
from functools import cache

from babel.dates import get_month_names

from app.language import LANGUAGES, _, locale_of

YEAR_FIRST, DAY_FIRST, MONTH_FIRST = "year first", "day first", "month first"

_MIDNIGHT = re.compile(r"[ T]0{1,2}:00(:00(\.0+)?)?$", re.ASCII)
_NUMBERS = re.compile(r"(\d{1,4})([-/.])(\d{1,2})\2(\d{1,4})\.?", re.ASCII)
_WORDS = re.compile(r"(\d{1,2})[ ./-]+(?:de )?([^\W\d_]+)\.?[ ./,-]+(?:de )?(\d{4})")
_PACKED = re.compile(r"((?:19|20|21)\d\d)(\d\d)(\d\d)", re.ASCII)
_SERIAL = re.compile(r"[34]\d{4}", re.ASCII)  # 1982 to 2036
_DAY_NOUGHT = date(1899, 12, 30)  # of a spreadsheet, whose 1900 has a day too many
_CENTURY = 2000  # of a year of two digits
_FIRST, _LAST = 1900, 2200  # years


def day_orders(texts: Sequence[str]) -> set[str]:
    """Return the orders in which the days of a column may be written: several where none tells.

    A day whose year comes first with four digits, or whose month is a word, is read in every order.
    """
    found = [_NUMBERS.fullmatch(_without_midnight(text)) for text in texts]
    days = [(f[1], f[3], f[4]) for f in found if f and len(f[1]) < 4]
    if not days:
        return {YEAR_FIRST}
    orders = [DAY_FIRST, MONTH_FIRST]
    if any(len(last) < 4 for _first, _second, last in days):
        orders.append(YEAR_FIRST)
    return {order for order in orders if all(_may_be(day, order) for day in days)}


def read_day(text: str, order: str) -> date:
    """Return the day that a text names; one whose year comes first is read in every order.

    Raises ValueError, with words.
    """
    words = _without_midnight(text)
    if _SERIAL.fullmatch(words):
        return _DAY_NOUGHT + timedelta(days=int(words))
    parts = _parts(words, order)
    if parts is None:
        raise ValueError(_("Write the day like 2026-07-14"))
    try:
        return date(*parts)
    except ValueError:
        raise ValueError(_("The calendar has no such day")) from None


def _parts(words: str, order: str) -> tuple[int, int, int] | None:
    """Return year, month and day as they are written; None for what is no day."""
    if found := _PACKED.fullmatch(words):
        parts = found[1], found[2], found[3]
    elif (found := _WORDS.fullmatch(words)) and _plain(found[2]) in _months():
        parts = found[3], f"{_months()[_plain(found[2])]}", found[1]
    elif found := _NUMBERS.fullmatch(words):
        written = found[1], found[3], found[4]
        parts = written if len(found[1]) == 4 else _in_order(written, order)
    else:
        return None
    year = int(parts[0]) + (_CENTURY if len(parts[0]) == 2 else 0)
    return (year, int(parts[1]), int(parts[2])) if _FIRST <= year < _LAST else None


def _in_order(parts: tuple[str, str, str], order: str) -> tuple[str, str, str]:
    """Return year, month and day."""
    first, second, last = parts
    if order == YEAR_FIRST:
        return first, second, last
    return (last, second, first) if order == DAY_FIRST else (last, first, second)


def _may_be(parts: tuple[str, str, str], order: str) -> bool:
    _year, month, day = _in_order(parts, order)
    return 1 <= int(month) <= 12 and 1 <= int(day) <= 31


def _without_midnight(text: str) -> str:
    """Return a text without the time that a workbook gives to a day; any other time stays."""
    return _MIDNIGHT.sub("", text.strip())


@cache
def _months() -> dict[str, int]:
    """Return the months by their names, long and short, in every language offered."""
    return {
        _plain(name): month
        for language in LANGUAGES
        for width in ("wide", "abbreviated")
        for context in ("format", "stand-alone")
        for month, name in get_month_names(width, context, locale_of(language)).items()
    }


def _plain(word: str) -> str:
    return word.casefold().strip(".")
