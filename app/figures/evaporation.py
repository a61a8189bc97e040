"""Evaporation: clear juice to syrup, water taken off, steam used, and the last effect's boiling.

Juice, vapour and condensate scald, and cleaning with caustic or acid burns: vessels are opened by
the rules for pressure vessels and the mill's permits.
"""

from app.chemistry import evaporation as relation
from app.chemistry.boiling_point import boiling_point_elevation
from app.chemistry.steam import saturation_pressure
from app.figures.declare import Values, figure
from app.figures.means import mean
from app.figures.sources import COMMON, DEFINITION, HUGOT, READ, Source

STATION = "evaporation"
STARZAK_PEACOCK = Source("Starzak and Peacock, activity of water; with IAPWS-IF97", READ)


@figure(
    "Water evaporated",
    unit="t",
    decimals=1,
    formula="clear juice × (1 - clear juice brix ÷ syrup brix)",
    source=HUGOT,
    station=STATION,
    kind="adds",
)
def water_evaporated(
    clear_juice: Values, entered_clear_juice_brix: Values, entered_syrup_brix: Values
) -> Values:
    """Water taken off from clear juice to syrup, from the brix balance.

    Wash and movement water are in it; cleaning days break it.
    """
    part = relation.water_evaporated(entered_clear_juice_brix, entered_syrup_brix)
    return clear_juice * part / 100


@figure(
    "Water evaporated % clear juice",
    unit="% clear juice",
    decimals=2,
    formula="100 × water evaporated ÷ clear juice",
    source=HUGOT,
    station=STATION,
)
def evaporation_on_clear_juice(water_evaporated: Values, clear_juice: Values) -> Values:
    """Water taken out in the evaporator, from the brix balance.

    74 to 81 is usual (common practice).
    """
    return 100 * water_evaporated / clear_juice


@evaporation_on_clear_juice.otherwise("100 × (1 - clear juice brix ÷ syrup brix), means by cane")
def _by_cane(clear_juice_brix_carried: Values, syrup_brix_carried: Values) -> Values:
    return 100 * (1 - clear_juice_brix_carried / syrup_brix_carried)


@evaporation_on_clear_juice.otherwise("100 × (1 - clear juice brix ÷ syrup brix), of one sample")
def _of_a_sample(entered_clear_juice_brix: Values, entered_syrup_brix: Values) -> Values:
    return relation.water_evaporated(entered_clear_juice_brix, entered_syrup_brix)


@figure(
    "Water evaporated % cane",
    unit="% cane",
    decimals=2,
    formula="100 × water evaporated ÷ cane",
    source=DEFINITION,
    station=STATION,
)
def evaporation_on_cane(water_evaporated: Values, cane: Values) -> Values:
    """Water taken out in the evaporator per 100 of cane."""
    return 100 * water_evaporated / cane


@figure(
    "Syrup",
    unit="t",
    decimals=1,
    formula="clear juice - water evaporated",
    source=DEFINITION,
    station=STATION,
    kind="adds",
)
def syrup(clear_juice: Values, water_evaporated: Values) -> Values:
    """Tonnes of syrup, by the brix balance: nobody weighs it."""
    return clear_juice - water_evaporated


@figure(
    "Syrup % cane",
    unit="% cane",
    decimals=2,
    formula="100 × syrup ÷ cane",
    source=DEFINITION,
    station=STATION,
)
def syrup_on_cane(syrup: Values, cane: Values) -> Values:
    """Syrup per 100 of cane; 18 to 24 is usual (common practice)."""
    return 100 * syrup / cane


@figure(
    "Steam to the evaporator",
    unit="t",
    decimals=1,
    formula="as entered",
    source=DEFINITION,
    station=STATION,
    kind="adds",
)
def evaporator_steam(entered_evaporator_steam: Values) -> Values:
    """Steam to the first effect, by its meter, on each shift and summed."""
    return entered_evaporator_steam


