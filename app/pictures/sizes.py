"""One picture in two sizes: wide for screens and paper, narrow for a phone."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from app.pictures.engine import drawn

WIDE, NARROW = (880, 300), (344, 280)
# pixels of an entry of a legend: its mark with the gaps about it, and each letter at most
LEGEND_MARK, LEGEND_LETTER = 51, 7


@dataclass(frozen=True)
class Drawn:
    """SVG elements of the same picture; a page shows the one that fits."""

    wide: str
    narrow: str


def legend_lines(names: Sequence[str], narrow: bool) -> int:
    """Return how many lines a legend of lines takes at most."""
    width = (NARROW if narrow else WIDE)[0]
    count, taken = 1, 0
    for name in names:
        needs = LEGEND_MARK + LEGEND_LETTER * len(name)
        if taken and taken + needs > width:
            count, taken = count + 1, 0
        taken += needs
    return count


def both_sizes(
    option: Callable[[bool], Mapping[str, Any]],
    wide: tuple[int, int] = WIDE,
    narrow: tuple[int, int] = NARROW,
) -> Drawn:
    """Return a picture in both sizes; `option` says what to draw, told whether it is narrow."""
    return Drawn(drawn(option(False), *wide), drawn(option(True), *narrow))
