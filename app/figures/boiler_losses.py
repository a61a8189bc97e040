"""Heat that boilers lose with flue gas, and their efficiency from what is not lost.

Flue gas burns and chokes: local codes and licensed practice rule.
"""

from app.chemistry import fuel as relation
from app.figures.boilers import STATION, TEST_CODE
from app.figures.declare import Values, figure
from app.figures.sources import DEFINITION


@figure(
    "Excess air", unit="% theoretical air", decimals=0,
    formula="100 × oxygen ÷ (21 - oxygen)", source=TEST_CODE, station=STATION,
)  # fmt: skip
def excess_air(flue_gas_oxygen: Values) -> Values:
    """Air beyond what burning needs; 25 to 60 is usual (common practice).

    Leaks behind the furnace count as well. Flue gas burns and chokes: local codes and licensed
    practice rule.
    """
    return relation.excess_air(flue_gas_oxygen)


@figure(
    "Air to the boilers per bagasse", unit="kg/kg", decimals=2,
    formula="(100 - moisture) × (11.6 × carbon + 34.8 × (hydrogen - oxygen ÷ 8)) ÷ 10000 "
    "× (1 + excess air ÷ 100), of dry bagasse",
    source=TEST_CODE, station=STATION,
)  # fmt: skip
def air_per_bagasse(
    bagasse_moisture: Values,
    bagasse_carbon: Values,
    bagasse_hydrogen: Values,
    bagasse_oxygen: Values,
    excess_air: Values,
) -> Values:
    """Dry air used by each kg of bagasse as fired: 2.9 at 50 % moisture, and the excess."""
    needed = relation.theoretical_air(bagasse_carbon, bagasse_hydrogen, bagasse_oxygen)
    return _of_dry(bagasse_moisture) * needed * (1 + excess_air / 100)


@figure(
    "Dry flue gas per bagasse", unit="kg/kg", decimals=2,
    formula="air + 1 - (moisture + 9 × hydrogen × (100 - moisture) ÷ 100 + ash) ÷ 100",
    source=DEFINITION, station=STATION,
)  # fmt: skip
def flue_gas_per_bagasse(
    air_per_bagasse: Values, bagasse_moisture: Values, bagasse_hydrogen: Values, fuel_ash: Values
) -> Values:
    """Dry gas from each kg of bagasse as fired: a balance of what goes in and what is not gas."""
    hydrogen = _of_dry(bagasse_moisture) * bagasse_hydrogen
    return relation.dry_flue_gas(air_per_bagasse, bagasse_moisture, hydrogen, fuel_ash)


def _of_dry(moisture: Values) -> Values:
    return (100 - moisture) / 100


def _dry_gas(gross: Values, gas: Values, flue: Values, air: Values) -> Values:
    """Heat in dry flue gas; it grows with excess air and with its temperature.

    Some 5.5 with 5 % of oxygen in gas of 160 °C, worked out for bagasse of 50 % moisture.
    """
    return relation.boiler_losses(gross, 0.0, 0.0, gas, 0.0, flue, air).dry_gas


def _hydrogen(
    gross: Values, moisture: Values, hydrogen: Values, flue: Values, air: Values
) -> Values:
    """Heat in the vapour that hydrogen of bagasse burns to; 8 to 9 is usual (common practice).

    Hydrogen is that of the convention, 6.5 % of dry bagasse; the net calorific value has its own.
    """
    fired = _of_dry(moisture) * hydrogen
    return relation.boiler_losses(gross, 0.0, fired, 0.0, 0.0, flue, air).hydrogen


def _moisture(gross: Values, moisture: Values, flue: Values, air: Values) -> Values:
    """Heat in the vapour of bagasse moisture, the greatest loss by far.

    13 to 16 is usual (common practice).
    """
    return relation.boiler_losses(gross, moisture, 0.0, 0.0, 0.0, flue, air).moisture


def _humidity(gross: Values, used: Values, humidity: Values, flue: Values, air: Values) -> Values:
    """Heat in the vapour that came with the air; a few tenths."""
    vapour = used * humidity / 100
    return relation.boiler_losses(gross, 0.0, 0.0, 0.0, vapour, flue, air).air_humidity


_RISE = "(flue gas temperature - air temperature)"
_VAPOUR = f"(584 + 0.45 × {_RISE}) ÷ gross calorific value"
for _name, _title, _function, _inputs, _formula in (
    ("dry_gas_loss", "Heat lost with dry flue gas", _dry_gas, ("flue_gas_per_bagasse",),
     f"100 × 4.1868 × 0.24 × dry flue gas × {_RISE} ÷ gross calorific value"),
    ("hydrogen_loss", "Heat lost with water from hydrogen", _hydrogen,
     ("bagasse_moisture", "bagasse_hydrogen"),
     f"9 × 4.1868 × hydrogen × (100 - moisture) ÷ 100 × {_VAPOUR}"),
    ("moisture_loss", "Heat lost with moisture of bagasse", _moisture, ("bagasse_moisture",),
     f"4.1868 × moisture × {_VAPOUR}"),
    ("air_humidity_loss", "Heat lost with moisture of air", _humidity,
     ("air_per_bagasse", "air_humidity"),
     f"4.1868 × 0.45 × air × humidity × {_RISE} ÷ gross calorific value"),
):  # fmt: skip
    figure(
        _title, unit="% gross heat", decimals=1, formula=_formula, source=TEST_CODE,
        station=STATION, name=_name,
        inputs=("gross_calorific_value", *_inputs, "flue_gas_temperature", "air_temperature"),
    )(_function)  # fmt: skip


@figure(
    "Boiler efficiency by losses", unit="%", decimals=1,
    formula="100 - dry gas loss - hydrogen loss - moisture loss - air humidity loss "
    "- other boiler losses",
    source=TEST_CODE, station=STATION,
)  # fmt: skip
def boiler_efficiency_by_losses(
    dry_gas_loss: Values,
    hydrogen_loss: Values,
    moisture_loss: Values,
    air_humidity_loss: Values,
    other_boiler_losses: Values,
) -> Values:
    """Indirect method, on gross heat, without any weight; the other losses are a convention.

    60 to 69 is usual (common practice), and above 75 at 50 % moisture is not to be believed.
    Far from the direct one, look at the weights of steam and bagasse first.
    """
    losses = relation.BoilerLosses(dry_gas_loss, hydrogen_loss, moisture_loss, air_humidity_loss)
    return relation.boiler_efficiency(losses, other_boiler_losses)


@figure(
    "Steam per bagasse, expected", unit="kg/kg", decimals=2,
    formula="efficiency by losses × gross calorific value ÷ (100 × heat taken up by steam)",
    source=DEFINITION, station=STATION,
)  # fmt: skip
def expected_steam_per_bagasse(
    boiler_efficiency_by_losses: Values, gross_calorific_value: Values, enthalpy_rise: Values
) -> Values:
    """Steam that each kg of bagasse should raise by the losses found, without any weight."""
    return boiler_efficiency_by_losses * gross_calorific_value / (100 * enthalpy_rise)
