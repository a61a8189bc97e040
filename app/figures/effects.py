"""The effects of the evaporator, each by itself: water taken off, surface, coefficient.

Vessels under steam and vacuum scald and implode: work on them by the rules for pressure vessels
and the mill's permits.
"""

from collections.abc import Callable

import numpy as np

from app.chemistry import evaporation as relation
from app.chemistry.steam import latent_heat, saturation_pressure
from app.figures.conventions import Convention, convention
from app.figures.declare import ENTERED, Values, figure
from app.figures.seldom import seldom_mean
from app.figures.sources import COMMON, DEFINITION, FROM_MEMORY, HUGOT, READ, Source

STATION = "evaporation"
DESSIN = Source("Dessin's formula", FROM_MEMORY)
STEAM = Source("definition, with latent heat by IAPWS-IF97", READ)
EFFECTS = range(1, 7)
SURFACES = tuple(f"effect_{n}_surface" for n in EFFECTS)

for _n in EFFECTS:
    convention(
        Convention(
            f"effect_{_n}_surface",
            f"Heating surface of effect {_n}",
            0.0,
            "m²",
            COMMON,
            "All vessels that work as this effect. 0: not stated, and no rate is worked out.",
            high=50_000.0,
        )
    )


_HOT = "Juice and vapour scald: local codes and licensed practice rule."
for _n in EFFECTS:
    _brix = seldom_mean(
        (f"effect_{_n}_brix", f"Effect {_n}, brix", "°Bx", 2), STATION,
        f"Brix of the juice that leaves this effect. {_HOT}",
    )  # fmt: skip

    def _syrup_leaves(syrup_brix: Values, effects: Values, _lacking: Values, n: int = _n) -> Values:
        # the brix itself is asked for so that it is named where this is not the last effect
        return np.where(effects == n, syrup_brix, np.nan)

    _brix.otherwise(
        "syrup brix, of the last effect",
        inputs=("syrup_brix", "evaporator_effects", f"{ENTERED}effect_{_n}_brix"),
    )(_syrup_leaves)
    seldom_mean(
        (f"effect_{_n}_temperature", f"Effect {_n}, temperature", "°C", 1), STATION,
        "Temperature of the boiling juice, its elevation of boiling point and head taken in. "
        f"{_HOT}",
    )  # fmt: skip
    seldom_mean(
        (f"effect_{_n}_vapour_temperature", f"Effect {_n}, vapour temperature", "°C", 1), STATION,
        f"Temperature of the vapour that leaves it, at saturation. {_HOT}",
    )  # fmt: skip

for _prop, _unit in (("brix", "°Bx"), ("temperature", "°C"), ("vapour_temperature", "°C")):

    def _last(effects: Values, *each: Values) -> Values:
        """That of the last effect in use."""
        return np.select([effects == n for n in EFFECTS], np.broadcast_arrays(*each), np.nan)

    figure(
        f"Last effect, {_prop.replace('_', ' ')}", unit=_unit, decimals=2,
        formula="that of the last effect in use", source=DEFINITION, station=STATION,
        name=f"last_effect_{_prop}", internal=True,
        inputs=("evaporator_effects", *(f"effect_{n}_{_prop}" for n in EFFECTS)),
    )(_last)  # fmt: skip


@figure(
    "Heating surface of the evaporator", unit="m²", decimals=0,
    formula="Σ(surface), of the effects in use", source=DEFINITION, station=STATION,
    inputs=("evaporator_effects", *SURFACES),
)  # fmt: skip
def evaporator_surface(effects: Values, *surfaces: Values) -> Values:
    """Heating surface of all effects in use; none unless each of them is stated."""
    total = 0.0 * effects
    for n, surface in zip(EFFECTS, surfaces, strict=True):
        stated = np.where(surface > 0, surface, np.nan)
        total = total + np.where(n <= effects, stated, 0.0)
    return total


@figure(
    "Specific evaporation", unit="kg/m² h", decimals=1,
    formula="1000 × water evaporated ÷ (heating surface × hours crushing)",
    source=HUGOT, station=STATION,
)  # fmt: skip
def specific_evaporation(
    water_evaporated: Values, evaporator_surface: Values, crushing_hours: Values
) -> Values:
    """Water evaporated per heating surface and hour crushing, over the whole set.

    Quintuple 18 to 24, quadruple 22 to 30, triple 28 to 38 (common practice); it falls as tubes
    scale.
    """
    return relation.evaporation_rate(water_evaporated, evaporator_surface, crushing_hours)


