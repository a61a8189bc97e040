"""Mean of an analysis that many sheets lack: taken once a day or a week, or where a mill likes.

Where most of a period was analysed its mean is by all that was carried, as of any analysis. Where
it was not, the sheets that have the analysis stand for the period, and the others take no part.
"""

from typing import Any

import numpy as np

from app.figures.declare import ENTERED, Figure, Values, figure
from app.figures.means import Named, by_weight, mean
from app.figures.sources import COMMON

# sums over the sheets that have an analysis: the weight of those sheets, and that of all
STAND_FOR: dict[str, tuple[str, str]] = {}


def _analysed(weight: Values, value: Values) -> Values:
    """The weight of a sheet on which the analysis was made; nothing of any other."""
    return np.where(np.isnan(value), 0.0, weight)


def _of_the_analysed(weight: Values, value: Values) -> Values:
    """The analysis times what carries it, on the sheets on which it was made."""
    return np.where(weight == 0, 0.0, weight * value / 100)


def _mean_of_the_analysed(carried: Values, weight: Values, _lacking: Values) -> Values:
    # the analysis itself is asked for so that it is named where no sheet has it
    return by_weight(carried, weight)


def seldom_mean(named: Named, station: str, note: str, *, of: str = "", by: str = "cane") -> Figure:
    """Declare the mean of a measure, given as name, title, unit and decimals; `note` tells of it.

    The measure is `of`, or has the name of the figure. `by` names the weight that carries it.
    """
    name, title, _, _ = named
    of = of or name
    weight, entered = by.replace("_", " "), ENTERED + of
    sums: dict[str, Any] = {
        "unit": "t", "decimals": 2, "source": COMMON, "station": station, "kind": "adds",
        "internal": True,
    }  # fmt: skip
    declared = mean(
        named, station, note, of=of, by=by,
        ending=f"; where most of it was not analysed, by the {weight} of the shifts that were.",
    )  # fmt: skip
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
    purity.otherwise("100 × pol ÷ brix", inputs=(f"{stream}_pol", f"{stream}_brix"))(by_weight)
