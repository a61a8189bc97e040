"""Solubility of sucrose in water, supersaturation, and the temperature of saturation."""

from collections.abc import Callable

import numpy as np
from numpy.polynomial import polynomial
from numpy.typing import ArrayLike, NDArray

from app.chemistry.validity import within

Values = NDArray[np.float64]
Solubility = Callable[[ArrayLike], Values]

# Powers of the temperature, °C, from 0.
VAVRINECZ = (64.447, 8.222e-2, 1.6169e-3, -1.558e-6, -4.63e-8)
CHARLES = (64.397, 7.251e-2, 2.0569e-3, -9.035e-6)


def vavrinecz_solubility(temperature: ArrayLike) -> Values:
    """Return the sucrose, g/100 g of saturated pure solution, at `temperature`, 0 to 100 °C.

    Any shape. Up to 80 °C within 0.13 of Charles; above 85 °C they part, at 100 °C by 0.5. Raises
    OutOfRange. Source: Vavrinecz 1962; coefficients from memory, the printed table not seen.
    """
    return _power_series(temperature, VAVRINECZ)


def charles_solubility(temperature: ArrayLike) -> Values:
    """Return the sucrose, g/100 g of saturated pure solution, at `temperature`, 0 to 100 °C.

    Any shape. Less certain above 90 °C. Raises OutOfRange. Source: Charles 1960; coefficients from
    memory, the printed table not seen.
    """
    return _power_series(temperature, CHARLES)


def sucrose_per_water(brix: ArrayLike, purity: ArrayLike = 100.0) -> Values:
    """Return g of sucrose per g of water in a solution of `brix` 0 to 99 and `purity` 0 to 100 %.

    Shapes broadcast. Raises OutOfRange. By definition; brix and purity as of dry solids and
    sucrose, for which refractometer brix and pol stand in by common practice.
    """
    solids = within("brix", brix, 0, 99, "°Bx")
    return solids * within("purity", purity, 0, 100, "%") / 100 / (100 - solids)


def non_sucrose_per_water(brix: ArrayLike, purity: ArrayLike) -> Values:
    """Return g of what is dissolved besides sucrose per g of water; as `sucrose_per_water`."""
    return sucrose_per_water(brix) - sucrose_per_water(brix, purity)


def saturation_coefficient(
    non_sucrose: ArrayLike, slope: ArrayLike, intercept: ArrayLike, decay: ArrayLike
) -> Values:
    """Return the solubility of sucrose per water in an impure solution over that in pure water.

    slope × q + intercept + (1 - intercept) × exp(-decay × q), where q, `non_sucrose`, is g of
    non-sucrose per g of water, 0 to 6; shapes broadcast. The three constants are a mill's own, from
    saturation tests of its molasses: none holds for cane in general. Raises OutOfRange. Source: the
    form of Wiklund and Vavrinecz; from memory.
    """
    q = within("non-sucrose per water", non_sucrose, 0, 6)
    m, b, c = (np.asarray(constant, dtype=float) for constant in (slope, intercept, decay))
    return m * q + b + (1 - b) * np.exp(-c * q)


def supersaturation(
    sucrose: ArrayLike,
    temperature: ArrayLike,
    coefficient: ArrayLike = 1.0,
    solubility: Solubility = vavrinecz_solubility,
) -> Values:
    """Return the coefficient of supersaturation: 1 at saturation, more where crystals grow.

    `sucrose` g per g of water, `temperature` °C in the range of `solubility`, `coefficient` of
    saturation 0.3 to 3 (1 for a pure solution); shapes broadcast. Raises OutOfRange. By definition:
    sucrose per water over that of the saturated solution of the same impurities.
    """
    found = within("sucrose per water", sucrose, 0, 99)
    impure = within("saturation coefficient", coefficient, 0.3, 3)
    return found / (impure * sucrose_per_water(solubility(temperature)))


def sucrose_saturation_temperature(
    sucrose: ArrayLike,
    coefficient: ArrayLike = 1.0,
    solubility: Solubility = vavrinecz_solubility,
) -> Values:
    """Return the temperature, °C, at which a solution is just saturated.

    `sucrose` g per g of water, `coefficient` of saturation 0.3 to 3 (1 for a pure solution), taken
    as the same at all temperatures; shapes broadcast. Raises OutOfRange, also where that
    temperature is not between 0 and 100 °C. Source: the inverse of `supersaturation`, by halving,
    to 1e-9 °C.
    """
    needed = np.asarray(sucrose, dtype=float) / within("coefficient", coefficient, 0.3, 3)
    least, most = sucrose_per_water(solubility([0.0, 100.0]))
    needed = within("sucrose per water over its saturation coefficient", needed, least, most)
    low, high = np.zeros_like(needed), np.full_like(needed, 100)
    for _ in range(37):
        middle = (low + high) / 2
        short = sucrose_per_water(solubility(middle)) < needed
        low, high = np.where(short, middle, low), np.where(short, high, middle)
    return np.where(np.isnan(needed), np.nan, (low + high) / 2)


def _power_series(temperature: ArrayLike, terms: tuple[float, ...]) -> Values:
    t = within("temperature", temperature, 0, 100, "°C")
    return np.asarray(polynomial.polyval(t, terms), dtype=float)
