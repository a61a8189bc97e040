"""Sugar bagged: its pol, quality and equivalent standard granulated."""

from app.chemistry import recovery as relation
from app.figures.declare import Values, figure
from app.figures.sources import COMMON, DEFINITION, ISSCT

STATION = "drying_and_packing"


@figure(
    "Pol in sugar bagged",
    unit="t",
    decimals=2,
    formula="sugar × pol ÷ 100",
    source=DEFINITION,
    station=STATION,
    kind="adds",
)
def pol_in_sugar_bagged(sugar: Values, entered_sugar_pol: Values) -> Values:
    """Tonnes of pol in the sugar bagged."""
    return sugar * entered_sugar_pol / 100


@figure(
    "Water in sugar bagged",
    unit="t",
    decimals=3,
    formula="sugar × moisture ÷ 100",
    source=DEFINITION,
    station=STATION,
    kind="adds",
)
def water_in_sugar(sugar: Values, entered_sugar_moisture: Values) -> Values:
    """Tonnes of water in the sugar bagged."""
    return sugar * entered_sugar_moisture / 100


@figure(
    "Sugar purity",
    unit="%",
    decimals=2,
    formula="100 × pol ÷ (100 - moisture)",
    source=ISSCT,
    station=STATION,
)
def sugar_purity(pol_in_sugar_bagged: Values, sugar: Values, water_in_sugar: Values) -> Values:
    """Pol of the dry solids of sugar."""
    return 100 * pol_in_sugar_bagged / (sugar - water_in_sugar)


@sugar_purity.otherwise("100 × pol ÷ (100 - moisture)")
def _purity_of_a_sample(entered_sugar_pol: Values, entered_sugar_moisture: Values) -> Values:
    return 100 * entered_sugar_pol / (100 - entered_sugar_moisture)


@sugar_purity.otherwise("as entered")
def _purity_as_entered(entered_sugar_purity: Values) -> Values:
    return entered_sugar_purity


@figure(
    "Equivalent standard granulated % sugar",
    unit="% sugar",
    decimals=2,
    formula="1.4 × pol - 0.4 × (100 - moisture)",
    source=ISSCT,
    station=STATION,
)
def sugar_esg(pol_in_sugar_bagged: Values, sugar: Values, water_in_sugar: Values) -> Values:
    """Pure sugar obtainable from the sugar bagged, per 100 of it."""
    return relation.equivalent_standard_granulated(
        100 * pol_in_sugar_bagged / sugar, 100 * water_in_sugar / sugar
    )


@sugar_esg.otherwise("1.4 × pol - 0.4 × (100 - moisture)")
def _esg_of_a_sample(entered_sugar_pol: Values, entered_sugar_moisture: Values) -> Values:
    return relation.equivalent_standard_granulated(entered_sugar_pol, entered_sugar_moisture)


@figure(
    "Safety factor",
    unit="",
    decimals=2,
    formula="moisture ÷ (100 - pol)",
    source=COMMON,
    station=STATION,
)
def safety_factor(water_in_sugar: Values, sugar: Values, pol_in_sugar_bagged: Values) -> Values:
    """Water over all that is not pol; raw sugar keeps where it is under 0.25 (common practice)."""
    return water_in_sugar / (sugar - pol_in_sugar_bagged)


@safety_factor.otherwise("moisture ÷ (100 - pol)")
def _safety_factor_of_a_sample(entered_sugar_moisture: Values, entered_sugar_pol: Values) -> Values:
    return entered_sugar_moisture / (100 - entered_sugar_pol)


@figure(
    "Dilution indicator",
    unit="%",
    decimals=1,
    formula="100 × moisture ÷ (100 - pol - moisture)",
    source=COMMON,
    station=STATION,
)
def dilution_indicator(
    water_in_sugar: Values, sugar: Values, pol_in_sugar_bagged: Values
) -> Values:
    """Water over non-pol solids: 100 × safety factor ÷ (1 - safety factor)."""
    return 100 * water_in_sugar / (sugar - pol_in_sugar_bagged - water_in_sugar)


@dilution_indicator.otherwise("100 × moisture ÷ (100 - pol - moisture)")
def _dilution_of_a_sample(entered_sugar_moisture: Values, entered_sugar_pol: Values) -> Values:
    return 100 * entered_sugar_moisture / (100 - entered_sugar_pol - entered_sugar_moisture)
