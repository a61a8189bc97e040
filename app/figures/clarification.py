"""Mixed juice to syrup: clarification, filters and evaporation."""

from app.figures.declare import Values, figure
from app.figures.sources import COMMON, DEFINITION, HUGOT


@figure(
    "Pol in filter cake",
    unit="t",
    decimals=2,
    formula="filter cake × pol ÷ 100",
    source=DEFINITION,
    station="clarification",
    kind="adds",
)
def pol_in_filter_cake(filter_cake: Values, entered_filter_cake_pol: Values) -> Values:
    """Tonnes of pol leaving in filter cake, on its wet weight."""
    return filter_cake * entered_filter_cake_pol / 100


@figure(
    "Filter cake % cane",
    unit="% cane",
    decimals=2,
    formula="100 × filter cake ÷ cane",
    source=DEFINITION,
    station="clarification",
)
def filter_cake_on_cane(filter_cake: Values, cane: Values) -> Values:
    """Wet filter cake per 100 of cane."""
    return 100 * filter_cake / cane


@figure(
    "Lime % cane, as CaO",
    unit="% cane",
    decimals=3,
    formula="100 × lime ÷ cane",
    source=COMMON,
    station="clarification",
)
def lime_on_cane(lime: Values, cane: Values) -> Values:
    """Active lime, as CaO, per 100 of cane. Quicklime burns: handle by the mill's own rules."""
    return 100 * lime / cane


@figure(
    "Purity rise in clarification",
    unit="units",
    decimals=2,
    formula="clear juice purity - mixed juice purity",
    source=COMMON,
    station="clarification",
)
def clarification_purity_rise(clear_juice_purity: Values, mixed_juice_purity: Values) -> Values:
    """Usually about 1; more than 3 is a difference of analysis."""
    return clear_juice_purity - mixed_juice_purity


@figure(
    "Water evaporated % clear juice",
    unit="% clear juice",
    decimals=2,
    formula="100 × (1 - brix of clear juice ÷ brix of syrup)",
    source=HUGOT,
    station="evaporation",
)
def evaporation_on_clear_juice(
    clear_juice_brix_carried: Values, syrup_brix_carried: Values
) -> Values:
    """Water taken out in the evaporator, from the brix balance."""
    return 100 * (1 - clear_juice_brix_carried / syrup_brix_carried)


@evaporation_on_clear_juice.otherwise("100 × (1 - brix of clear juice ÷ brix of syrup)")
def _evaporation_of_a_sample(
    entered_clear_juice_brix: Values, entered_syrup_brix: Values
) -> Values:
    return 100 * (1 - entered_clear_juice_brix / entered_syrup_brix)
