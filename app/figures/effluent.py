"""Effluent: how much leaves, what oxygen it asks for, and the sugar that goes with it.

What may be let out is local law: no limit is given here.
"""

from app.figures.declare import ENTERED, Values, figure
from app.figures.means import mean
from app.figures.sources import COMMON, DEFINITION, Source

STATION = "water"
VOLUME = "effluent_volume"
STOICHIOMETRY = Source("C₁₂H₂₂O₁₁ + 12 O₂ → 12 CO₂ + 11 H₂O: 12 × 31.998 ÷ 342.30", DEFINITION.mark)
OXYGEN_PER_SUCROSE = 12 * 31.998 / 342.30


def _as_entered(entered: Values) -> Values:
    """What left the mill as waste water, summed."""
    return entered


figure(
    "Effluent", unit="m³", decimals=0, formula="as entered", source=DEFINITION, station=STATION,
    kind="adds", name=VOLUME, inputs=(ENTERED + VOLUME,),
)(_as_entered)  # fmt: skip

for _name, _title, _unit, _decimals in (
    ("ph", "pH", "pH", 2),
    ("temperature", "temperature", "°C", 1),
    ("chemical_oxygen_demand", "chemical oxygen demand", "mg/L", 0),
    ("biochemical_oxygen_demand", "biochemical oxygen demand, 5 days", "mg/L", 0),
    ("suspended_matter", "suspended matter", "mg/L", 0),
    ("sugar_trace", "sugar", "mg/kg", 0),
):
    mean(
        (f"effluent_{_name}", f"Effluent, {_title}", _unit, _decimals), STATION,
        f"The {_title} of what left as waste water.", by=VOLUME,
    )  # fmt: skip


@figure(
    "Effluent per tonne of cane", unit="m³/t cane", decimals=2, formula="effluent ÷ cane",
    source=DEFINITION, station=STATION,
)  # fmt: skip
def effluent_per_cane(effluent_volume: Values, cane: Values) -> Values:
    """Waste water for each tonne of cane crushed; rain and cooling water may be in it."""
    return effluent_volume / cane


@figure(
    "Oxygen demand of effluent", unit="t", decimals=3,
    formula="effluent × chemical oxygen demand ÷ 1000000", source=DEFINITION, station=STATION,
    kind="adds",
)  # fmt: skip
def effluent_oxygen_demand(
    entered_effluent_volume: Values, entered_effluent_chemical_oxygen_demand: Values
) -> Values:
    """Oxygen that the effluent asks for, by its chemical oxygen demand in mg/L."""
    return entered_effluent_volume * entered_effluent_chemical_oxygen_demand / 1e6


@figure(
    "Oxygen demand of effluent per tonne of cane", unit="kg/t cane", decimals=3,
    formula="1000 × oxygen demand ÷ cane", source=DEFINITION, station=STATION,
)  # fmt: skip
def effluent_oxygen_demand_on_cane(effluent_oxygen_demand: Values, cane: Values) -> Values:
    """Load of the effluent for each tonne of cane crushed."""
    return 1000 * effluent_oxygen_demand / cane


@figure(
    "Sugar in effluent", unit="t", decimals=3,
    formula="effluent × sugar ÷ 1000000, a m³ taken as a tonne", source=COMMON, station=STATION,
    kind="adds",
)  # fmt: skip
def pol_in_effluent(
    entered_effluent_volume: Values, entered_effluent_sugar_trace: Values
) -> Values:
    """Sugar that left with waste water, by its trace in mg/kg; a part of the undetermined loss.

    It is not taken from the account once more: nothing weighs it there.
    """
    return entered_effluent_volume * entered_effluent_sugar_trace / 1e6


@figure(
    "Sugar in effluent % pol in cane", unit="per 100 pol in cane", decimals=3,
    formula="100 × sugar in effluent ÷ pol in cane", source=DEFINITION, station=STATION,
)  # fmt: skip
def effluent_loss(pol_in_effluent: Values, pol_in_cane: Values) -> Values:
    """How much of the undetermined loss went out with waste water, as far as traces tell."""
    return 100 * pol_in_effluent / pol_in_cane


@figure(
    "Oxygen demand of effluent from sugar", unit="%", decimals=0,
    formula="100 × 1.1217 × sugar in effluent ÷ oxygen demand", source=STOICHIOMETRY,
    station=STATION,
)  # fmt: skip
def effluent_demand_from_sugar(pol_in_effluent: Values, effluent_oxygen_demand: Values) -> Values:
    """Share of the chemical oxygen demand that the sugar accounts for, burnt to the end.

    Over 100 one of the two analyses is wrong.
    """
    return 100 * OXYGEN_PER_SUCROSE * pol_in_effluent / effluent_oxygen_demand
