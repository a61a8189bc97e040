"""Mud filters: what leaves in cake, and how much of the mud they hold back.

Mud and filtrate scald, and vacuum filters turn with open edges: local codes and the mill's own
rules come first.
"""

from app.chemistry import refining as relation
from app.figures.declare import Values, figure
from app.figures.means import mean
from app.figures.seldom import seldom_mean
from app.figures.sources import COMMON, COMMON_PRACTICE, DEFINITION, Source

STATION = "clarification"
TWO_PRODUCTS = Source("balance of two products, by algebra", COMMON_PRACTICE)


@figure(
    "Pol in filter cake",
    unit="t",
    decimals=2,
    formula="filter cake × pol ÷ 100",
    source=DEFINITION,
    station=STATION,
    kind="adds",
)
def pol_in_filter_cake(filter_cake: Values, entered_filter_cake_pol: Values) -> Values:
    """Tonnes of pol leaving in filter cake, on its wet weight."""
    return filter_cake * entered_filter_cake_pol / 100


@figure(
    "Water in filter cake",
    unit="t",
    decimals=1,
    formula="filter cake × moisture ÷ 100",
    source=DEFINITION,
    station=STATION,
    kind="adds",
)
def water_in_filter_cake(filter_cake: Values, entered_filter_cake_moisture: Values) -> Values:
    """Tonnes of water leaving in filter cake."""
    return filter_cake * entered_filter_cake_moisture / 100


@figure(
    "Brix in filter cake",
    unit="t",
    decimals=2,
    formula="100 × pol in filter cake ÷ filtrate purity",
    source=COMMON,
    station=STATION,
    kind="adds",
)
def brix_in_filter_cake(pol_in_filter_cake: Values, filtrate_purity: Values) -> Values:
    """Dissolved solids in the juice of the cake, from its pol.

    At the purity of filtrate; where that is not known, of clear juice, which is a little higher.
    """
    return 100 * pol_in_filter_cake / filtrate_purity


@brix_in_filter_cake.otherwise("100 × pol in filter cake ÷ clear juice purity")
def _at_clear_juice_purity(pol_in_filter_cake: Values, clear_juice_purity: Values) -> Values:
    return 100 * pol_in_filter_cake / clear_juice_purity


@figure(
    "Filter cake % cane",
    unit="% cane",
    decimals=2,
    formula="100 × filter cake ÷ cane",
    source=DEFINITION,
    station=STATION,
)
def filter_cake_on_cane(filter_cake: Values, cane: Values) -> Values:
    """Wet filter cake per 100 of cane; 3 to 5 is usual (common practice)."""
    return 100 * filter_cake / cane


@figure(
    "Filter wash % cake",
    unit="% cake",
    decimals=0,
    formula="100 × filter wash ÷ filter cake",
    source=DEFINITION,
    station=STATION,
)
def filter_wash_on_cake(filter_wash: Values, filter_cake: Values) -> Values:
    """Wash water per 100 of wet cake; 100 to 150 is usual (common practice).

    More only loads the evaporator.
    """
    return 100 * filter_wash / filter_cake


@figure(
    "Filter wash % cane",
    unit="% cane",
    decimals=2,
    formula="100 × filter wash ÷ cane",
    source=DEFINITION,
    station=STATION,
)
def filter_wash_on_cane(filter_wash: Values, cane: Values) -> Values:
    """Wash water per 100 of cane: all of it is evaporated again."""
    return 100 * filter_wash / cane


_USUAL = "is usual (common practice)."
_HOT = "Mud and filtrate scald: local codes and licensed practice rule."
mean(
    ("filter_cake_pol", "Filter cake pol", "%", 2), STATION,
    f"0.8 to 2.5 {_USUAL}", by="filter_cake", carried="pol_in_filter_cake",
)  # fmt: skip
mean(
    ("filter_cake_moisture", "Filter cake moisture", "%", 1), STATION,
    f"70 to 78 {_USUAL}", by="filter_cake", carried="water_in_filter_cake",
)  # fmt: skip
mean(
    ("filter_cake_suspended_solids", "Insoluble solids in filter cake", "%", 1), STATION,
    f"Dry insoluble solids in 100 of wet cake; 15 to 28 {_USUAL}", by="filter_cake",
)  # fmt: skip
mean(
    ("filtrate_suspended_solids", "Insoluble solids in filtrate", "%", 2), STATION,
    f"What passes the screens and comes back to the clarifier; 0.5 to 2 {_USUAL} {_HOT}",
)  # fmt: skip
seldom_mean(
    ("mud_suspended_solids", "Insoluble solids in mud", "%", 1), STATION,
    f"Dry insoluble solids in 100 of mud underflow; 5 to 10 {_USUAL} {_HOT}",
)  # fmt: skip


@figure(
    "Filter retention",
    unit="% insolubles in mud",
    decimals=1,
    formula="100 × cake × (mud - filtrate) ÷ (mud × (cake - filtrate)), insoluble solids % of each",
    source=TWO_PRODUCTS,
    station=STATION,
)
def filter_retention(
    filter_cake_suspended_solids: Values,
    mud_suspended_solids: Values,
    filtrate_suspended_solids: Values,
) -> Values:
    """Insoluble solids of the mud that stay in the cake; 75 to 90 is usual (common practice).

    It needs no weights. Mud is sampled as it enters the filter, with its bagacillo, or bagacillo is
    taken out of both.
    """
    return relation.filter_retention(
        filter_cake_suspended_solids, mud_suspended_solids, filtrate_suspended_solids
    )


@figure(
    "Purity drop from clear juice to filtrate",
    unit="units",
    decimals=2,
    formula="clear juice purity - filtrate purity",
    source=COMMON,
    station=STATION,
)
def filtrate_purity_drop(clear_juice_purity: Values, filtrate_purity: Values) -> Values:
    """About 1.5 and at most 4 is usual (common practice).

    More tells of inversion or bacteria in the mud.
    """
    return clear_juice_purity - filtrate_purity