def _share(n: int) -> Callable[..., Values]:
    def share(
        effects: Values, entering: Values, leaving: Values, juice: Values, last: Values
    ) -> Values:
        """Share of the water evaporated that this effect took off, from the brix of each.

        One juice goes from clear juice to the last effect, so that the shares make 100. None
        without the brix of every effect between.
        """
        taken = (1 / entering - 1 / leaving) / (1 / juice - 1 / last)
        return np.where(n <= effects, 100 * taken, np.nan)

    return share


def _water(water_evaporated: Values, share: Values) -> Values:
    """Water evaporated in this effect: its share of that of the whole set."""
    return water_evaporated * share / 100


def _rate(water: Values, surface: Values, hours: Values) -> Values:
    """Water evaporated per heating surface and hour crushing."""
    return relation.evaporation_rate(water, surface, hours)


def _coefficient(rate: Values, steam: Values, juice: Values) -> Values:
    """Evaporation per heating surface, hour and kelvin between heating steam and juice.

    Over 4 in a clean first effect, under 1 in the last (common practice).
    """
    return relation.evaporation_coefficient(rate, steam, juice)


def _expected(leaving: Values, steam: Values) -> Values:
    """The evaporation coefficient to be expected at this brix and temperature, by Dessin."""
    return relation.dessin_coefficient(leaving, steam)


def _against(actual: Values, expected: Values) -> Values:
    """Evaporation coefficient against Dessin's; its fall from week to week is scale."""
    return 100 * actual / expected


def _heat_transfer(coefficient: Values, vapour: Values) -> Values:
    """Heat transfer coefficient, from the evaporation coefficient and the latent heat of vapour.

    2000 to 3500 in the first effect, 400 to 900 in the last (common practice).
    """
    return relation.heat_transfer_coefficient(coefficient, latent_heat(saturation_pressure(vapour)))


def _declare(n: int) -> None:
    """Declare what belongs to effect `n`, each from the effect before it or from steam."""
    effect, before = f"effect_{n}", f"effect_{n - 1}"
    entering = "clear_juice_brix" if n == 1 else f"{before}_brix"
    heating = "evaporator_steam_temperature" if n == 1 else f"{before}_vapour_temperature"
    per_surface = (f"{effect}_water_evaporated", f"{effect}_surface", "crushing_hours")
    fall = (f"{effect}_specific_evaporation", heating, f"{effect}_temperature")
    for name, title, unit, decimals, formula, source, function, inputs in (
        ("evaporation_share", "share of water evaporated", "% of water evaporated", 1,
         "100 × (1 ÷ entering brix - 1 ÷ leaving brix) "
         "÷ (1 ÷ clear juice brix - 1 ÷ last effect's brix)", HUGOT, _share(n),
         ("evaporator_effects", entering, f"{effect}_brix", "clear_juice_brix",
          "last_effect_brix")),
        ("water_evaporated", "water evaporated", "t", 1,
         "water evaporated in all × share ÷ 100", HUGOT, _water,
         ("water_evaporated", f"{effect}_evaporation_share")),
        ("specific_evaporation", "specific evaporation", "kg/m² h", 1,
         "1000 × water evaporated ÷ (heating surface × hours crushing)", HUGOT, _rate,
         per_surface),
        ("evaporation_coefficient", "evaporation coefficient", "kg/m² h K", 2,
         "specific evaporation ÷ (heating steam temperature - juice temperature)", HUGOT,
         _coefficient, fall),
        ("dessin_coefficient", "Dessin's coefficient", "kg/m² h K", 2,
         "0.001 × (100 - leaving brix) × (heating steam temperature - 54)", DESSIN, _expected,
         (f"{effect}_brix", heating)),
        ("coefficient_on_dessin", "coefficient % of Dessin's", "% of Dessin's", 0,
         "100 × evaporation coefficient ÷ Dessin's coefficient", DESSIN, _against,
         (f"{effect}_evaporation_coefficient", f"{effect}_dessin_coefficient")),
        ("heat_transfer", "heat transfer coefficient", "W/m² K", 0,
         "evaporation coefficient × latent heat ÷ 3.6", STEAM, _heat_transfer,
         (f"{effect}_evaporation_coefficient", f"{effect}_vapour_temperature")),
    ):  # fmt: skip
        figure(
            f"Effect {n}, {title}", unit=unit, decimals=decimals, formula=formula, source=source,
            station=STATION, name=f"{effect}_{name}", inputs=inputs,
        )(function)  # fmt: skip


for _n in EFFECTS:
    _declare(_n)
