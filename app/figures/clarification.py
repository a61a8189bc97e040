"""Mixed juice to clear juice: what is dosed, how much juice comes off, and its purity.

Quicklime burns skin and eyes and boils when it meets water; phosphoric acid burns; flocculant dust
irritates, and spilt powder makes a wet floor as slippery as ice; limed juice scalds. Local codes
and licensed practice rule.
"""

import numpy as np

from app.chemistry import lime as relation
from app.figures.conventions import Convention, convention
from app.figures.declare import ENTERED, Values, figure
from app.figures.means import mean
from app.figures.seldom import seldom_mean
from app.figures.sources import COMMON, DEFINITION, FROM_MEMORY, Source

STATION = "clarification"
RULES = "local codes and licensed practice rule."
MOLAR_MASSES = Source("molar masses, IUPAC abridged standard atomic weights", FROM_MEMORY)

WEIGHED = {
    "filter_wash": ("Filter wash water", "t", 1, ""),
    "phosphoric_acid": ("Phosphoric acid, as P₂O₅", "kg", 1, f"The acid burns: {RULES}"),
    "flocculant": ("Flocculant", "kg", 2, f"Its dust irritates, a wet floor is slippery: {RULES}"),
    "bagacillo": ("Bagacillo", "t", 2, ""),
}
AS_CALCIUM_OXIDE = {"lime_weighed": ("as CaO",)}
AS_BOUGHT = {"lime_weighed": ("as bought",)}
WEIGHED_JUICE = {"clear_juice_weight": ("weighed, else by brix balance", "weighed")}
BALANCED_JUICE = {"clear_juice_weight": ("weighed, else by brix balance", "by brix balance")}

for _declared in (
    Convention(
        "lime_weighed", "Lime is entered", "as CaO", "", COMMON,
        "As CaO: what is entered is the CaO in it that can act. As bought: lime as it was weighed, "
        "whose available CaO by titration is taken. Lime % cane is as CaO either way.",
        choices=("as CaO", "as bought"),
    ),
    Convention(
        "standing_available_lime", "Standing available CaO of lime", 0.0, "% lime", COMMON,
        "Taken where a period has no titration of its own. 0: not stated, and none is taken.",
    ),
    Convention(
        "clear_juice_weight", "Clear juice weight", "weighed, else by brix balance", "", COMMON,
        "By brix balance: brix in mixed juice less that of the juice in filter cake, over the brix "
        "of clear juice. What lime throws down, 1 to 4 % of the brix, then counts as clear juice.",
        choices=("weighed, else by brix balance", "weighed", "by brix balance"),
    ),
):  # fmt: skip
    convention(_declared)


for _name, (_title, _unit, _decimals, _caution) in WEIGHED.items():

    def _as_entered(entered: Values) -> Values:
        return entered

    _as_entered.__doc__ = f"What the scales and meters gave on each shift, summed. {_caution}"
    figure(
        _title, unit=_unit, decimals=_decimals, formula="as entered", source=DEFINITION,
        station=STATION, kind="adds", name=_name, inputs=(ENTERED + _name,),
    )(_as_entered)  # fmt: skip

seldom_mean(
    ("lime_available", "Available lime", "% lime", 1), STATION,
    "CaO of the lime as bought that can act, by titration; 75 to 95 is usual (common practice). "
    f"Quicklime and acid burn: {RULES}", by="lime",
)  # fmt: skip


@figure(
    "Active lime, as CaO", unit="t", decimals=3, formula="lime, as entered as CaO",
    source=COMMON, station=STATION, when=AS_CALCIUM_OXIDE,
)  # fmt: skip
def active_lime(lime: Values) -> Values:
    """Calcium oxide that can act: as entered, or available CaO of lime as bought.

    Quicklime burns skin and eyes: local codes and licensed practice rule.
    """
    return lime


@active_lime.otherwise("lime × available lime ÷ 100", when=AS_BOUGHT)
def _available(lime: Values, lime_available: Values) -> Values:
    return relation.available_lime(lime, lime_available)


@active_lime.otherwise("lime × standing available CaO ÷ 100", when=AS_BOUGHT)
def _by_standing(lime: Values, standing_available_lime: Values) -> Values:
    stated = np.where(standing_available_lime > 0, standing_available_lime, np.nan)
    return relation.available_lime(lime, stated)


