"""How a number is printed: rounded once, half to even, with the decimal sign of the language.

Digits are parted by thin spaces in every language, as the SI Brochure (9th ed., 5.4.4) has it.
"""

import math
from decimal import ROUND_HALF_EVEN, Decimal

from app.chemistry.validity import OutOfRange
from app.language import _, decimal_sign

MINUS = "\u2212"
THIN_SPACE = "\u202f"
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


def unrounded(value: float) -> str:
    """Return a limit or a constant with the digits it was given."""
    return as_read(f"{value:g}".replace("-", MINUS))


def as_read(text: str) -> str:
    """Return a number that was kept as English prints it, as the language chosen prints it."""
    return text.replace(".", decimal_sign())


def plus_minus(standard: float, decimals: int) -> str:
    """Return "± 0.31": twice a standard uncertainty, at the decimals of its figure.

    Where that would print as nothing, one digit more is shown until it does not; "" for what is
    exact or has no stated uncertainty.
    """
    expanded = COVERAGE_FACTOR * standard
    if not math.isfinite(expanded) or expanded == 0:
        return ""
    enough = max(decimals, -math.floor(math.log10(expanded)))
    return f"±\u00a0{printed(expanded, min(enough, decimals + 3))}"


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