@figure(
    "Steam to the evaporator % cane",
    unit="% cane",
    decimals=1,
    formula="100 × steam to the evaporator ÷ cane",
    source=DEFINITION,
    station=STATION,
)
def evaporator_steam_on_cane(evaporator_steam: Values, cane: Values) -> Values:
    """Steam to the first effect per 100 of cane."""
    return 100 * evaporator_steam / cane


@figure(
    "Steam economy",
    unit="t/t",
    decimals=2,
    formula="water evaporated ÷ steam to the evaporator",
    source=HUGOT,
    station=STATION,
)
def steam_economy(water_evaporated: Values, evaporator_steam: Values) -> Values:
    """Water evaporated per tonne of steam to the first effect.

    2.2 to 4.4 is usual (common practice). Without bleeding some 0.85 to 0.95 of the number of
    effects; vapour bled lowers it.
    """
    return water_evaporated / evaporator_steam


@figure(
    "Steam economy % number of effects",
    unit="%",
    decimals=1,
    formula="100 × steam economy ÷ number of effects",
    source=HUGOT,
    station=STATION,
)
def steam_economy_per_effect(steam_economy: Values, evaporator_effects: Values) -> Values:
    """Economy against the number of effects, which it would be without any loss.

    85 to 95 without bleeding (common practice), less with it; 100 or more is a fault of measuring.
    """
    return 100 * steam_economy / evaporator_effects


_USUAL = "is usual (common practice)"
_HOT = "Hot syrup scalds: local codes and licensed practice rule."
for _named, _note, _sum in (
    (("syrup_brix", "Syrup brix", "°Bx", 2),
     f"60 to 68 {_USUAL}; above 70 it may grain in the tank. {_HOT}", "syrup_brix_carried"),
    (("syrup_ph", "Syrup pH", "pH", 2), f"6.0 to 6.8 {_USUAL}; below, sucrose inverts. {_HOT}", ""),
    (("evaporator_steam_temperature", "Temperature of steam to the evaporator", "°C", 1),
     f"At saturation: superheat gives no more heat transfer. 110 to 130 {_USUAL}.", ""),
):  # fmt: skip
    mean(_named, STATION, _note, carried=_sum)

mean(
    ("clarified_syrup_brix", "Clarified syrup brix", "°Bx", 2), "syrup_clarification",
    "A little below syrup, by what is dosed.", carried="clarified_syrup_brix_carried",
)  # fmt: skip
mean(
    ("clarified_syrup_ph", "Clarified syrup pH", "pH", 2), "syrup_clarification",
    f"5.8 to 6.8 {_USUAL}; where syrup is sulphited, less.",
)  # fmt: skip


@figure(
    "Boiling point elevation of syrup",
    unit="K",
    decimals=1,
    formula="boiling point of the last effect's brix - that of water, under its vapour",
    source=STARZAK_PEACOCK,
    station=STATION,
)
def syrup_boiling_point_elevation(
    last_effect_brix: Values, last_effect_vapour_temperature: Values
) -> Values:
    """How much hotter than its vapour the syrup of the last effect boils, as pure sucrose would.

    2 to 4 K is usual (common practice); non-sugars add to it.
    """
    return boiling_point_elevation(
        last_effect_brix, saturation_pressure(last_effect_vapour_temperature)
    )


@figure(
    "Last effect, rise by head of juice",
    unit="K",
    decimals=1,
    formula="juice temperature - vapour temperature - boiling point elevation",
    source=COMMON,
    station=STATION,
)
def last_effect_head(
    last_effect_temperature: Values,
    last_effect_vapour_temperature: Values,
    syrup_boiling_point_elevation: Values,
) -> Values:
    """What the head of juice, and its non-sugars, add to the boiling point.

    0.5 to 2 K is usual (common practice). More is too high a level.
    """
    above = last_effect_temperature - last_effect_vapour_temperature
    return above - syrup_boiling_point_elevation
