"""Density of sucrose solutions."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

SUCROSE_TERMS = (
    (385.1761, 135.3705, 40.9299, -3.9643, 13.4853, -17.2890),
    (-46.2720, -7.1720, 1.1597, 5.1126, 17.5254),
    (59.7712, 7.2491, 12.3630, -35.4791),
    (-47.2207, -21.6977, 27.6301),
    (18.3184, 12.3081),
)


def water_density(temperature: ArrayLike) -> NDArray[np.float64]:
    """Return the density of air-free water, kg/m³, at `temperature`, °C (any shape, 0 to 100).

    Source: the rational polynomial that the sucrose equation of Bettin, Emmerich and Spieweck
    (1998) is built on; read in two public copies.
    """
    t = np.asarray(temperature, dtype=float)
    top = np.polynomial.polynomial.polyval(
        t,
        (999.83952, 16.952577, -7.9905127e-3, -46.241757e-6, 105.84601e-9, -281.03006e-12),
    )
    return top / (1 + 16.887236e-3 * t)


def sucrose_solution_density(brix: ArrayLike, temperature: ArrayLike) -> NDArray[np.float64]:
    """Return the true density of a sucrose solution, kg/m³.

    `brix` is g of dissolved solids per 100 g, `temperature` °C; shapes broadcast. Agrees with a
    printed handbook table within 0.16 kg/m³ up to 50 brix; above 70 brix it reads 0.3 to 0.8 kg/m³
    higher than the older tables, and in massecuite it is an estimate (non-sugars and entrained air
    are not in it). Not a number outside 0 to 100 brix and 0 to 100 °C.

    Source: Bettin, Emmerich and Spieweck 1998, the equation adopted as ICUMSA SPS-4; coefficients
    read in two public copies.
    """
    w, t = np.broadcast_arrays(np.asarray(brix, float) / 100, np.asarray(temperature, float))
    warmth = (t - 20) / 100
    excess = sum(
        warmth**power * np.polynomial.polynomial.polyval(w, (0.0, *terms))
        for power, terms in enumerate(SUCROSE_TERMS)
    )
    within = (w >= 0) & (w <= 1) & (t >= 0) & (t <= 100)
    return np.where(within, water_density(t) + excess, np.nan)
