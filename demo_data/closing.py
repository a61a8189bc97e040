"""Numbers that lie about a mean and give it again: what some records share, or are meant to."""

import math
from collections.abc import Mapping, Sequence


def shared(total: float, shares: Sequence[float], decimals: int) -> list[float]:
    """Return parts of `total` by their `shares`, each rounded; the last closes the sum."""
    parts = [round(total * share / math.fsum(shares), decimals) for share in shares[:-1]]
    return [*parts, round(total - math.fsum(parts), decimals)]


def about(
    mean: float, weights: Sequence[float], apart: Sequence[float], decimals: int
) -> list[float]:
    """Return rounded values `apart` from each other whose mean by `weights` is `mean`."""
    whole = math.fsum(weights)
    middle = math.fsum(w * a for w, a in zip(weights, apart, strict=True)) / whole
    values = [round(mean + each - middle, decimals) for each in apart[:-1]]
    so_far = math.fsum(w * v for w, v in zip(weights, values, strict=False))
    return [*values, round((mean * whole - so_far) / weights[-1], decimals)]


def number(texts: Mapping[str, str], measure: str) -> float | None:
    """Return what the sheet has of a measure, if that is a number."""
    text = texts.get(measure, "")
    return float(text) if text[:1].isdigit() else None
