"""Boilers: the heat that steam takes up, efficiency from both sides, and the heat lost.

Steam and flue gas scald and choke: local codes and licensed practice rule.
"""

from app.chemistry import steam as water
from app.figures.conventions import Convention, convention
from app.figures.declare import Values, figure
from app.figures.means import mean
from app.figures.seldom import seldom_mean
from app.figures.sources import COMMON, DEFINITION, FROM_MEMORY, HUGOT, READ, Source

STATION = "boilers"
STEAM_TABLES = Source("IAPWS-IF97, release R7-97 (2012)", READ)
TEST_CODE = Source("indirect method of standard boiler test codes", FROM_MEMORY)
AIR = 101.325  # kPa, what a gauge leaves out
KILOPASCALS_IN_BAR = 100
LATENT_HEAT_AT_100 = 2256.5  # kJ/kg, IAPWS-IF97

_BURNING = "For the air that burning needs and the gas it leaves."
for _declared in (
    Convention(
        "bagasse_carbon", "Carbon of dry bagasse", 47.0, "% dry bagasse", HUGOT, _BURNING
    ),
    Convention(
        "bagasse_hydrogen", "Hydrogen of dry bagasse, for heat losses", 6.5, "% dry bagasse", HUGOT,
        f"{_BURNING} In the losses only: the net calorific value on Don's has 5.91, so that the "
        "heat of water from hydrogen is some 9 % less in it than in the losses.",
    ),
    Convention(
        "bagasse_oxygen", "Oxygen of dry bagasse", 44.0, "% dry bagasse", HUGOT, _BURNING
    ),
    Convention(
        "air_humidity", "Water in the air to the boilers", 1.5, "kg per 100 kg dry air", COMMON,
        "2 and more in the wet tropics; its loss is small.", high=5.0,
    ),
    Convention(
        "other_boiler_losses", "Losses by unburnt solids, radiation and the rest", 4.0,
        "% gross heat", COMMON,
        "Not measured day by day: set it from the last trial of the boilers.", high=30.0,
    ),
):  # fmt: skip
    convention(_declared)

mean(
    ("feed_water_ph", "Boiler feed water, pH", "pH", 2), STATION,
    "pH of boiler feed water; 8.5 to 10.5 is usual (common practice). A mean hides a dip.",
    by="steam",
)  # fmt: skip
mean(
    ("feed_water_sugar_trace", "Sugar in boiler feed water", "mg/kg", 1), STATION,
    "Sugar carried over into feed water; it turns acid in the boiler. From 10 to 20 mg/kg on "
    "condensate is turned away.", by="steam",
)  # fmt: skip
_RULES = "local codes and licensed practice rule."
for _name, _title, _unit, _note in (
    ("steam_pressure", "Steam pressure", "bar",
     f"Pressure of steam raised, above atmosphere. Steam scalds: {_RULES}"),
    ("steam_temperature", "Steam temperature", "°C",
     f"Temperature of steam raised. Steam scalds: {_RULES}"),
    ("feed_water_temperature", "Temperature of boiler feed water", "°C",
     "At the boilers; 85 to 115 is usual (common practice)."),
    ("flue_gas_temperature", "Flue gas temperature", "°C",
     "Flue gas behind the last heat surface; 140 to 220 is usual (common practice). 20 K more cost "
     f"about 1 % of efficiency. Flue gas burns and chokes: {_RULES}"),
    ("flue_gas_oxygen", "Oxygen in flue gas", "% vol.",
     "Oxygen in dry flue gas; 3 to 8 is usual (common practice). Air leaking in behind the furnace "
     f"raises it. Flue gas burns and chokes: {_RULES}"),
    ("air_temperature", "Temperature of air to the boilers", "°C",
     "Air before any heater, from which losses are counted."),
):  # fmt: skip
    seldom_mean((_name, _title, _unit, 1), STATION, _note, by="steam")


@figure(
    "Enthalpy of steam", unit="kJ/kg", decimals=1,
    formula="by IF97 at steam pressure and temperature, with 1.01325 bar of air added",
    source=STEAM_TABLES, station=STATION,
)  # fmt: skip
def steam_enthalpy(steam_pressure: Values, steam_temperature: Values) -> Values:
    """Heat in steam, counted from water at 0.01 °C; 3180 at 30 bar and 380 °C.

    No value where steam would condense.
    """
    return water.steam_enthalpy(_absolute(steam_pressure), steam_temperature)


