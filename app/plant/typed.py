"""How a typed result is read: a number with a decimal comma or point, or a named state."""

import re
import unicodedata
from decimal import Decimal

from app.language import _

NUMBER = "number"
VOID = "void"
BELOW = "below detection"
LEFT_OUT = "left out"  # of what the tests of a sample make, with a reason

STATES = {
    "nm": "not measured",
    "bd": BELOW,
    "if": "instrument failed",
    "nd": "not due",
}

_NUMBER = re.compile(r"[+-]?(?:[0-9]+(?:[.,][0-9]+)?|[.,][0-9]+)")
_IN_THREES = re.compile(r"[+-]?[1-9][0-9]{0,2}(?: [0-9]{3})+(?:[.,][0-9]+)?")
_MARKED = re.compile(r"[+-]?[0-9.,]+")  # digits with marks, whatever they mean
_EITHER_WAY = re.compile(r"[+-]?(?!0[.,])[0-9]{1,3}[.,][0-9]{3}")
_BEGINS = re.compile(r"[+-]?[.,]?[0-9]")
# hyphens and dashes that stand for minus, and the decimal signs of Arabic and full-width keyboards
_SIGNS = str.maketrans(
    "\u2212\u2010\u2011\u2013\ufe63\uff0d\u066b\uff0e\uff0c",
    "------..,",
)


class Unreadable(ValueError):
    """What was typed is neither a number nor a named state; the message says what is."""


def read(text: str) -> tuple[str, Decimal | None]:
    """Return the state and, for a number, its exact value.

    One comma or one point is the decimal sign; blanks of any width may part the digits before it in
    threes; digits are those of any one script. Raises Unreadable.
    """
    words = _plain(" ".join(text.split()))
    packed = words.replace(" ", "")
    if _NUMBER.fullmatch(packed):
        if packed != words and not _IN_THREES.fullmatch(words):
            raise Unreadable(
                _("{words}: take the blank out; blanks part digits in threes, 1 234.5", words=words)
            )
        return NUMBER, Decimal(packed.replace(",", "."))
    for short, state in STATES.items():
        if words.lower() in (short, state):
            return state, None
    if _MARKED.fullmatch(packed) and packed.count(",") + packed.count(".") > 1:
        raise Unreadable(
            _("Write one decimal sign, and no marks between thousands: 1234.5 or 1234,5")
        )
    if any(unicodedata.category(sign) == "Cf" for sign in words):
        raise Unreadable(_("There is a sign in it that cannot be seen: type it anew"))
    if _BEGINS.match(words) and not _MARKED.fullmatch(packed):
        raise Unreadable(_("Write a number alone, without its unit or anything else beside it"))
    raise Unreadable(_("Write a number, or nm, bd, if or nd (see the key of the sheet)"))


def _plain(text: str) -> str:
    """Return `text` with plain digits and signs; digits of several scripts stay as they are.

    A Bengali four looks like an eight: nobody mixes them, and a mixture is not read.
    """
    zeros = {ord(sign) - int(sign) for sign in text if sign.isdecimal()}
    if len(zeros) == 1:
        text = text.translate({zero + n: str(n) for zero in zeros for n in range(10)})
    return text.translate(_SIGNS)


def both_readings(text: str) -> tuple[str, str] | None:
    """Return what "1,250" may mean, plainly written: 1250 or 1.25; None for what means one thing.

    A decimal that does not end in zero gets one, so that four digits follow its point.
    """
    packed = _plain(text.strip())
    if not _EITHER_WAY.fullmatch(packed):
        return None
    whole, fraction = re.split("[.,]", packed)
    short = fraction.rstrip("0") or "0"
    return whole + fraction, f"{whole}.{short if len(short) < len(fraction) else fraction + '0'}"


def plain(value: Decimal) -> str:
    """Return a number as it is typed so that it can be read in one way alone."""
    text = f"{value.normalize():f}" if value else "0"
    return f"{text}0" if both_readings(text) else text


def number(text: str) -> Decimal:
    """Return the exact value of a typed number; Unreadable for anything else."""
    state, value = read(text)
    if value is None:
        raise Unreadable(_("{state} is not a number", state=_(state)))
    return value
