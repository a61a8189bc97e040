"""One picture in two sizes: wide for screens and paper, narrow for a phone."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from app.pictures.engine import drawn

WIDE, NARROW = (880, 300), (344, 280)


@dataclass(frozen=True)
class Drawn:
    """SVG elements of the same picture; a page shows the one that fits."""

    wide: str
    narrow: str


def both_sizes(
    option: Callable[[bool], Mapping[str, Any]],
    wide: tuple[int, int] = WIDE,
    narrow: tuple[int, int] = NARROW,
) -> Drawn:
    """Return a picture in both sizes; `option` says what to draw, told whether it is narrow."""
    return Drawn(drawn(option(False), *wide), drawn(option(True), *narrow))
