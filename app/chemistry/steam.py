"""Water and steam by IAPWS-IF97; pressures are absolute, kPa.

Gauges read above atmosphere: add the pressure of the air. Source of all: IAPWS R7-97 (2012),
regions 1, 2 and 4; coefficients read in a public implementation. Steam and hot condensate scald:
work on them as the rules for pressure vessels and the mill's permits say.
"""

import numpy as np
from numpy.polynomial import polynomial
from numpy.typing import ArrayLike, NDArray

from app.chemistry.steam_tables import (
    GAS_CONSTANT,
    IDEAL_STEAM,
    LIQUID,
    REAL_STEAM,
    SATURATION,
    STEAM_LIMIT,
)
from app.chemistry.validity import within

Values = NDArray[np.float64]

ZERO = 273.15
CRITICAL_TEMPERATURE = 373.946
# Saturation at 0, at 350 and at 373.946 °C.
COLDEST, HOTTEST, CRITICAL = 0.611213, 16529.164, 22064.0
# What was found from saturation may lie a rounding off it.
JUST_ABOVE_ONE = 1 + 1e-9


def saturation_pressure(temperature: ArrayLike) -> Values:
    """Return the pressure, kPa, at which water boils at `temperature`, 0 to 373.946 °C.

    Any shape. Raises OutOfRange.
    """
    n = SATURATION
    t = within("temperature", temperature, 0, CRITICAL_TEMPERATURE, "°C") + ZERO
    theta = t + n[8] / (t - n[9])
    a = theta**2 + n[0] * theta + n[1]
    b = n[2] * theta**2 + n[3] * theta + n[4]
    c = n[5] * theta**2 + n[6] * theta + n[7]
    return 1000 * (2 * c / (np.sqrt(b**2 - 4 * a * c) - b)) ** 4


def saturation_temperature(pressure: ArrayLike) -> Values:
    """Return the temperature, °C, at which water boils under `pressure`, 0.611213 to 22064 kPa.

    Any shape. Raises OutOfRange.
    """
    n = SATURATION
    root = (within("pressure", pressure, COLDEST, CRITICAL, "kPa") / 1000) ** 0.25
    e = root**2 + n[2] * root + n[5]
    f = n[0] * root**2 + n[3] * root + n[6]
    g = n[1] * root**2 + n[4] * root + n[7]
    d = 2 * g / (-f - np.sqrt(f**2 - 4 * e * g))
    return (n[9] + d - np.sqrt((n[9] + d) ** 2 - 4 * (n[8] + n[9] * d))) / 2 - ZERO


def water_enthalpy(pressure: ArrayLike, temperature: ArrayLike) -> Values:
    """Return the enthalpy of liquid water, kJ/kg, counted from water at 0.01 °C.

    `temperature` 0 to 350 °C, `pressure` from saturation to 100 000 kPa; shapes broadcast. Raises
    OutOfRange, also where water would boil.
    """
    _, reduced = _liquid(pressure, temperature)
    return np.asarray(1386 * GAS_CONSTANT * _temperature_slope(LIQUID, *reduced))


def water_volume(pressure: ArrayLike, temperature: ArrayLike) -> Values:
    """Return the specific volume of liquid water, m³/kg; as `water_enthalpy`."""
    kelvin, reduced = _liquid(pressure, temperature)
    return GAS_CONSTANT * kelvin * _pressure_slope(LIQUID, *reduced) / 16_530


def steam_enthalpy(pressure: ArrayLike, temperature: ArrayLike) -> Values:
    """Return the enthalpy of superheated or dry saturated steam, kJ/kg.

    `temperature` 0 to 800 °C, `pressure` 0.1 kPa to saturation, beyond 350 °C to the limit
    of region 2 (16 529 kPa there, 100 000 kPa from 590 °C); shapes broadcast. Raises OutOfRange,
    also where steam would condense.
    """
    _, kelvin, reduced = _steam(pressure, temperature)
    return 540 * GAS_CONSTANT * _steam_slope(kelvin, reduced)


def steam_volume(pressure: ArrayLike, temperature: ArrayLike) -> Values:
    """Return the specific volume of steam, m³/kg; as `steam_enthalpy`."""
    p, kelvin, reduced = _steam(pressure, temperature)
    return GAS_CONSTANT * kelvin * (1 / p + _pressure_slope(REAL_STEAM, *reduced) / 1000)


