"""Mean of an analysis that many sheets lack: taken once a day or a week, or where a mill likes.

Where most of a period was analysed its mean is by all that was carried, as of any analysis. Where
it was not, the sheets that have the analysis stand for the period, and the others take no part.
"""

from typing import Any

import numpy as np

from app.figures.declare import ENTERED, Figure, Values, figure
from app.figures.sources import COMMON

Named = tuple[str, str, str, int]

# sums over the sheets that have an analysis: the weight of those sheets, and that of all
STAND_FOR: dict[str, tuple[str, str]] = {}


def _carried(weight: Values, value: Values) -> Values:
    """The analysis times what carries it."""
    return weight * value / 100


def _analysed(weight: Values, value: Values) -> Values:
    """The weight of a sheet on which the analysis was made; nothing of any other."""
    return np.where(np.isnan(value), 0.0, weight)


def _of_the_analysed(weight: Values, value: Values) -> Values:
    """The analysis times what carries it, on the sheets on which it was made."""
    return np.where(weight == 0, 0.0, weight * value / 100)


def _mean(carried: Values, weight: Values) -> Values:
    return 100 * carried / weight


def _mean_of_the_analysed(carried: Values, weight: Values, _lacking: Values) -> Values:
    # the analysis itself is asked for so that it is named where no sheet has it
    return 100 * carried / weight


def _same(value: Values) -> Values:
    return value


def seldom_mean(named: Named, station: str, note: str, *, of: str = "", by: str = "cane") -> Figure:
    """Declare the mean of a measure, given as name, title, unit and decimals; `note` tells of it.

    The measure is `of`, or has the name of the figure. `by` names the weight that carries it.
    """
    name, title, unit, decimals = named
    of = of or name
    weight, entered = by.replace("_", " "), ENTERED + of
    sums: dict[str, Any] = {
        "unit": "t", "decimals": 2, "source": COMMON, "station": station, "kind": "adds",
        "internal": True,
    }  # fmt: skip
    figure(
        f"{title}, carried by {weight}", formula=f"{weight} × value ÷ 100",
        name=f"{of}_carried", inputs=(by, entered), **sums,
    )(_carried)  # fmt: skip
    figure(
        f"{title}, {weight} of the sheets that have it", formula=f"{weight}, where analysed",
        name=f"{of}_analysed", inputs=(by, entered), **sums,
    )(_analysed)  # fmt: skip
    figure(
        f"{title}, carried by {weight} of the sheets that have it",
        formula=f"{weight} × value ÷ 100, where analysed",
        name=f"{of}_of_the_analysed", inputs=(f"{of}_analysed", entered), **sums,
    )(_of_the_analysed)  # fmt: skip

    STAND_FOR[f"{of}_of_the_analysed"] = (f"{of}_analysed", by)

    def mean_by_weight(carried: Values, weight: Values) -> Values:
        return _mean(carried, weight)

    mean_by_weight.__doc__ = (
        f"{note} Over a period, its mean by {weight}; where most of it was not analysed, by the "
        f"{weight} of the shifts that were."
    )
    declared = figure(
        title, unit=unit, decimals=decimals, source=COMMON, station=station, name=name,
        formula=f"Σ({weight} × value) ÷ Σ({weight})", inputs=(f"{of}_carried", by),
    )(mean_by_weight)  # fmt: skip
    declared.otherwise("as entered", inputs=(entered,))(_same)
    declared.otherwise(
        f"Σ({weight} × value) ÷ Σ({weight}), of the shifts that were analysed",
        inputs=(f"{of}_of_the_analysed", f"{of}_analysed", entered),
    )(_mean_of_the_analysed)
    return declared


def seldom_juice(stream: str, title: str, station: str, note: str) -> None:
    """Declare brix, pol and purity of a juice that is seldom analysed; `note` tells of it."""
    seldom_mean((f"{stream}_brix", f"{title} brix", "°Bx", 2), station, note)
    seldom_mean((f"{stream}_pol", f"{title} pol", "%", 2), station, note)
    purity = seldom_mean(
        (f"{stream}_purity", f"{title} purity", "%", 2), station,
        f"{note} The purity as entered; where it was not, pol in 100 of brix.",
    )  # fmt: skip
    purity.otherwise("100 × pol ÷ brix", inputs=(f"{stream}_pol", f"{stream}_brix"))(_mean)
