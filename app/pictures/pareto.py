"""A Pareto chart: bars from zero, the longest first, with the share that they make together."""

from collections.abc import Sequence
from typing import Any, NamedTuple

from app.pictures.sizes import Drawn, both_sizes

BAR, GREY, PALE, LINE = "#14532d", "#4b5563", "#d6d3d1", "#9a3412"


class Bar(NamedTuple):
    """One bar: its words, its length from zero, and the share of all down to it, 0 to 100."""

    title: str
    value: float
    cumulative: float


def pareto_chart(bars: Sequence[Bar], unit: str, of_all: str) -> Drawn:
    """Return bars down the picture in the order given; `of_all` is what the line is called."""

    whole = sum(bar.value for bar in bars)

    def option(narrow: bool) -> dict[str, Any]:
        axis = {"axisLabel": {"color": GREY}, "nameLocation": "end",
                "nameTextStyle": {"color": GREY, "align": "right"}}  # fmt: skip
        return {
            "grid": {"left": 8, "right": 24, "top": 44, "bottom": 30, "containLabel": True},
            "yAxis": {"type": "category", "inverse": True, "data": [bar.title for bar in bars],
                      "axisTick": {"show": False},
                      "axisLabel": {"color": "#1b1f1a", "interval": 0, "overflow": "break",
                                    "width": 104 if narrow else 180}},
            "xAxis": [
                # both axes are as long as all bars together, so that the line begins at a bar's end
                {"type": "value", "min": 0, "max": whole, "name": unit, "splitLine": {"lineStyle":
                 {"color": PALE}}, **axis, "nameGap": -4,
                 "axisLabel": {"color": GREY, "showMaxLabel": False, "hideOverlap": True},
                 "nameTextStyle": {"color": GREY, "align": "right", "verticalAlign": "top",
                                   "padding": [20, 0, 0, 0]}},
                {"type": "value", "min": 0, "max": 100, "position": "top", "name": of_all,
                 "splitLine": {"show": False}, **axis, "nameGap": -4,
                 "nameTextStyle": {"color": GREY, "align": "right", "verticalAlign": "bottom",
                                   "padding": [0, 0, 20, 0]}},
            ],
            "series": [
                {"type": "bar", "data": [bar.value for bar in bars], "color": BAR,
                 "barMaxWidth": 22},
                {"type": "line", "xAxisIndex": 1, "data": [bar.cumulative for bar in bars],
                 "symbol": "emptyCircle", "symbolSize": 7, "color": LINE,
                 "lineStyle": {"width": 2, "type": "dashed", "color": LINE}},
            ],
        }  # fmt: skip

    height = 90 + 30 * len(bars)
    return both_sizes(option, (640, height), (344, height + 20))
