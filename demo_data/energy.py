"""Boilers, power and water of the invented mill, from the steam that it raised."""

import numpy as np

from .factory import Balance, Draw, Values

STEAM_PER_BAGASSE = 2.03
STOOD = 3.2  # MWh bought in a shift while nothing is generated

# What stands outside the balance: its level, and how far that wanders.
BESIDE = {
    "steam_pressure": (43.5, 0.5),
    "steam_temperature": (428, 4),
    "feed_water_temperature": (103, 1.2),
    "flue_gas_temperature": (196, 4),
    "flue_gas_oxygen": (6.4, 0.4),
    "air_temperature": (29, 1.5),
    "condensate_sugar_trace": (4, 1.5),
    "condenser_inlet_sugar_trace": (3.5, 0.8),
}


def energy(balance: Balance, due: dict[str, Values], draw: Draw) -> dict[str, Values]:
    """Return what was burnt, sold and bought, and steam, gas and water of every shift."""
    found = {name: draw.wander(*level) for name, level in BESIDE.items()}
    cane = balance.mass["cane"]
    need = cane * draw.wander(28.2, 0.9, 0.7) / 1000  # MWh
    spare = due["power"] - need
    bought = np.where(cane > 0, np.maximum(-spare, 0), draw.wander(STOOD, 0.3))
    return found | {
        "bagasse_burnt": due["steam"] / draw.wander(STEAM_PER_BAGASSE, 0.02),
        "power_sold": np.maximum(spare, 0),
        "power_bought": bought,
        "condenser_outlet": cane * draw.wander(10.6, 0.5),
        "condenser_outlet_sugar_trace": found["condenser_inlet_sugar_trace"] + draw.wander(6, 1.2),
    }
