"""Mistakes of typing in the invented season, each found and corrected some hours later."""

from dataclasses import dataclass

import numpy as np

from app.plant.measures import MEASURES
from app.plant.typed import NUMBER, read

from .factory import SEED, SHIFTS, SHIFTS_A_DAY

OF_EACH_KIND = 3
SHOWN = ("clear_juice_pol", SHIFTS - 2 * SHIFTS_A_DAY + 1)  # on the demonstration's yesterday

SLIPPED, TRANSPOSED, FROM_LINE_BEFORE = "slipped", "transposed", "line before"

# what was mistaken, how (or the measure whose result it was given), and the reason written
KINDS = (
    ("sugar_moisture", SLIPPED, "decimal point slipped"),
    ("mixed_juice_suspended_solids", SLIPPED, "decimal point slipped"),
    ("filter_cake", SLIPPED, "decimal point slipped, checked against the tare book"),
    ("mixed_juice_pol", TRANSPOSED, "digits transposed"),
    ("bagasse_moisture", FROM_LINE_BEFORE, "read from the wrong line"),
    ("clear_juice_pol", "filtrate_pol", "flask mixed up with filtrate"),
    ("imbibition", TRANSPOSED, "digits transposed, meter read again"),
)


@dataclass(frozen=True)
class Mistake:
    """What was typed at first, why it was wrong, and the hours until somebody saw it."""

    typed: str
    reason: str
    hours_to_find: float


def find_mistakes(texts: dict[str, list[str]]) -> dict[tuple[int, str], Mistake]:
    """Return the season's mistakes by shift and measure; only such as a sheet would accept."""
    random = np.random.Generator(np.random.PCG64(SEED + 2))
    found: dict[tuple[int, str], Mistake] = {}
    for name, kind, reason in KINDS:
        shifts = random.permutation(np.arange(1, SHIFTS - 2 * SHIFTS_A_DAY)).tolist()
        if name == SHOWN[0]:
            shifts = [SHOWN[1], *shifts]
        typed = ((shift, _mistyped(texts, name, kind, shift)) for shift in shifts)
        accepted = [(s, t) for s, t in typed if t and _accepted(texts, name, s, t)]
        for shift, wrong in accepted[:OF_EACH_KIND]:
            found[shift, name] = Mistake(wrong, reason, round(random.uniform(2, 9), 1))
    return found


def _mistyped(texts: dict[str, list[str]], name: str, kind: str, shift: int) -> str:
    """Return what a mistake of that kind would make of the text, "" where it cannot happen."""
    right = texts[name][shift]
    if not _is_number(right):
        return ""
    if kind == SLIPPED:
        return _slipped(right)
    if kind == TRANSPOSED:
        return _transposed(right)
    return texts[name][shift - 1] if kind == FROM_LINE_BEFORE else texts[kind][shift]


def _is_number(text: str) -> bool:
    return bool(text) and read(text)[0] == NUMBER


def _slipped(text: str) -> str:
    """Move the decimal point one place to the right: 0.25 to 2.5."""
    whole, _, part = text.partition(".")
    moved = f"{whole}{part[:1]}".lstrip("0") or "0"
    return f"{moved}.{part[1:]}" if part[1:] else moved


def _transposed(text: str) -> str:
    """Exchange the two digits about the decimal point, 12.45 to 14.25; "" where they are equal."""
    point = text.index(".")
    before, after = text[point - 1], text[point + 1]
    if before == after:
        return ""
    return f"{text[: point - 1]}{after}.{before}{text[point + 2 :]}"


def _accepted(texts: dict[str, list[str]], name: str, shift: int, wrong: str) -> bool:
    """Tell whether `wrong` differs, lies within hard limits, and is a pol not above its brix."""
    if not _is_number(wrong) or wrong == texts[name][shift]:
        return False
    low, high = MEASURES[name].hard
    value = float(wrong)
    brix = texts.get(name.removesuffix("_pol") + "_brix", [""] * SHIFTS)[shift]
    above = name.endswith("_pol") and _is_number(brix) and value > float(brix)
    return low <= value <= high and not above
