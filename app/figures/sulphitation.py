"""Sulphitation of juice for plantation white sugar: sulphur, sulphur dioxide and lime.

Sulphur dioxide chokes, above all people with asthma: closed burners, ventilation, a detector,
breathing apparatus at hand. Local codes and licensed practice rule.
"""

from app.chemistry import lime as relation
from app.figures.clarification import MOLAR_MASSES, RULES
from app.figures.declare import Values, figure
from app.figures.means import mean
from app.figures.sources import COMMON, DEFINITION

STATION = "clarification"


@figure(
    "Sulphur burnt",
    unit="t",
    decimals=3,
    formula="as entered",
    source=DEFINITION,
    station=STATION,
    kind="adds",
)
def sulphur(entered_sulphur: Values) -> Values:
    """Sulphur weighed to the burners on each shift, summed.

    Its dust explodes, and the gas it burns to is poisonous: local codes and licensed practice rule.
    """
    return entered_sulphur


@figure(
    "Sulphur % cane",
    unit="% cane",
    decimals=3,
    formula="100 × sulphur ÷ cane",
    source=DEFINITION,
    station=STATION,
)
def sulphur_on_cane(sulphur: Values, cane: Values) -> Values:
    """Sulphur burnt per 100 of cane; 0.04 to 0.07 is usual (common practice).

    Lime with it: 0.13 to 0.22 % cane, as CaO. Sulphur dioxide is poisonous: local codes and
    licensed practice rule.
    """
    return 100 * sulphur / cane


@figure(
    "Sulphur dioxide per tonne cane",
    unit="kg/t cane",
    decimals=2,
    formula="1000 × sulphur × 64.058 ÷ 32.06 ÷ cane",
    source=MOLAR_MASSES,
    station=STATION,
)
def sulphur_dioxide_per_cane(sulphur: Values, cane: Values) -> Values:
    """Sulphur dioxide made if all sulphur burns to it: twice the sulphur.

    0.8 to 1.4 is usual (common practice). The gas is poisonous: local codes and licensed practice
    rule.
    """
    return 1000 * relation.sulphur_dioxide(sulphur) / cane


@figure(
    "Lime per sulphur, as CaO",
    unit="t/t",
    decimals=2,
    formula="active lime ÷ sulphur",
    source=COMMON,
    station=STATION,
)
def lime_per_sulphur(active_lime: Values, sulphur: Values) -> Values:
    """Active lime, as CaO, per tonne of sulphur; 1.75 is what the sulphite alone binds."""
    return active_lime / sulphur


_GAS = f"Hot, it gives off sulphur dioxide, which is poisonous: {RULES}"
_USUAL = "is usual where juice is sulphited (common practice)"
for _named, _by, _note in (
    (("sulphited_juice_ph", "Sulphited juice pH", "pH", 2), "mixed_juice",
     f"7.0 to 7.2 {_USUAL}. {_GAS}"),
    (("sulphited_juice_temperature", "Sulphited juice temperature", "°C", 1), "mixed_juice",
     f"70 to 75 {_USUAL}. {_GAS}"),
    (("clear_juice_sulphur_dioxide", "Sulphur dioxide in clear juice", "mg/kg", 0), "cane",
     f"200 to 500 {_USUAL}."),
    (("clear_juice_calcium_oxide", "Lime salts in clear juice, as CaO", "mg/L", 0), "cane",
     f"500 to 1100 {_USUAL}; they scale the evaporator."),
):  # fmt: skip
    mean(_named, STATION, _note, by=_by)

mean(
    ("syrup_sulphur_dioxide", "Sulphur dioxide in syrup", "mg/kg", 0), "evaporation",
    f"200 to 800 {_USUAL}. Some leaves with the vapour, and the rest is concentrated with the "
    f"juice. The gas is poisonous: {RULES}",
)  # fmt: skip
