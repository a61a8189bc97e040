"""A waterfall: from one level to another by steps, each beginning where the one before ended."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate, pairwise
from typing import Any

from app.pictures.lines import GREY, PALE
from app.pictures.sizes import Drawn, both_sizes

GAIN = {"color": "#ffffff", "borderColor": "#14532d", "borderWidth": 2}
LOSS = {"color": "#9a3412", "borderColor": "#9a3412", "borderWidth": 2}
LEVEL = "#1f2937"


@dataclass(frozen=True)
class Step:
    """What changed, by how much, and the words beside its bar, which say its number and sign."""

    name: str
    change: float
    words: str


def waterfall(
    start: tuple[str, float, str], steps: Sequence[Step], end: tuple[str, float, str]
) -> Drawn:
    """Return the picture of `steps` between two levels: name, value and words of each.

    A loss is a full bar and a gain a hollow one. Only differences are drawn to scale: the levels
    are marks, for they stand far from nothing, and there is no axis to read a number from.
    """
    names = [start[0], *(step.name for step in steps), end[0]]
    levels = list(accumulate((step.change for step in steps), initial=start[1]))
    lowest, highest = min(*levels, end[1]), max(*levels, end[1])
    width = (highest - lowest) or 1.0
    # counted from a little below the lowest level, so that what carries a bar is never negative
    places = [level - lowest + 0.04 * width for level in levels]
    last = end[1] - lowest + 0.04 * width

    def option(narrow: bool) -> dict[str, Any]:
        return {
            "grid": {"left": 8, "right": 8, "top": 8, "bottom": 8, "containLabel": True},
            "xAxis": {"type": "value", "min": 0, "max": width * (1.5 if narrow else 1.22),
                      "show": False, "axisLabel": {"show": False}},
            "yAxis": {"type": "category", "inverse": True, "data": names,
                      "axisTick": {"show": False}, "axisLine": {"lineStyle": {"color": PALE}},
                      "axisLabel": {"color": LEVEL, "interval": 0,
                                    "width": 118 if narrow else 240, "overflow": "break"}},
            "series": [_carriers(places), _bars(steps), _marks(start, end, places[0], last, names),
                       _joints(places)],
        }  # fmt: skip

    height = 40 * len(names)
    return both_sizes(option, (880, 34 * len(names)), (344, height))


def _carriers(places: Sequence[float]) -> dict[str, Any]:
    """Return what is not seen and holds each bar where it belongs."""
    under = [min(pair) for pair in pairwise(places)]
    return {"type": "bar", "stack": "steps", "silent": True, "itemStyle": {"opacity": 0},
            "data": [0, *under, 0]}  # fmt: skip


def _bars(steps: Sequence[Step]) -> dict[str, Any]:
    return {
        "type": "bar", "stack": "steps", "silent": True, "barWidth": "56%",
        "data": [
            None,
            *(
                {"value": abs(step.change), "itemStyle": LOSS if step.change < 0 else GAIN,
                 "label": {"show": True, "position": "right", "formatter": step.words,
                           "color": LEVEL}}
                for step in steps
            ),
            None,
        ],
    }  # fmt: skip


def _marks(
    start: tuple[str, float, str], end: tuple[str, float, str], first: float, last: float,
    names: Sequence[str],
) -> dict[str, Any]:  # fmt: skip
    label = {"show": True, "position": "right", "color": LEVEL, "fontWeight": "bold"}
    return {
        "type": "scatter", "silent": True, "symbol": "diamond", "symbolSize": 13,
        "itemStyle": {"color": LEVEL, "opacity": 1},
        "data": [
            {"value": [first, 0], "label": {**label, "formatter": start[2]}},
            {"value": [last, len(names) - 1], "label": {**label, "formatter": end[2]}},
        ],
    }  # fmt: skip


def _joints(places: Sequence[float]) -> dict[str, Any]:
    """Return thin lines from where a step ends to where the next begins."""
    return {
        "type": "line", "silent": True, "data": [],
        "markLine": {
            "symbol": "none", "silent": True, "label": {"show": False},
            "lineStyle": {"color": GREY, "type": "dashed", "width": 1},
            "data": [
                [{"coord": [place, row]}, {"coord": [place, row + 1]}]
                for row, place in enumerate(places)
            ],
        },
    }  # fmt: skip
