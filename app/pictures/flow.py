"""A flow: from where something comes in to where it goes, each branch as wide as it is large."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from app.pictures.sizes import Drawn, both_sizes

INK, THROUGH, KEPT, LOST = "#1f2937", "#44403c", "#14532d", "#9a3412"
BRANCH = "#d6d3d1"
WIDE, NARROW = (880, 380), (344, 560)


@dataclass(frozen=True)
class Place:
    """A place that something passes or comes to rest in: its words, a line each.

    `ends` is "" for one that is passed, else "kept" or "lost", which its words say as well.
    `column` is its place from the left, from 0.
    """

    name: str
    words: tuple[str, ...]
    column: int
    ends: str = ""


@dataclass(frozen=True)
class Branch:
    """What goes from one place to another, above nothing."""

    source: str
    target: str
    size: float


def flow(places: Sequence[Place], branches: Sequence[Branch]) -> Drawn:
    """Return the picture of `branches` between `places`, from left to right."""
    inks = {"": THROUGH, "kept": KEPT, "lost": LOST}

    def option(narrow: bool) -> dict[str, Any]:
        return {
            "series": [
                {
                    "type": "sankey", "silent": True, "nodeAlign": "left",
                    "layoutIterations": 0, "draggable": False,
                    "left": 4, "right": 92 if narrow else 150, "top": 12, "bottom": 30,
                    "nodeWidth": 8 if narrow else 12, "nodeGap": 56,
                    "label": {"color": INK, "fontSize": 11 if narrow else 12, "lineHeight": 14},
                    "lineStyle": {"color": BRANCH, "opacity": 1, "curveness": 0.5},
                    "data": [
                        {"name": place.name, "depth": place.column,
                         "itemStyle": {"color": inks[place.ends], "borderWidth": 0},
                         "label": {"formatter": "\n".join(place.words)}}
                        for place in places
                    ],
                    "links": [
                        {"source": one.source, "target": one.target, "value": one.size}
                        for one in branches
                    ],
                }
            ],
        }  # fmt: skip

    return both_sizes(option, WIDE, NARROW)
