"""What follows in a consignment of cane: pol and brix of the cane, and what it is worth in sugar.

Payment for cane follows the local agreement, with its own samples, constants and rounding: nothing
here is an account of payment.
"""

from math import isnan, nan

from app.chemistry import cane_quality as relation
from app.figures.cane_quality import AUSTRALIA
from app.figures.cane_received import (
    BY_CCS,
    BY_JAMAICA,
    BY_RV,
    FIRST_JUICE,
    JAMAICAN_JUICE,
    SAO_PAULO_JUICE,
)
from app.figures.of_records import follows
from app.figures.sources import COMMON, DEFINITION

BOOK = "consignments"

_POL_FROM = {
    FIRST_JUICE: relation.pol_in_cane_from_first_juice,
    JAMAICAN_JUICE: relation.pol_in_cane_from_jamaican_press,
    SAO_PAULO_JUICE: relation.pol_in_cane_from_sao_paulo_press,
}


@follows(
    BOOK, "Pol % cane", unit="% cane", decimals=2, source=AUSTRALIA,
    formula="by direct analysis, else from pol of juice and fibre by the convention in force",
)  # fmt: skip
def cane_pol(
    consignment_juice_of: str, pol: float = nan, juice_pol: float = nan, fibre: float = nan
) -> float:
    """Pol of the cane: that of the cane itself, else inferred from its juice."""
    if not isnan(pol):
        return pol
    return float(_POL_FROM[consignment_juice_of](juice_pol, fibre))


@follows(
    BOOK, "Brix % cane", unit="% cane", decimals=2, source=AUSTRALIA,
    formula="by direct analysis, else brix of first expressed juice × (100 - (fibre + 3)) ÷ 100",
)  # fmt: skip
def cane_brix(
    consignment_juice_of: str, brix: float = nan, juice_brix: float = nan, fibre: float = nan
) -> float:
    """Brix of the cane: that of the cane itself, else inferred from first expressed juice."""
    if not isnan(brix) or consignment_juice_of != FIRST_JUICE:
        return brix
    return float(relation.brix_in_cane_from_first_juice(juice_brix, fibre))


@follows(
    BOOK, "Recoverable sugar % cane", unit="% cane", decimals=2, source=COMMON,
    formula="by the rule in force: commercial cane sugar, recoverable value, Jamaican "
    "recoverable sugar, or none",
)  # fmt: skip
def recoverable(  # noqa: PLR0913, PLR0917  all that any of three rules takes
    cane_paid_by: str, pol_basis: str, consignment_juice_of: str, recoverable_value_d: float,
    recoverable_value_c: float, cane_pol: float = nan, cane_brix: float = nan, fibre: float = nan,
    juice_pol: float = nan, purity: float = nan,
) -> float:  # fmt: skip
    """Sugar that the cane is worth; recoverable value is of sucrose, never of pol."""
    if cane_paid_by == BY_CCS:
        return float(relation.commercial_cane_sugar_of_cane(cane_pol, cane_brix))
    if cane_paid_by == BY_RV and pol_basis == "sucrose":
        d, c = recoverable_value_d, recoverable_value_c
        return float(relation.recoverable_value(cane_pol, cane_brix, fibre, d, c))
    if cane_paid_by == BY_JAMAICA and consignment_juice_of == JAMAICAN_JUICE:
        return float(relation.jamaican_recoverable_sugar(juice_pol, purity, fibre))
    return nan


@follows(
    BOOK, "Recoverable sugar", unit="t", decimals=3, source=DEFINITION,
    formula="net × recoverable sugar % cane ÷ 100",
)  # fmt: skip
def recoverable_tonnes(net: float, recoverable: float) -> float:
    """Tonnes of sugar that the consignment is worth; no payment."""
    return net * recoverable / 100
