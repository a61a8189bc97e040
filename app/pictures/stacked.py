"""Stacked bars: the parts of a whole in each week, told apart by pattern as well as by colour."""

from collections.abc import Sequence
from typing import Any, NamedTuple

from app.pictures.sizes import Drawn, both_sizes

GREY, PALE = "#4b5563", "#d6d3d1"
_ASLANT, _BACK = 0.785, -0.785
# ink and pattern of each part; the first is plain
STYLES: tuple[tuple[str, dict[str, Any] | None], ...] = (
    ("#a7c7b1", None),
    ("#14532d", {"symbol": "rect", "dashArrayX": [1, 0], "dashArrayY": [2, 5],
                 "rotation": _ASLANT}),
    ("#9a3412", {"symbol": "rect", "dashArrayX": [1, 0], "dashArrayY": [2, 5],
                 "rotation": _BACK}),
    ("#1e3a8a", {"symbol": "circle", "dashArrayX": [[8, 8], [0, 8, 8, 0]], "dashArrayY": [6, 0],
                 "symbolSize": 0.7}),
    ("#6b21a8", {"symbol": "rect", "dashArrayX": [1, 0], "dashArrayY": [4, 3]}),
    ("#44403c", {"symbol": "rect", "dashArrayX": [4, 3], "dashArrayY": [1, 0]}),
    ("#b45309", {"symbol": "triangle", "dashArrayX": [[9, 9], [0, 9, 9, 0]],
                 "dashArrayY": [7, 2], "symbolSize": 0.75}),
    ("#0e7490", {"symbol": "rect", "dashArrayX": [[6, 6], [0, 6, 6, 0]], "dashArrayY": [6, 0]}),
    ("#e7e5e4", {"symbol": "rect", "dashArrayX": [1, 0], "dashArrayY": [1, 9],
                 "color": "#1b1f1a", "rotation": _ASLANT}),
)  # fmt: skip


class Part(NamedTuple):
    """One part of each whole: its name and its size at each place, or None."""

    name: str
    values: Sequence[float | None]


def stacked_bars(places: Sequence[str], parts: Sequence[Part], unit: str) -> Drawn:
    """Return bars at `places`, of `parts` from the bottom up."""

    def option(narrow: bool) -> dict[str, Any]:
        rows = -(-len(parts) // (2 if narrow else 5))
        return {
            "grid": {"left": 8, "right": 8, "top": 34 + 24 * rows, "bottom": 8,
                     "containLabel": True},
            "legend": {"top": 0, "left": 0, "itemWidth": 22, "itemHeight": 14, "itemGap": 8,
                       "data": [part.name for part in parts],
                       "textStyle": {"width": 130 if narrow else 136, "overflow": "truncate"}},
            "xAxis": {"type": "category", "data": list(places),
                      "axisLabel": {"hideOverlap": True, "color": GREY}},
            "yAxis": {"type": "value", "name": unit,
                      "nameTextStyle": {"align": "left", "color": GREY},
                      "splitLine": {"lineStyle": {"color": PALE}}, "axisLabel": {"color": GREY}},
            "series": [_part(part, n) for n, part in enumerate(parts)],
        }  # fmt: skip

    return both_sizes(option, (880, 360), (344, 420))


def _part(part: Part, number: int) -> dict[str, Any]:
    ink, pattern = STYLES[number % len(STYLES)]
    own = {"decal": {"color": "rgba(255,255,255,0.75)", **pattern}} if pattern else {}
    return {
        "type": "bar", "stack": "whole", "name": part.name, "data": list(part.values),
        "barCategoryGap": "25%",
        "itemStyle": {"color": ink, "borderColor": "#1b1f1a", "borderWidth": 0.5, **own},
    }  # fmt: skip
