"""Sucrose lost on the way that no scale sees: inverted while hot, and carried over with vapour.

The inversion is an estimate by a rate law, to tell where it is worth looking; reducing sugars tell
it by analysis. Acid, lime and hot juice hurt: lower no pH to try a loss.
"""

import numpy as np

from app.chemistry import inversion as relation
from app.chemistry.density import sucrose_solution_density
from app.figures.conventions import Convention, convention
from app.figures.declare import ENTERED, Values, figure
from app.figures.effects import EFFECTS
from app.figures.means import mean
from app.figures.seldom import seldom_mean
from app.figures.sources import COMMON, DEFINITION, FROM_MEMORY, Source

VUKOV = Source("Vukov, rate of inversion of sucrose", FROM_MEMORY)
WATER = "water"
_NOT_STATED = "0: not stated, and no estimate is made."
_STATED = f"Volume held over flow, less than the tank. {_NOT_STATED}"
BY_VUKOV = (
    "by Vukov log₁₀ k = 16.91 + log₁₀(d - c) - 5670 ÷ T - pH: k per minute, d the density of a "
    "sucrose solution of that brix and temperature, at most 100 °C, in g/mL, "
    "c = d × brix × purity ÷ 10 000, T in K, pH of cold juice less the drop of hot juice"
)

for _declared in (
    Convention(
        "clarifier_hold", "Time that juice is held hot in clarifiers", 0.0, "h", COMMON,
        "Volume held over flow: some 20 minutes without trays, up to 3 h with trays; 0.7 to 3 is "
        f"usual (common practice). {_NOT_STATED}", high=12.0,
    ),
    Convention(
        "sulphited_juice_hold", "Time that sulphited juice is held", 0.0, "min", COMMON, _STATED,
        high=240.0,
    ),
    Convention(
        "effect_hold", "Time that juice is held in each effect", 0.0, "min", COMMON, _STATED,
        high=240.0,
    ),
    Convention(
        "hot_ph_drop", "pH of cold juice less that of hot juice", 0.45, "pH", COMMON,
        "Cold pH is 0.3 to 0.6 above hot pH; without it the loss is understated two- to fourfold.",
        high=1.5,
    ),
):  # fmt: skip
    convention(_declared)


def _rate(brix: Values, purity: Values, ph: Values, temperature: Values) -> Values:
    """Rate of inversion per minute in such juice, its pH that at temperature."""
    # the density is known to 100 °C; beyond it falls by less than 0.1 % a kelvin
    density = sucrose_solution_density(brix, np.minimum(temperature, 100))
    return relation.inversion_rate(ph, temperature, density, density * brix * purity / 10000)


def _if_stated(hold: Values) -> Values:
    return np.where(hold > 0, hold, np.nan)


@figure(
    "Inversion in clarifiers, estimated", unit="% pol in clear juice", decimals=3,
    formula=f"100 × (1 - exp(-k × 60 × hours held)), {BY_VUKOV}",
    source=VUKOV, station="clarification",
)  # fmt: skip
def clarifier_inversion_estimate(
    clear_juice_brix: Values,
    clear_juice_purity: Values,
    clear_juice_ph: Values,
    limed_juice_temperature: Values,
    clarifier_hold: Values,
    hot_ph_drop: Values,
) -> Values:
    """An estimate of the sucrose inverted in clarifiers, from pH, temperature and time.

    At the temperature of limed juice, from which it flashes and cools: rather high. It grows
    tenfold for one pH less, 2.6-fold for 10 °C more. Over a period it is taken at the means. Lower
    no pH to try it; hot juice scalds: local codes and licensed practice rule.
    """
    ph = clear_juice_ph - hot_ph_drop
    rate = _rate(clear_juice_brix, clear_juice_purity, ph, limed_juice_temperature)
    return relation.inversion_loss(rate, 60 * _if_stated(clarifier_hold))


@figure(
    "Inversion at sulphitation, estimated", unit="% pol in mixed juice", decimals=3,
    formula=f"100 × (1 - exp(-k × minutes held)), {BY_VUKOV}",
    source=VUKOV, station="clarification",
)  # fmt: skip
def sulphitation_inversion_estimate(
    brix_in_mixed_juice: Values,
    net_mixed_juice: Values,
    mixed_juice_purity: Values,
    sulphited_juice_ph: Values,
    sulphited_juice_temperature: Values,
    sulphited_juice_hold: Values,
    hot_ph_drop: Values,
) -> Values:
    """An estimate of the sucrose inverted in sulphited juice, at the brix of mixed juice.

    Negligible near pH 7; let it stand at pH 5 and it is not. Sulphur dioxide is poisonous: local
    codes and licensed practice rule.
    """
    brix = 100 * brix_in_mixed_juice / net_mixed_juice
    ph = sulphited_juice_ph - hot_ph_drop
    rate = _rate(brix, mixed_juice_purity, ph, sulphited_juice_temperature)
    return relation.inversion_loss(rate, _if_stated(sulphited_juice_hold))


