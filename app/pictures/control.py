"""A control chart: results in their order, centre, limits and target, and what rules name."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from app.pictures.sizes import Drawn, both_sizes

INK, GREY, PALE, RED = "#14532d", "#4b5563", "#d6d3d1", "#9a3412"
# told apart by dash: centre full, limits dashed, target dotted with points between
CENTRE, LIMIT, TARGET = "solid", "dashed", [10, 3, 2, 3]
SHAPES = ("diamond", "rect", "triangle", "circle", "roundRect")


@dataclass(frozen=True)
class Level:
    """A level across the chart: its words, its value and its dash."""

    words: str
    value: float
    dash: Any = LIMIT


@dataclass(frozen=True)
class Named:
    """What one rule names: the places of its points along the axis."""

    title: str
    at: frozenset[int]


def control_chart(
    places: Sequence[str],
    values: Sequence[float | None],
    unit: str,
    levels: Sequence[Level],
    named: Sequence[Named],
) -> Drawn:
    """Return the chart of `values` over `places`; a missing value leaves a gap.

    Points that a rule names stand within a hollow shape, another for each rule.
    """
    marks = [one for one in named if one.at]

    def option(narrow: bool) -> dict[str, Any]:
        top = 22 * (len(marks) + (-(-len(levels) // 2) if narrow else 0))
        legend = {"left": 0, "itemGap": 6, "itemStyle": {"color": "none"}}
        return {
            "grid": {"left": 8, "right": 12 if narrow else 132, "top": top + 34, "bottom": 8,
                     "containLabel": True},
            "legend": [
                {**legend, "show": bool(marks), "top": 0, "orient": "vertical", "itemWidth": 18,
                 "itemStyle": {}, "data": [one.title for one in marks]},
                {**legend, "show": narrow, "top": 22 * len(marks), "itemWidth": 30,
                 "data": [level.words for level in levels]},
            ],
            "xAxis": {"type": "category", "data": list(places),
                      "axisLabel": {"hideOverlap": True, "color": GREY}},
            "yAxis": {"type": "value", "scale": True, "name": unit,
                      "nameTextStyle": {"align": "left", "color": GREY},
                      "splitLine": {"lineStyle": {"color": PALE}}, "axisLabel": {"color": GREY}},
            "series": [
                {"type": "line", "symbol": "circle", "symbolSize": 4, "showAllSymbol": True,
                 "color": INK, "lineStyle": {"width": 1.5, "color": INK}, "data": list(values)},
                *(_across(level, len(places), narrow) for level in levels),
                *(_shapes(one, values, n, len(marks)) for n, one in enumerate(marks)),
            ],
        }  # fmt: skip

    return both_sizes(option, (880, 320), (344, 380))


def _shapes(one: Named, values: Sequence[float | None], number: int, of: int) -> dict[str, Any]:
    """Return the shapes of a rule, smaller for each further one, so that none hides another."""
    return {
        "type": "scatter", "name": one.title, "symbol": SHAPES[number % len(SHAPES)],
        "symbolSize": 9 + 5 * (of - 1 - number), "silent": True,
        "itemStyle": {"color": "rgba(0,0,0,0)", "borderColor": RED, "borderWidth": 1.5},
        "data": [value if n in one.at else None for n, value in enumerate(values)],
    }  # fmt: skip


def _across(level: Level, places: int, narrow: bool) -> dict[str, Any]:
    """Return a level: with its words at the end, or where it is narrow in the legend."""
    width = 2 if level.dash == TARGET else 1
    return {
        "type": "line", "name": level.words, "silent": True, "symbol": "none", "color": GREY,
        "lineStyle": {"type": level.dash, "color": GREY, "width": width},
        "data": [level.value] * places,
        "endLabel": {"show": not narrow, "formatter": level.words, "color": GREY},
        "labelLayout": {"moveOverlap": "shiftY"},
    }  # fmt: skip
