"""Viscosity of sucrose solutions."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from app.chemistry.validity import within

Values = NDArray[np.float64]


def viscosity(brix: ArrayLike, temperature: ArrayLike) -> Values:
    """Return the viscosity of a pure sucrose solution, mPa s.

    `brix` 0 to 75, `temperature` 0 to 100 °C; shapes broadcast. Within 3.5 % of handbook tables at
    20 °C, within 6 % from 20 to 100 °C but for 7 % at 20 °Bx and 80 °C; poor in the cold: 5 to 12 %
    high at 0 °C. Molasses has more by its gums and reducing sugars. Raises OutOfRange. Source:
    Genotelle; from memory.
    """
    b = within("brix", brix, 0, 75, "°Bx")
    t = within("temperature", temperature, 0, 100, "°C")
    n = b / (1900 - 18 * b)
    return 10 ** (22.46 * n - 0.114 + (30 - t) / (91 + t) * (1.1 + 43.1 * n**1.25))