@figure(
    "Lime % cane, as CaO", unit="% cane", decimals=3, formula="100 × active lime ÷ cane",
    source=COMMON, station=STATION,
)  # fmt: skip
def lime_on_cane(active_lime: Values, cane: Values) -> Values:
    """Active lime, as CaO, per 100 of cane.

    Defecation usually takes 0.05 to 0.10, sulphitation 0.13 to 0.22 (common practice). Quicklime
    burns skin and eyes: local codes and licensed practice rule.
    """
    return 100 * active_lime / cane


@figure(
    "Lime per tonne cane, as CaO", unit="kg/t cane", decimals=2,
    formula="1000 × active lime ÷ cane", source=COMMON, station=STATION,
)  # fmt: skip
def lime_per_cane(active_lime: Values, cane: Values) -> Values:
    """Active lime, as CaO, per tonne of cane.

    0.5 to 1.0 kg in defecation, 1.3 to 2.2 with SO₂ (common practice). Quicklime burns skin and
    eyes: local codes and licensed practice rule.
    """
    return 1000 * active_lime / cane


@figure(
    "Slaked lime per tonne cane", unit="kg/t cane", decimals=2,
    formula="1000 × active lime × 74.09 ÷ 56.08 ÷ cane, as Ca(OH)₂",
    source=MOLAR_MASSES, station=STATION,
)  # fmt: skip
def slaked_lime_per_cane(active_lime: Values, cane: Values) -> Values:
    """The same lime as calcium hydroxide, as it is in milk of lime.

    0.66 to 1.3 kg in defecation, 1.7 to 2.9 with SO₂ (common practice). It burns skin and eyes:
    local codes and licensed practice rule.
    """
    return 1000 * relation.slaked_lime(active_lime) / cane


mean(
    ("mixed_juice_phosphate", "Mixed juice phosphate, as P₂O₅", "mg/kg", 0), STATION,
    "Phosphate before any is added; 200 to 400 is usual, and below 250 to 300 some is added "
    "(common practice).",
    by="mixed_juice",
)  # fmt: skip


@figure(
    "Phosphate added, as P₂O₅", unit="mg/kg", decimals=0,
    formula="1000 × phosphoric acid ÷ mixed juice", source=DEFINITION, station=STATION,
)  # fmt: skip
def phosphate_added(phosphoric_acid: Values, mixed_juice: Values) -> Values:
    """Phosphate dosed, as P₂O₅, on mixed juice.

    Phosphoric acid burns: local codes and licensed practice rule.
    """
    return 1000 * phosphoric_acid / mixed_juice


@figure(
    "Phosphate in juice to liming, as P₂O₅", unit="mg/kg", decimals=0,
    formula="mixed juice phosphate + phosphate added", source=DEFINITION, station=STATION,
)  # fmt: skip
def phosphate_to_liming(mixed_juice_phosphate: Values, phosphate_added: Values) -> Values:
    """Phosphate of the juice and what was added to it.

    Clarity wants 250 to 300 or more (common practice).
    """
    return mixed_juice_phosphate + phosphate_added


@figure(
    "Flocculant on cane", unit="g/t cane", decimals=1, formula="1000 × flocculant ÷ cane",
    source=DEFINITION, station=STATION,
)  # fmt: skip
def flocculant_on_cane(flocculant: Values, cane: Values) -> Values:
    """Flocculant powder, g per tonne of cane, which is mg/kg; 2 to 5 is usual (common practice).

    Its dust irritates, and on a wet floor it is as slippery as ice: keep it dry, sweep it up; local
    codes and licensed practice rule.
    """
    return 1000 * flocculant / cane


@figure(
    "Bagacillo on cane", unit="kg/t cane", decimals=1, formula="1000 × bagacillo ÷ cane",
    source=DEFINITION, station=STATION,
)  # fmt: skip
def bagacillo_on_cane(bagacillo: Values, cane: Values) -> Values:
    """Bagacillo to the mud per tonne of cane; 4 to 8 kg is usual (common practice)."""
    return 1000 * bagacillo / cane


@figure(
    "Clear juice", unit="t", decimals=1, formula="as weighed", source=COMMON, station=STATION,
    kind="adds", when=WEIGHED_JUICE,
)  # fmt: skip
def clear_juice(entered_clear_juice: Values) -> Values:
    """Clear juice to the evaporator: weighed, or by the brix balance, by the convention.

    The balance leaves out what lime throws down and what the juice tanks gained or lost.
    """
    return entered_clear_juice


