"""What follows in a reading of the evaporator: the temperature at which vapour is saturated."""

from app.chemistry.steam import saturation_temperature
from app.figures.of_records import follows
from app.figures.sources import READ, Source

STEAM = Source("IAPWS-IF97", READ)


@follows(
    "evaporator", "Saturation temperature", unit="°C", decimals=1,
    formula="at which vapour of that pressure is saturated", source=STEAM,
)  # fmt: skip
def vapour_saturated_at(vapour_pressure: float) -> float:
    """Temperature of saturated vapour, °C, of a pressure in kPa."""
    return float(saturation_temperature(vapour_pressure))