@figure(
    "Enthalpy of feed water", unit="kJ/kg", decimals=1,
    formula="by IF97 at feed water temperature and steam pressure, with 1.01325 bar of air added",
    source=STEAM_TABLES, station=STATION,
)  # fmt: skip
def feed_water_enthalpy(steam_pressure: Values, feed_water_temperature: Values) -> Values:
    """Heat in feed water, counted from water at 0.01 °C."""
    return water.water_enthalpy(_absolute(steam_pressure), feed_water_temperature)


def _absolute(pressure: Values) -> Values:
    return KILOPASCALS_IN_BAR * pressure + AIR


@figure(
    "Heat taken up by steam", unit="kJ/kg", decimals=1,
    formula="enthalpy of steam - enthalpy of feed water", source=DEFINITION, station=STATION,
)  # fmt: skip
def enthalpy_rise(steam_enthalpy: Values, feed_water_enthalpy: Values) -> Values:
    """Heat that each kg of feed water takes up to become steam; blowdown is not in it."""
    return steam_enthalpy - feed_water_enthalpy


@figure(
    "Steam per bagasse burnt", unit="kg/kg", decimals=2, formula="steam ÷ bagasse burnt",
    source=DEFINITION, station=STATION,
)  # fmt: skip
def steam_per_bagasse(steam: Values, bagasse_burnt: Values) -> Values:
    """Evaporation coefficient: steam raised by each kg of bagasse burnt.

    2.0 to 2.3 is usual (common practice). Other fuel burnt meanwhile makes it too high; all bagasse
    taken as burnt, too low by what was not.
    """
    return steam / bagasse_burnt


@figure(
    "Equivalent evaporation", unit="kg/kg", decimals=2,
    formula="steam per bagasse × heat taken up by steam ÷ 2256.5", source=COMMON,
    station=STATION,
)  # fmt: skip
def equivalent_evaporation(steam_per_bagasse: Values, enthalpy_rise: Values) -> Values:
    """Steam per bagasse as if made from and at 100 °C, so that unlike boilers can be compared."""
    return steam_per_bagasse * enthalpy_rise / LATENT_HEAT_AT_100


@figure(
    "Steam from all bagasse % cane", unit="% cane", decimals=1,
    formula="steam per bagasse × bagasse % cane", source=COMMON, station=STATION,
)  # fmt: skip
def steam_available_on_cane(steam_per_bagasse: Values, bagasse_on_cane: Values) -> Values:
    """Steam that all bagasse would raise; below steam % cane, fuel has to be bought.

    It needs the weight of bagasse burnt: where all bagasse counts as burnt, it is steam % cane
    itself and says nothing.
    """
    return steam_per_bagasse * bagasse_on_cane


@figure(
    "Boiler efficiency, on gross heat", unit="%", decimals=1,
    formula="100 × steam per bagasse × heat taken up by steam ÷ gross calorific value",
    source=DEFINITION, station=STATION,
)  # fmt: skip
def boiler_efficiency(
    steam_per_bagasse: Values, enthalpy_rise: Values, gross_calorific_value: Values
) -> Values:
    """Direct method: heat in steam per 100 of heat burnt; 60 to 69 is usual (common practice).

    Above 75 at 50 % moisture look for a fault in steam or bagasse weight. Where all bagasse counts
    as burnt, it is of all bagasse made, and too low by what was not burnt.
    """
    return 100 * steam_per_bagasse * enthalpy_rise / gross_calorific_value


@figure(
    "Boiler efficiency, on net heat", unit="%", decimals=1,
    formula="100 × steam per bagasse × heat taken up by steam ÷ net calorific value",
    source=DEFINITION, station=STATION,
)  # fmt: skip
def boiler_efficiency_on_net(
    steam_per_bagasse: Values, enthalpy_rise: Values, net_calorific_value: Values
) -> Values:
    """Direct method on the net value: about 1.26 times that on the gross at 50 % moisture.

    Where all bagasse counts as burnt, it is of all bagasse made, and too low by what was not burnt.
    """
    return 100 * steam_per_bagasse * enthalpy_rise / net_calorific_value
