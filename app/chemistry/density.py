"""Density of sucrose solutions: in vacuum, as weighed in air, and as specific gravity."""

import numpy as np
from numpy.polynomial import polynomial
from numpy.typing import ArrayLike, NDArray

from app.chemistry.validity import within

Values = NDArray[np.float64]

# Powers of the mass fraction, 0 to 6, by powers of (temperature - 20) / 100, 0 to 4.
SUCROSE_TERMS = np.array(
    [
        (0.0, 0.0, 0.0, 0.0, 0.0),
        (385.1761, -46.2720, 59.7712, -47.2207, 18.3184),
        (135.3705, -7.1720, 7.2491, -21.6977, 12.3081),
        (40.9299, 1.1597, 12.3630, 27.6301, 0.0),
        (-3.9643, 5.1126, -35.4791, 0.0, 0.0),
        (13.4853, 17.5254, 0.0, 0.0, 0.0),
        (-17.2890, 0.0, 0.0, 0.0, 0.0),
    ]
)
WATER_TERMS = (999.83952, 16.952577, -7.9905127e-3, -46.241757e-6, 105.84601e-9, -281.03006e-12)
WATER_DIVISOR = 16.887236e-3
AIR = 1.2
WEIGHTS = 8000.0


def water_density(temperature: ArrayLike) -> Values:
    """Return the density of air-free water, kg/m³, at `temperature`, 0 to 100 °C (any shape).

    Raises OutOfRange. Source: the rational polynomial that the sucrose equation of Bettin,
    Emmerich and Spieweck (1998) is built on; read in two public copies.
    """
    t = within("temperature", temperature, 0, 100, "°C")
    return polynomial.polyval(t, WATER_TERMS) / (1 + WATER_DIVISOR * t)


def _density(fraction: Values, t: Values) -> Values:
    return water_density(t) + polynomial.polyval2d(fraction, (t - 20) / 100, SUCROSE_TERMS)


def sucrose_solution_density(brix: ArrayLike, temperature: ArrayLike) -> Values:
    """Return the true density of a sucrose solution, kg/m³.

    `brix` is g of dissolved solids per 100 g, 0 to 100; `temperature` 0 to 100 °C; shapes
    broadcast. Agrees with a printed handbook table within 0.16 kg/m³ up to 50 brix; above 70 brix
    it reads 0.3 to 0.8 kg/m³ higher than the older tables, and in massecuite it is an estimate
    (non-sugars and entrained air are not in it). Raises OutOfRange.

    Source: Bettin, Emmerich and Spieweck 1998, the equation adopted as ICUMSA SPS-4; coefficients
    read in two public copies.
    """
    found = within("brix", brix, 0, 100, "°Bx") / 100
    t = within("temperature", temperature, 0, 100, "°C")
    return _density(*np.broadcast_arrays(found, t))


def brix_from_density(density: ArrayLike, temperature: ArrayLike) -> Values:
    """Return the brix of a sucrose solution of that true `density`, kg/m³, at `temperature`, °C.

    The inverse of `sucrose_solution_density`, to 0.000 001 °Bx; shapes broadcast, density 950 to
    1570 kg/m³, temperature 0 to 100 °C. Lighter than water gives the negative brix that a
    hydrometer's table of corrections needs. Raises OutOfRange, also where the brix would lie
    outside -10 to 100. Source: algebra (Newton's rule) on the same equation.
    """
    rho, t = np.broadcast_arrays(
        within("density", density, 950, 1570, "kg/m³"),
        within("temperature", temperature, 0, 100, "°C"),
    )
    slope = polynomial.polyder(SUCROSE_TERMS, axis=0)
    fraction = (rho - water_density(t)) / 500
    for _ in range(8):  # the error squares at each step; six are enough from any start
        steepness = polynomial.polyval2d(fraction, (t - 20) / 100, slope)
        fraction = fraction + (rho - _density(fraction, t)) / steepness
    return within("brix of that density", 100 * fraction, -10, 100.000001, "°Bx")


def apparent_density(density: ArrayLike) -> Values:
    """Return the density as weighed in air, kg/m³, of what has that true `density`, kg/m³.

    Air of 1.2 kg/m³ against weights of 8000 kg/m³ (the convention of conventional mass); density
    500 to 2000 kg/m³, any shape. Raises OutOfRange. Water at 20 °C comes to 997.153, 0.003 %
    under the 0.99718 g/mL of the sugar tables. Source: buoyancy, by algebra.
    """
    return (within("density", density, 500, 2000, "kg/m³") - AIR) / (1 - AIR / WEIGHTS)


def specific_gravity(brix: ArrayLike) -> Values:
    """Return the true specific gravity 20/20 °C of a sucrose solution of `brix` 0 to 100.

    Any shape; raises OutOfRange. Source: definition, on the density of ICUMSA SPS-4; agrees within
    0.000 06 with a table read (Asadi, Beet-Sugar Handbook, up to 21 °Bx).
    """
    return sucrose_solution_density(brix, 20) / water_density(20)


def apparent_specific_gravity(brix: ArrayLike) -> Values:
    """Return the specific gravity 20/20 °C as weighed in air, for `brix` 0 to 100.

    Any shape; raises OutOfRange. Source: definition, as `specific_gravity` and `apparent_density`.
    """
    weighed = apparent_density(sucrose_solution_density(brix, 20))
    return weighed / apparent_density(water_density(20))


def brix_from_specific_gravity(gravity: ArrayLike) -> Values:
    """Return the brix of a solution of true specific gravity 20/20 °C, 1 to 1.555 (any shape).

    Raises OutOfRange. Source: the inverse of `specific_gravity`.
    """
    found = within("specific gravity", gravity, 1, 1.555)
    return brix_from_density(found * water_density(20), 20)