@clear_juice.otherwise(
    "100 × (brix in mixed juice - brix in filter cake) ÷ clear juice brix", when=BALANCED_JUICE
)
def _by_balance(
    brix_in_mixed_juice: Values, brix_in_filter_cake: Values, entered_clear_juice_brix: Values
) -> Values:
    return 100 * (brix_in_mixed_juice - brix_in_filter_cake) / entered_clear_juice_brix


@figure(
    "Brix in clear juice", unit="t", decimals=2, formula="clear juice × brix ÷ 100",
    source=DEFINITION, station=STATION, kind="adds",
)  # fmt: skip
def brix_in_clear_juice(clear_juice: Values, entered_clear_juice_brix: Values) -> Values:
    """Tonnes of dissolved solids in clear juice, on its weight by the convention."""
    return clear_juice * entered_clear_juice_brix / 100


@figure(
    "Pol in clear juice", unit="t", decimals=2, formula="clear juice × pol ÷ 100",
    source=DEFINITION, station=STATION, kind="adds",
)  # fmt: skip
def pol_in_clear_juice(clear_juice: Values, entered_clear_juice_pol: Values) -> Values:
    """Tonnes of pol in clear juice, on its weight by the convention."""
    return clear_juice * entered_clear_juice_pol / 100


@pol_in_clear_juice.otherwise("brix in clear juice × purity ÷ 100")
def _pol_from_purity(brix_in_clear_juice: Values, entered_clear_juice_purity: Values) -> Values:
    return brix_in_clear_juice * entered_clear_juice_purity / 100


@figure(
    "Clear juice % cane", unit="% cane", decimals=2, formula="100 × clear juice ÷ cane",
    source=DEFINITION, station=STATION,
)  # fmt: skip
def clear_juice_on_cane(clear_juice: Values, cane: Values) -> Values:
    """Clear juice per 100 of cane."""
    return 100 * clear_juice / cane


@figure(
    "Brix lost in clarification", unit="% brix in mixed juice", decimals=2,
    formula="100 × (brix in mixed juice - brix in filter cake - brix in clear juice weighed) "
    "÷ brix in mixed juice",
    source=COMMON, station=STATION,
)  # fmt: skip
def clarification_brix_loss(
    brix_in_mixed_juice: Values, brix_in_filter_cake: Values, brix_in_clear_juice_weighed: Values
) -> Values:
    """Brix found neither in clear juice nor in cake: thrown down by lime, lost, or a weight.

    Only where clear juice is weighed; within 1.5 either way the weights agree (common
    practice).
    """
    lost = brix_in_mixed_juice - brix_in_filter_cake - brix_in_clear_juice_weighed
    return 100 * lost / brix_in_mixed_juice


@figure(
    "Purity rise in clarification", unit="units", decimals=2,
    formula="clear juice purity - mixed juice purity", source=COMMON, station=STATION,
)  # fmt: skip
def clarification_purity_rise(clear_juice_purity: Values, mixed_juice_purity: Values) -> Values:
    """Usually 0.5 to 2; more than 3 is a difference of analysis (common practice).

    Part of it is optical: rotating non-sugars are removed, and clarifying agents differ.
    """
    return clear_juice_purity - mixed_juice_purity


_USUAL = "is usual (common practice)."
_HOT = f"Limed juice scalds: {RULES}"
for _named, _by, _note, _sum in (
    (("limed_juice_ph", "Limed juice pH", "pH", 2), "mixed_juice",
     f"Hot; 7.6 to 8.2 {_USUAL} {_HOT}", ""),
    (("limed_juice_temperature", "Limed juice temperature", "°C", 1), "mixed_juice",
     f"So that it flashes free of air 101 to 104 {_USUAL} {_HOT}", ""),
    (("clear_juice_brix", "Clear juice brix", "°Bx", 2), "cane", f"12 to 16 {_USUAL}",
     "clear_juice_brix_carried"),
    (("clear_juice_ph", "Clear juice pH", "pH", 2), "cane",
     f"Cold; 6.9 to 7.3 {_USUAL} Lower inverts sucrose, higher destroys reducing sugars. Clear "
     f"juice scalds where it is sampled: {RULES}", ""),
    (("clear_juice_turbidity", "Clear juice turbidity", "NTU", 0), "cane",
     "Bound to its method: never compare two.", ""),
):  # fmt: skip
    mean(_named, STATION, _note, by=_by, carried=_sum)
