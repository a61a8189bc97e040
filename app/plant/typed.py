"""How a typed result is read: a number with a decimal comma or point, or a named state."""

import re
from decimal import Decimal

NUMBER = "number"
VOID = "void"

STATES = {
    "nm": "not measured",
    "bd": "below detection",
    "if": "instrument failed",
    "nd": "not due",
}

_NUMBER = re.compile(r"[+-]?\d+(?:[.,]\d+)?")
_MINUS = str.maketrans({"\u2212": "-", "\u2013": "-"})


class Unreadable(ValueError):
    """What was typed is neither a number nor a named state; the message says what is."""


def read(text: str) -> tuple[str, Decimal | None]:
    """Return the state and, for a number, its exact value.

    One comma or one point is the decimal sign, blanks of any kind are ignored, digits are never
    grouped. Raises Unreadable.
    """
    packed = "".join(text.split()).translate(_MINUS)
    if _NUMBER.fullmatch(packed):
        return NUMBER, Decimal(packed.replace(",", "."))
    words = " ".join(text.lower().split())
    for short, state in STATES.items():
        if words in (short, state):
            return state, None
    if packed.count(",") + packed.count(".") > 1:
        raise Unreadable("Write one decimal sign, and no marks between thousands: 1234.5 or 1234,5")
    raise Unreadable("Write a number, or nm, bd, if or nd (see the key of the sheet)")


def number(text: str) -> Decimal:
    """Return the exact value of a typed number; Unreadable for anything else."""
    state, value = read(text)
    if value is None:
        raise Unreadable(f"{state} is not a number")
    return value
