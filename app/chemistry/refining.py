"""Cleaning of juice and sugar: mud filters, colour, the remelt. Percentages are 0 to 100.

Hot juice, mud and liquor scald, and dry sugar dust explodes; local codes and licensed practice
rule.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from app.chemistry.validity import within

Values = NDArray[np.float64]


def filter_retention(cake: ArrayLike, feed: ArrayLike, filtrate: ArrayLike) -> Values:
    """Return the insoluble solids of the feed that stay in filter cake, %.

    Insoluble solids % of cake, feed and filtrate; bagacillo added to the mud counts in feed. Needs
    no weights. Raises OutOfRange outside 0 to 100 and where feed does not lie between filtrate and
    cake. Source: balance of two products; 75 to 90 is usual (common practice).
    """
    cake, feed = within("cake", cake, 0, 100, "%"), within("feed", feed, 0, 100, "%")
    filtrate = within("filtrate", filtrate, 0, 100, "%")
    retained = 100 * ((feed - filtrate) / feed) * (cake / (cake - filtrate))
    return within("filter retention", retained, 0, 100, "%")


def colour_removal(before: ArrayLike, after: ArrayLike) -> Values:
    """Return the colour taken out, % of the colour `before`; colour made is below 0.

    Both by one method, not below 0; shapes broadcast. Source: definition.
    """
    before, after = within("colour", before, 0, np.inf), within("colour", after, 0, np.inf)
    return 100 * (before - after) / before


def refined_yield(refined: ArrayLike, melt: ArrayLike) -> Values:
    """Return refined sugar made, % of the melt; both as solids or both as pol, say which.

    With stock in process counted in both, 94 to 98.5 is usual (common practice).
    Source: definition.
    """
    return 100 * within("refined sugar", refined, 0, np.inf) / within("melt", melt, 0, np.inf)


def melt_loss(melted: ArrayLike, out: ArrayLike, stock_change: ArrayLike = 0.0) -> Values:
    """Return the solids lost, % of the solids `melted`.

    `out` is what left in sugar, syrup and molasses, `stock_change` closing less opening stock in
    process; solids in one unit. Below 0 is a fault of measuring, and is shown.
    Source: definition; 0.4 to 1.5 is usual (common practice).
    """
    melted = within("solids melted", melted, 0, np.inf)
    return 100 * (melted - np.asarray(out, float) - np.asarray(stock_change, float)) / melted
