"""Lines over days, weeks or places: series with their limits, told apart without colour."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from app.pictures.sizes import Drawn, both_sizes, legend_lines

# of each further series: ink, dash and mark
STYLES = (
    ("#14532d", "solid", "circle"),
    ("#9a3412", "dashed", "rect"),
    ("#1e3a8a", "dotted", "triangle"),
    ("#6b21a8", [8, 3, 2, 3], "diamond"),
    ("#44403c", [2, 4], "emptyCircle"),
)
FLAG = {"symbol": "emptyCircle", "symbolSize": 12}
GREY, PALE = "#4b5563", "#d6d3d1"


@dataclass(frozen=True)
class Series:
    """One line: its name and a value, or None, at each place along the axis.

    `flagged` are the places whose mark is drawn large and hollow, as those a rule names.
    """

    name: str
    values: Sequence[float | None]
    flagged: frozenset[int] = frozenset()


@dataclass(frozen=True)
class Limit:
    """A level across the picture and its words; a `firm` one is drawn full, others dashed."""

    words: str
    value: float
    firm: bool = False


def lines(
    places: Sequence[str], series: Sequence[Series], unit: str, limits: Sequence[Limit] = ()
) -> Drawn:
    """Return a picture of lines over `places`; a missing value leaves a gap in its line."""
    several = len(series) > 1
    names = [one.name for one in series]

    def option(narrow: bool) -> dict[str, Any]:
        drawn = [_line(one, STYLES[n % len(STYLES)]) for n, one in enumerate(series)]
        return {
            "grid": {"left": 8, "right": 104 if limits and not narrow else 16,
                     "top": 32 + several * 24 * legend_lines(names, narrow), "bottom": 8,
                     "containLabel": True},
            "legend": {"show": several, "top": 0, "left": 0, "itemWidth": 36,
                       "data": names},
            "xAxis": {"type": "category", "data": list(places),
                      "axisLabel": {"hideOverlap": True, "color": GREY}},
            "yAxis": {"type": "value", "scale": True, "name": unit,
                      "nameTextStyle": {"align": "left", "color": GREY},
                      "splitLine": {"lineStyle": {"color": PALE}}, "axisLabel": {"color": GREY}},
            "series": [*drawn, _levels(limits, narrow)] if limits else drawn,
        }  # fmt: skip

    return both_sizes(option)


def _line(one: Series, style: tuple[str, Any, str]) -> dict[str, Any]:
    ink, dash, mark = style
    return {
        "type": "line", "name": one.name, "connectNulls": False,
        "symbol": mark, "symbolSize": 5, "showAllSymbol": True, "color": ink,
        "lineStyle": {"width": 2, "type": dash, "color": ink},
        "data": [
            {"value": value, **FLAG} if n in one.flagged else value
            for n, value in enumerate(one.values)
        ],
    }  # fmt: skip


def _levels(limits: Sequence[Limit], narrow: bool) -> dict[str, Any]:
    """Return the limits as a line that is not seen, so that the axis reaches them."""
    return {
        "type": "line", "silent": True, "symbol": "none", "lineStyle": {"opacity": 0},
        "data": [limit.value for limit in limits],
        "markLine": {
            "symbol": "none", "silent": True,
            "label": {"position": "insideEndTop" if narrow else "end", "color": GREY},
            "data": [
                {"yAxis": limit.value, "label": {"formatter": limit.words},
                 "lineStyle": {"type": "solid" if limit.firm else "dashed", "color": GREY}}
                for limit in limits
            ],
        },
    }  # fmt: skip
