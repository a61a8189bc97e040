"""Water taken off in evaporators, and how well their surface does it."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from app.chemistry.validity import within

Values = NDArray[np.float64]


def water_evaporated(brix_in: ArrayLike, brix_out: ArrayLike) -> Values:
    """Return the water evaporated, % of what comes in, from brix in and out, 1 to 99.

    Shapes broadcast; negative where it was diluted. Wash and movement water are not in it. Raises
    OutOfRange. Source: the balance of brix, by algebra.
    """
    low, high = within("brix in", brix_in, 0, 99, "°Bx"), within("brix out", brix_out, 1, 99, "°Bx")
    return 100 * (1 - low / high)


def evaporation_rate(water: ArrayLike, surface: ArrayLike, hours: ArrayLike = 1.0) -> Values:
    """Return the evaporation per heating surface, kg/m² h.

    `water` t evaporated in `hours`, `surface` m²; shapes broadcast, surface and hours above 0.
    Usual for a whole set 18 to 30, as common practice has it. Raises OutOfRange. By definition.
    """
    area = within("heating surface", surface, 1e-6, np.inf, "m²")
    return 1000 * np.asarray(water, dtype=float) / (area * within("hours", hours, 1e-6, np.inf))


def dessin_coefficient(brix_out: ArrayLike, steam_temperature: ArrayLike) -> Values:
    """Return the evaporation to be expected, kg/m² h K, of a vessel.

    0.001 (100 - B)(T - 54): `brix_out` of the juice leaving 0 to 90, `steam_temperature` of its
    heating steam or vapour 54 to 140 °C; shapes broadcast. Raises OutOfRange. Source: Dessin's
    formula; from memory.
    """
    b = within("brix out", brix_out, 0, 90, "°Bx")
    return 0.001 * (100 - b) * (within("steam temperature", steam_temperature, 54, 140, "°C") - 54)


def evaporation_coefficient(
    rate: ArrayLike, steam_temperature: ArrayLike, juice_temperature: ArrayLike
) -> Values:
    """Return the evaporation a vessel really has, kg/m² h K, to compare with Dessin's.

    `rate` kg/m² h; steam must be hotter than the boiling juice (its elevation of boiling point and
    head taken in), by 0.1 K to 100 K; shapes broadcast. Raises OutOfRange. By definition.
    """
    fall = np.asarray(steam_temperature, dtype=float) - np.asarray(juice_temperature, dtype=float)
    drop = within("steam less juice temperature", fall, 0.1, 100, "K")
    return np.asarray(rate, dtype=float) / drop


def heat_transfer_coefficient(coefficient: ArrayLike, latent_heat: ArrayLike) -> Values:
    """Return the heat transfer coefficient, W/m² K, of an evaporation `coefficient`, kg/m² h K.

    `latent_heat` of the vapour made, kJ/kg, 1000 to 2501; shapes broadcast. Raises OutOfRange. By
    definition.
    """
    heat = within("latent heat", latent_heat, 1000, 2501, "kJ/kg")
    return np.asarray(coefficient, dtype=float) * heat / 3.6
