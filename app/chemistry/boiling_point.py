"""How much hotter than water a sugar solution boils."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from app.chemistry.steam import saturation_pressure, saturation_temperature
from app.chemistry.validity import within

Values = NDArray[np.float64]

MOLAR_GAS_CONSTANT = 8.314462618
SUCROSE, WATER = 342.297, 18.01528
# J/mol, and the two that have no unit.
HEAT_OF_MIXING, FIRST, SECOND = -17638.0, -1.0038, -0.24653


def water_activity(brix: ArrayLike, temperature: ArrayLike) -> Values:
    """Return the vapour pressure of a sucrose solution over that of water, at one temperature.

    `brix` 0 to 80, `temperature` 0 to 150 °C (the range of the fit is not known here); shapes
    broadcast. Raises OutOfRange. Source: Starzak and Peacock, equation for the activity
    coefficient of water; constants read.
    """
    b = within("brix", brix, 0, 80, "°Bx")
    kelvin = within("temperature", temperature, 0, 150, "°C") + 273.15
    x = b / SUCROSE / (b / SUCROSE + (100 - b) / WATER)
    spread = HEAT_OF_MIXING * x**2 * (1 + FIRST * x + SECOND * x**2)
    return (1 - x) * np.exp(spread / (MOLAR_GAS_CONSTANT * kelvin))


def boiling_point(brix: ArrayLike, pressure: ArrayLike) -> Values:
    """Return the temperature, °C, at which a sucrose solution boils under `pressure`.

    `brix` 0 to 80, `pressure` 5 to 300 kPa absolute, as in pans and evaporators; shapes broadcast.
    For pure sucrose: liquors boil hotter by their salts and by the head of liquid above. Within
    0.2 K of the classical table (from memory) up to 80 °Bx; beyond it overshoots. Raises
    OutOfRange. Source: as `water_activity`, solved with IAPWS-IF97.
    """
    p = within("pressure", pressure, 5, 300, "kPa")
    found = saturation_temperature(p)
    for _ in range(6):  # activity hardly moves with temperature: two digits better at each step
        found = saturation_temperature(p / water_activity(brix, found))
    return found


def boiling_point_elevation(brix: ArrayLike, pressure: ArrayLike) -> Values:
    """Return by how many K a sucrose solution boils above water; as `boiling_point`."""
    return boiling_point(brix, pressure) - saturation_temperature(pressure)


def technical_boiling_point_elevation(brix: ArrayLike, temperature: ArrayLike) -> Values:
    """Return by how many K a technical liquor boils above water of that boiling `temperature`.

    `brix` 0 to 85, `temperature` of boiling water 40 to 130 °C; shapes broadcast. Purity is not in
    it, and its own range is not known here. No printed table was at hand; at 100 °C and 60 °Bx it
    gives 3.4 K where pure sucrose has 2.9. Raises OutOfRange. Source: Batterham and Norgate in the
    form of Love; from memory.
    """
    b = within("brix", brix, 0, 85, "°Bx")
    t = within("temperature", temperature, 40, 130, "°C")
    heat = 6.064e-5 * (273 + t) ** 2 * b**2 / (374.3 - t) ** 0.38
    return heat * (5.84e-7 * (b - 40) ** 2 + 7.2e-4)


def quick_boiling_point_elevation(brix: ArrayLike) -> Values:
    """Return 2 × brix / (100 - brix), K, for `brix` 0 to 80 under about atmospheric pressure.

    Any shape; within 0.35 K of `boiling_point_elevation` up to 70 °Bx, 1.5 K short at 80. Raises
    OutOfRange. Source: a rule of the trade; from memory.
    """
    b = within("brix", brix, 0, 80, "°Bx")
    return 2 * b / (100 - b)


def boiling_pressure(brix: ArrayLike, temperature: ArrayLike) -> Values:
    """Return the pressure, kPa, under which a sucrose solution boils at `temperature`.

    `brix` 0 to 80, `temperature` 0 to 150 °C; shapes broadcast. Raises OutOfRange. Source: as
    `water_activity`; the inverse of `boiling_point`.
    """
    return saturation_pressure(temperature) * water_activity(brix, temperature)
