"""Sucrose lost by inversion while juice is hot, and by entrainment to the condenser.

Acids and lime are dosed by pH: handle them by the mill's rules, and lower no pH to test a loss.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from app.chemistry.validity import within

Values = NDArray[np.float64]


def inversion_rate(
    ph: ArrayLike, temperature: ArrayLike, density: ArrayLike, sucrose: ArrayLike
) -> Values:
    """Return the rate constant of inversion, per minute.

    `ph` at temperature (cold pH is higher by 0.3 to 0.6, and so understates the loss two- to
    fourfold), 1 to 8; `temperature` 20 to 125 °C; `density` of the juice 900 to 1500 kg/m³ and its
    `sucrose`, kg/m³; shapes broadcast. In factory use from pH 4; above 8 the decomposition is an
    alkaline one. Raises OutOfRange, also where there is more sucrose than juice.

    Source: Vukov, log10 k = 16.91 + log10(d - c) - 5670/T - pH, with g/mL and K; from memory.
    """
    h = within("pH", ph, 1, 8)
    kelvin = within("temperature", temperature, 20, 125, "°C") + 273.15
    return 10 ** (16.91 + _log_of_rest(density, sucrose) - 5670 / kelvin - h)


def inversion_loss(rate: ArrayLike, minutes: ArrayLike) -> Values:
    """Return the sucrose inverted, % of what there was, while juice is held for `minutes`.

    `rate` per minute, from 0; `minutes` from 0: volume held over flow, which is less than the tank.
    Shapes broadcast; raises OutOfRange. Source: first-order decay, by algebra.
    """
    k, t = within("rate", rate, 0, np.inf), within("time held", minutes, 0, np.inf, "min")
    return -100 * np.expm1(-k * t)


def ph_for_loss(
    loss: ArrayLike,
    minutes: ArrayLike,
    temperature: ArrayLike,
    density: ArrayLike,
    sucrose: ArrayLike,
) -> Values:
    """Return the pH, at temperature, at which `loss` % of the sucrose is inverted in `minutes`.

    `loss` above 0 and below 100; the rest as `inversion_rate`, whose inverse it is. Raises
    OutOfRange, also where that pH is not between 1 and 8.
    """
    part = within("loss", loss, 1e-9, 100 - 1e-9, "%") / 100
    rate = -np.log1p(-part) / within("time held", minutes, 1e-9, np.inf, "min")
    kelvin = within("temperature", temperature, 20, 125, "°C") + 273.15
    found = 16.91 + _log_of_rest(density, sucrose) - 5670 / kelvin - np.log10(rate)
    return within("pH for that loss", found, 1, 8)


def entrainment_loss(
    condenser_water: ArrayLike, sugar_leaving: ArrayLike, sugar_entering: ArrayLike = 0.0
) -> Values:
    """Return the sugar carried over with vapour, t in the time in which the water was weighed.

    `condenser_water` t, from 0; its sugar, mg/kg, when it leaves and when it enters, 0 to 10 000.
    Shapes broadcast; negative where the water returns cleaner. Raises OutOfRange. By definition.
    """
    leaving = within("sugar in water leaving", sugar_leaving, 0, 10_000, "mg/kg")
    entering = within("sugar in water entering", sugar_entering, 0, 10_000, "mg/kg")
    water = within("condenser water", condenser_water, 0, np.inf, "t")
    return water * (leaving - entering) * 1e-6


def _log_of_rest(density: ArrayLike, sucrose: ArrayLike) -> Values:
    """The logarithm of what is not sucrose, g/mL."""
    d = within("density", density, 900, 1500, "kg/m³")
    rest = within("density less sucrose", d - np.asarray(sucrose, dtype=float), 1, 1500, "kg/m³")
    return np.log10(rest / 1000)
