"""How a number is printed: rounded once, half to even, with the decimal sign of the language.

Digits are parted by thin spaces in every language, as the SI Brochure (9th ed., 5.4.4) has it.
"""

import math
import re
from decimal import ROUND_HALF_EVEN, Decimal

from app.chemistry.validity import OutOfRange
from app.language import _, decimal_sign

MINUS = "\u2212"
THIN_SPACE = "\u202f"
_TYPED = re.compile(r"^([^\w.,]?[\d\s]*)[.,](\d+)$")
_IN_WORDS = re.compile(r"(?<![\d.])(\d+)\.(\d+)(?!\.?\d)")
COVERAGE_FACTOR = 2  # of every ±: about 95 in 100, where errors are many and small


def rounded(value: float | Decimal, decimals: int) -> Decimal:
    """Return `value` at `decimals`, half to even on the digits it is written with.

    Source: SASTA Laboratory Manual ch. 3 s. 2 (read).
    """
    exact = value if isinstance(value, Decimal) else Decimal(repr(float(value)))
    return exact.quantize(Decimal(1).scaleb(-decimals), ROUND_HALF_EVEN) + 0  # no minus zero


def plain(value: float | Decimal | None, decimals: int) -> str:
    """Return the rounded number with a point and no grouping, as files carry it; "" for none."""
    if value is None or not math.isfinite(value):
        return ""
    return f"{rounded(value, decimals):f}"


def printed(value: float | Decimal | None, decimals: int) -> str:
    """Return the number as pages print it: true minus, thousands apart from five digits on."""
    text = plain(value, decimals)
    whole, _, fraction = text.partition(".")
    if len(whole.lstrip("-")) >= 5:
        whole = f"{int(whole):,}".replace(",", THIN_SPACE)
    return (whole + (f"{decimal_sign()}{fraction}" if fraction else "")).replace("-", MINUS)


def analysed_words(share: float) -> str:
    """Return what share was analysed, 0 to 1, as pages say it: never more than it was."""
    return _("{share} % analysed", share=printed(math.floor(1000 * share) / 10, 1))


def enough_decimals(value: float, decimals: int) -> int:
    """Return at how many decimals a number does not print as nothing; up to three more."""
    if not math.isfinite(value) or value == 0:
        return decimals
    most = decimals + 3
    return next((n for n in range(decimals, most) if rounded(value, n)), most)


def unrounded(value: float) -> str:
    """Return a limit or a constant with the digits it was given."""
    return as_read(f"{value:g}".replace("-", MINUS))


def as_read(text: str) -> str:
    """Return a number that was kept as English prints it, as the language chosen prints it."""
    return text.replace(".", decimal_sign())


def typed_words(text: str) -> str:
    """Return what was typed with the digits it was typed with, and the language's decimal sign."""
    return _TYPED.sub(rf"\1{decimal_sign()}\2", text)


def with_numbers(words: str) -> str:
    """Return words that were written with points in their numbers, as the language writes them.

    What has several points, as the number of a chapter, stays.
    """
    return _IN_WORDS.sub(rf"\1{decimal_sign()}\2", words)


def plus_minus(standard: float, decimals: int) -> str:
    """Return "± 0.31": twice a standard uncertainty, at the decimals of its figure.

    Where that would print as nothing, one digit more is shown until it does not, up to three; ""
    for what is exact, as far as that tells, or has no stated uncertainty.
    """
    expanded = COVERAGE_FACTOR * standard
    decimals = enough_decimals(expanded, decimals)
    if not math.isfinite(expanded) or not rounded(expanded, decimals):
        return ""
    return f"±\u00a0{printed(expanded, decimals)}"


def significance(value: float, standard: float) -> str:
    """Say whether what is left undetermined stands out of twice its standard uncertainty."""
    if abs(value) <= COVERAGE_FACTOR * standard:
        return _("not significant, measuring alone explains it")
    if value < 0:
        return _("significant, and no loss can be negative: a weight or analysis is wrong")
    return _("significant, more than measuring explains")


def range_words(refused: OutOfRange) -> str:
    """Say which value lies out of the range in which a relation holds."""
    unit = f" {_(refused.unit)}" if refused.unit else ""
    return _(
        "{name} is {value}; this holds from {low} to {high}",
        name=_(refused.name), value=f"{as_read(f'{refused.value:.6g}')}{unit}",
        low=as_read(f"{refused.low:g}"), high=f"{as_read(f'{refused.high:g}')}{unit}",
    )  # fmt: skip
