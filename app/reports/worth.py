"""What a tonne of pol or of cane is worth in sugar, and sugar in money."""

import math
from dataclasses import dataclass

import numpy as np

from app.figures.effects_of_loss import CURRENCY, NO_CURRENCY, PRICE, sugar_of_pol
from app.figures.periods import Result
from app.reports.numbers import printed

POL_IN_SUGAR, SUGAR, PER_SUGAR = NEEDED = ("pol_in_sugar_bagged", "sugar", "cane_per_sugar")


@dataclass(frozen=True)
class Worth:
    """What a tonne of pol or of cane is in sugar, on the last days that tell, and its price."""

    sugar: float
    pol_in_sugar: float
    cane_per_sugar: float
    price: float
    currency: str

    def of_pol(self, pol: float) -> float:
        """Return tonnes of pol as sugar."""
        return sugar_of_pol(pol, self.sugar, self.pol_in_sugar)

    def of_cane(self, cane: float) -> float:
        """Return the sugar that cane would have made."""
        return cane / self.cane_per_sugar

    def amount(self, sugar: float) -> float:
        """Return what sugar would have brought; not a number where no price is stated."""
        return sugar * self.price if self.price else math.nan

    def money(self, sugar: float) -> str:
        """Return what sugar would have brought, as printed; empty where no price is stated."""
        amount = self.amount(sugar)
        if not math.isfinite(amount):
            return ""
        return f"{printed(amount, 0)}\u00a0{self.called}".rstrip()

    @property
    def called(self) -> str:
        """What the mill calls its money; empty where it does not say."""
        return "" if self.currency == NO_CURRENCY else self.currency


def worth_of(result: Result) -> Worth:
    """Return what tonnes are worth: on the day, else in its week, else in the season to date."""
    values, chosen = result.values, result.conventions
    with np.errstate(all="ignore"):
        made = (values[SUGAR] > 0) & (values[POL_IN_SUGAR] > 0)
        known = np.isfinite(values[PER_SUGAR]) & (values[PER_SUGAR] > 0)
    of_pol, of_cane = int(np.argmax(made)), int(np.argmax(known))
    return Worth(
        float(values[SUGAR][of_pol]), float(values[POL_IN_SUGAR][of_pol]),
        float(values[PER_SUGAR][of_cane]) if known.any() else math.nan,
        float(chosen[PRICE][0]), str(chosen[CURRENCY][0]),
    )  # fmt: skip
