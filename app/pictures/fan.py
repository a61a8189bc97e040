"""A fan: what has been as a line, then what is likeliest within the band in which it will lie."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from app.pictures.sizes import Drawn, both_sizes, legend_lines

INK, BAND = "#14532d", "#dcebe1"
GREY, PALE = "#4b5563", "#d6d3d1"


@dataclass(frozen=True)
class Names:
    """What the parts of a fan are called: what was, what is likeliest, and the band."""

    was: str
    likeliest: str
    band: str


def fan(
    places: Sequence[str],
    was: Sequence[float],
    ahead: Sequence[tuple[float, float, float]],
    names: Names,
    unit: str,
) -> Drawn:
    """Return a fan over `places`: the first have `was`, the others low, middle and high.

    The band opens at the last of what was.
    """
    gone = len(was)
    blank: list[float | None] = [None] * (gone - 1)
    edges = [(was[-1],) * 3, *ahead] if was else list(ahead)
    low, middle, high = ([*blank, *(edge[part] for edge in edges)] for part in range(3))
    wide = [*blank, *(edge[2] - edge[0] for edge in edges)]

    shown = (names.was, names.likeliest, names.band)

    def option(narrow: bool) -> dict[str, Any]:
        return {
            "grid": {"left": 8, "right": 20, "top": 32 + 24 * legend_lines(shown, narrow),
                     "bottom": 8, "containLabel": True},
            "legend": {"top": 0, "left": 0, "itemWidth": 36,
                       "data": shown},
            "xAxis": {"type": "category", "data": list(places), "boundaryGap": False,
                      "axisLabel": {"hideOverlap": True, "color": GREY}},
            "yAxis": {"type": "value", "scale": True, "name": unit,
                      "nameTextStyle": {"align": "left", "color": GREY},
                      "splitLine": {"lineStyle": {"color": PALE}}, "axisLabel": {"color": GREY}},
            "series": [
                {"type": "line", "stack": "band", "symbol": "none", "data": low,
                 "lineStyle": {"opacity": 0}},
                {"type": "line", "stack": "band", "symbol": "none", "name": names.band,
                 "data": wide, "color": BAND, "lineStyle": {"opacity": 0},
                 "areaStyle": {"color": BAND, "opacity": 1}},
                *(_edge(values) for values in (low, high)),
                {"type": "line", "name": names.likeliest, "symbol": "emptyCircle",
                 "symbolSize": 6, "showAllSymbol": True, "data": middle, "color": INK,
                 "lineStyle": {"width": 2, "type": "dashed", "color": INK}},
                {"type": "line", "name": names.was, "symbol": "circle", "symbolSize": 5,
                 "showAllSymbol": True, "data": list(was), "color": INK,
                 "lineStyle": {"width": 2, "color": INK}},
            ],
        }  # fmt: skip

    return both_sizes(option)


def _edge(values: Sequence[float | None]) -> dict[str, Any]:
    return {
        "type": "line", "symbol": "none", "silent": True, "data": list(values),
        "lineStyle": {"width": 1, "type": "dotted", "color": GREY},
    }  # fmt: skip
