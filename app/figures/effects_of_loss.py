"""What a loss of some days is worth in sugar, and sugar in money.

The parts of a change of recovery are pol that did not come out as sugar; they add up, as they share
out one change (see points.py). Sugar not made for want of time or rate stands apart: its cane is
not lost, and may still be crushed.
"""

import math

from app.figures.conventions import Convention, convention
from app.figures.sources import COMMON

PRICE, CURRENCY = "sugar_price", "sugar_price_currency"
NO_CURRENCY = "none"

convention(
    Convention(
        PRICE, "Price of a tonne of sugar", 0.0, "per t", COMMON,
        "What a tonne of sugar more would have brought: by it the morning report tells losses in "
        "money. 0 is no price: nothing is told in money. It enters no figure.",
        high=1e9,
    )
)  # fmt: skip
convention(
    Convention(
        CURRENCY, "Currency of the price of sugar", NO_CURRENCY, "", COMMON,
        "How the mill writes its money, as it shall stand behind an amount.", longest=8,
    )
)  # fmt: skip


def sugar_of_pol(pol: float, sugar: float, pol_in_sugar: float) -> float:
    """Return the tonnes of sugar, as it was bagged, that hold so many tonnes of pol.

    Not a number where no sugar was bagged.
    """
    return pol * sugar / pol_in_sugar if pol_in_sugar > 0 else math.nan


def cane_not_crushed(hours: float, rate: float, wanted: tuple[float, float]) -> tuple[float, float]:
    """Return the cane not crushed for want of hours, and of rate; `wanted` are both as aimed at.

    Each is taken at the mean of what the other was and should have been, so that both add to the
    cane not crushed and neither goes first. A mill that stood has no rate: all is want of hours.
    Below zero is cane crushed beyond what was aimed at.
    """
    hours_wanted, rate_wanted = wanted
    rate = rate if hours > 0 else rate_wanted
    return (
        (hours_wanted - hours) * (rate + rate_wanted) / 2,
        (rate_wanted - rate) * (hours + hours_wanted) / 2,
    )