@figure(
    "Inversion in the evaporator, estimated", unit="% pol in clear juice", decimals=3,
    formula=f"100 × (1 - exp(-Σ(k) × minutes held in each)), k of each effect {BY_VUKOV}",
    source=VUKOV, station="evaporation",
    inputs=(
        "evaporator_effects", "clear_juice_purity", "clear_juice_ph", "syrup_ph", "effect_hold",
        "hot_ph_drop", *(f"effect_{n}_brix" for n in EFFECTS),
        *(f"effect_{n}_temperature" for n in EFFECTS),
    ),
)  # fmt: skip
def evaporator_inversion_estimate(
    effects: Values,
    purity: Values,
    juice_ph: Values,
    syrup_ph: Values,
    hold: Values,
    drop: Values,
    *each: Values,
) -> Values:
    """An estimate of the sucrose inverted over all effects, each at its leaving brix.

    pH is taken to fall evenly from clear juice to syrup, effect by effect. None without brix and
    temperature of every effect. Over a period it is taken at the means.
    """
    total = 0.0 * effects
    for n in EFFECTS:
        brix, temperature = each[n - 1], each[len(EFFECTS) + n - 1]
        ph = juice_ph + (syrup_ph - juice_ph) * n / effects - drop
        total = total + np.where(n <= effects, _rate(brix, purity, ph, temperature), 0.0)
    return relation.inversion_loss(total, _if_stated(hold))


@figure(
    "Condenser water", unit="t", decimals=0, formula="as entered", source=DEFINITION,
    station=WATER, kind="adds", inputs=(ENTERED + "condenser_outlet",),
)  # fmt: skip
def condenser_outlet(entered: Values) -> Values:
    """Water leaving the condensers, by its meter or pumps, on each shift and summed."""
    return entered


@figure(
    "Condenser water per tonne cane", unit="t/t cane", decimals=1,
    formula="condenser water ÷ cane", source=DEFINITION, station=WATER,
)  # fmt: skip
def condenser_water_per_cane(condenser_outlet: Values, cane: Values) -> Values:
    """Condenser water per tonne of cane.

    8 to 14 for a house of three boilings (common practice).
    """
    return condenser_outlet / cane


for _name, _title in (
    ("condenser_inlet_sugar_trace", "Sugar in condenser water, entering"),
    ("condenser_outlet_sugar_trace", "Sugar in condenser water, leaving"),
):
    seldom_mean(
        (_name, _title, "mg/kg", 1), WATER,
        "Sugar carried over with vapour; 2 to 15 leaving is usual, from 50 it is an alarm (common "
        "practice).",
    )  # fmt: skip

mean(
    ("condensate_sugar_trace", "Sugar in condensate", "mg/kg", 1), WATER,
    "0 to 10 is usual; from 20 it is kept out of the boilers, which foam and corrode by it (common "
    "practice).",
    by="steam",
)  # fmt: skip


@figure(
    "Pol carried over to the condensers", unit="t", decimals=3,
    formula="condenser water × (sugar out - sugar in) ÷ 1 000 000, sugar in mg/kg",
    source=DEFINITION, station=WATER,
)  # fmt: skip
def pol_entrained(
    condenser_outlet: Values,
    condenser_outlet_sugar_trace: Values,
    condenser_inlet_sugar_trace: Values,
) -> Values:
    """Pol that left with vapour, from the sugar that condenser water took up.

    Over a period at the mean traces. It is part of undetermined, and is not taken out of it.
    """
    return relation.entrainment_loss(
        condenser_outlet, condenser_outlet_sugar_trace, condenser_inlet_sugar_trace
    )


@figure(
    "Loss by entrainment", unit="per 100 pol in cane", decimals=3,
    formula="100 × pol carried over ÷ pol in cane", source=DEFINITION, station=WATER,
)  # fmt: skip
def entrainment_loss(pol_entrained: Values, pol_in_cane: Values) -> Values:
    """Pol carried over per 100 of pol in cane: 10 mg/kg in 10 t of water per t cane is 0.07."""
    return 100 * pol_entrained / pol_in_cane
