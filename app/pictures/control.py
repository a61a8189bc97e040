"""A control chart: results in their order, centre, limits and target, and what rules name."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from app.pictures.sizes import Drawn, both_sizes

INK, GREY, PALE, RED = "#14532d", "#4b5563", "#d6d3d1", "#9a3412"
# told apart by dash: centre full, limits dashed, target dotted with points between
CENTRE, LIMIT, TARGET = "solid", "dashed", [10, 3, 2, 3]
SHAPES = ("emptyDiamond", "emptyRect", "emptyTriangle", "emptyCircle", "emptyRoundRect")


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
        return {
            "grid": {"left": 8, "right": 12 if narrow else 128, "top": 34 + 22 * len(marks),
                     "bottom": 8, "containLabel": True},
            "legend": {"show": bool(marks), "top": 0, "left": 0, "orient": "vertical",
                       "itemWidth": 18, "itemGap": 6, "data": [one.title for one in marks]},
            "xAxis": {"type": "category", "data": list(places),
                      "axisLabel": {"hideOverlap": True, "color": GREY}},
            "yAxis": {"type": "value", "scale": True, "name": unit,
                      "nameTextStyle": {"align": "left", "color": GREY},
                      "splitLine": {"lineStyle": {"color": PALE}}, "axisLabel": {"color": GREY}},
            "series": [
                {"type": "line", "symbol": "circle", "symbolSize": 4, "showAllSymbol": True,
                 "color": INK, "lineStyle": {"width": 1.5, "color": INK}, "data": list(values)},
                *(_shapes(one, values, n) for n, one in enumerate(marks)),
                _across(levels, narrow),
            ],
        }  # fmt: skip

    return both_sizes(option)


def _shapes(one: Named, values: Sequence[float | None], number: int) -> dict[str, Any]:
    """Return the shapes of a rule, larger for each further one, so that none hides another."""
    return {
        "type": "scatter", "name": one.title, "symbol": SHAPES[number % len(SHAPES)],
        "symbolSize": 9 + 3 * number, "color": RED, "silent": True,
        "data": [value if n in one.at else None for n, value in enumerate(values)],
    }  # fmt: skip


def _across(levels: Sequence[Level], narrow: bool) -> dict[str, Any]:
    """Return the levels as a line that is not seen, so that the axis reaches them."""
    return {
        "type": "line", "silent": True, "symbol": "none", "lineStyle": {"opacity": 0},
        "data": [level.value for level in levels],
        "markLine": {
            "symbol": "none", "silent": True,
            "label": {"position": "insideEndTop" if narrow else "end", "color": GREY,
                      "width": 120, "overflow": "break"},
            "data": [
                # the target's words stand at the other end, as it may lie upon the centre
                {"yAxis": level.value,
                 "label": {"formatter": level.words}
                 | ({"position": "insideStartTop"} if level.dash == TARGET else {}),
                 "lineStyle": {"type": level.dash, "color": GREY,
                               "width": 2 if level.dash == TARGET else 1}}
                for level in levels
            ],
        },
    }  # fmt: skip