def steam_entropy(pressure: ArrayLike, temperature: ArrayLike) -> Values:
    """Return the entropy of steam, kJ/kg K; as `steam_enthalpy`."""
    p, kelvin, reduced = _steam(pressure, temperature)
    powers, ideal = IDEAL_STEAM.T
    tau = 540 / kelvin
    energy = np.log(p / 1000) + (ideal * tau[..., None] ** powers).sum(axis=-1)
    energy = energy + _sum(REAL_STEAM, *reduced)
    return GAS_CONSTANT * (tau * _steam_slope(kelvin, reduced) - energy)


def saturated_water_enthalpy(pressure: ArrayLike) -> Values:
    """Return the enthalpy, kJ/kg, of water that boils under `pressure`, 0.611213 to 16 529 kPa.

    Any shape. Raises OutOfRange.
    """
    p = within("pressure", pressure, COLDEST, HOTTEST, "kPa")
    return water_enthalpy(p, saturation_temperature(p))


def saturated_steam_enthalpy(pressure: ArrayLike) -> Values:
    """Return the enthalpy, kJ/kg, of dry saturated steam; as `saturated_water_enthalpy`."""
    p = within("pressure", pressure, COLDEST, HOTTEST, "kPa")
    return steam_enthalpy(p, saturation_temperature(p))


def saturated_steam_volume(pressure: ArrayLike) -> Values:
    """Return the specific volume, m³/kg, of dry saturated steam; as `saturated_water_enthalpy`."""
    p = within("pressure", pressure, COLDEST, HOTTEST, "kPa")
    return steam_volume(p, saturation_temperature(p))


def latent_heat(pressure: ArrayLike) -> Values:
    """Return the latent heat of evaporation, kJ/kg; as `saturated_water_enthalpy`."""
    return saturated_steam_enthalpy(pressure) - saturated_water_enthalpy(pressure)


def _liquid(pressure: ArrayLike, temperature: ArrayLike) -> tuple[Values, tuple[Values, Values]]:
    """Return the temperature, K, of liquid water and its reduced pressure and temperature."""
    t = within("temperature", temperature, 0, 350, "°C")
    p = within("pressure", pressure, COLDEST, 100_000, "kPa")
    boils = saturation_pressure(t)
    p = boils / within("boiling pressure over the pressure of water", boils / p, 0, JUST_ABOVE_ONE)
    kelvin = t + ZERO
    return kelvin, (p / 16_530 - 7.1, 1386 / kelvin - 1.222)


def _steam(
    pressure: ArrayLike, temperature: ArrayLike
) -> tuple[Values, Values, tuple[Values, Values]]:
    """Return the pressure, kPa, and temperature, K, of steam, and both of them reduced."""
    t = within("temperature", temperature, 0, 800, "°C")
    p = within("pressure", pressure, 0.1, 100_000, "kPa")
    kelvin = t + ZERO
    beyond = 1000 * polynomial.polyval(kelvin, STEAM_LIMIT)
    most = np.where(t > 350, beyond, saturation_pressure(np.minimum(t, 350)))
    p = most * within("pressure over the most that steam can have", p / most, 0, JUST_ABOVE_ONE)
    return p, kelvin, (p / 1000, 540 / kelvin - 0.5)


def _steam_slope(kelvin: Values, reduced: tuple[Values, Values]) -> Values:
    """The slope of the free energy of steam by its reduced temperature."""
    powers, ideal = IDEAL_STEAM.T
    slope = (ideal * powers * (540 / kelvin)[..., None] ** (powers - 1)).sum(axis=-1)
    return np.asarray(slope + _temperature_slope(REAL_STEAM, *reduced))


def _sum(terms: Values, pressure: Values, temperature: Values) -> Values:
    """The free energy that the terms give at reduced pressure and temperature."""
    i, j, n = terms.T
    return (n * pressure[..., None] ** i * temperature[..., None] ** j).sum(axis=-1)


def _pressure_slope(terms: Values, pressure: Values, temperature: Values) -> Values:
    i, j, n = terms.T
    return _sum(np.stack([i - 1, j, n * i], axis=-1), pressure, temperature)


def _temperature_slope(terms: Values, pressure: Values, temperature: Values) -> Values:
    i, j, n = terms.T
    return _sum(np.stack([i, j - 1, n * j], axis=-1), pressure, temperature)
