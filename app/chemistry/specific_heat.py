"""Specific heat of juice, syrup and molasses."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from app.chemistry.validity import within

Values = NDArray[np.float64]

WATER = 4.1868


def specific_heat(brix: ArrayLike, purity: ArrayLike, temperature: ArrayLike) -> Values:
    """Return the specific heat, kJ/kg K.

    `brix` and `purity` 0 to 100, `temperature` 0 to 130 °C; shapes broadcast. Raises OutOfRange.
    Source: 4.1868 - 0.0297 B + 4.6e-5 B P + 7.5e-5 B t, of the sugar handbooks; read (in J).
    """
    b = within("brix", brix, 0, 100, "°Bx")
    p = within("purity", purity, 0, 100, "%")
    t = within("temperature", temperature, 0, 130, "°C")
    return WATER + b * (-0.0297 + 4.6e-5 * p + 7.5e-5 * t)


def quick_specific_heat(brix: ArrayLike) -> Values:
    """Return the specific heat, kJ/kg K, of `brix` 0 to 100 alone: 4.1868 (1 - 0.006 B).

    Any shape. In juice as good as `specific_heat`; in hot syrup and molasses 8 to 11 % lower.
    Raises OutOfRange. Source: rule of the trade; from memory.
    """
    return WATER * (1 - 0.006 * within("brix", brix, 0, 100, "°Bx"))
