"""Hydrometers, Baumé degrees, weighed dilutions, and massecuite by what it is made of."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from app.chemistry.density import brix_from_density, sucrose_solution_density
from app.chemistry.validity import within

Values = NDArray[np.float64]

MODULUS = 145.0
GLASS_EXPANSION = 25e-6
CRYSTAL_DENSITY = 1588.0


def baume(specific_gravity: ArrayLike) -> Values:
    """Return degrees Baumé, 0 to 52, from specific gravity 20/20 °C, 1 to 1.56 (any shape).

    145 - 145/SG, for liquids heavier than water. Raises OutOfRange. Source: Asadi, Beet-Sugar
    Handbook, Table A.1, whose column it reproduces; read.
    """
    return MODULUS - MODULUS / within("specific gravity", specific_gravity, 1, 1.56)


def specific_gravity_from_baume(degrees: ArrayLike) -> Values:
    """Return specific gravity 20/20 °C from `degrees` Baumé, 0 to 52 (any shape).

    Raises OutOfRange. Source: the inverse of `baume`.
    """
    return MODULUS / (MODULUS - within("Baumé", degrees, 0, 52, "°Bé"))


def hydrometer_brix_at_20(
    reading: ArrayLike, temperature: ArrayLike, glass_expansion: float = GLASS_EXPANSION
) -> Values:
    """Return the brix of a solution in which a hydrometer of 20 °C reads `reading`.

    `reading` 0 to 70 °Bx, `temperature` 0 to 60 °C, shapes broadcast; `glass_expansion` of the
    instrument's volume, per K. The instrument displaces its own weight: where it reads the brix of
    one density at 20 °C, it floats at another temperature in that density over the growth of its
    glass. Surface tension and the buoyancy of the stem are left out. Within 0.05 of the printed
    table (NBS Circular 440, AOAC 900.03; from memory) from 15 to 60 °C, below that within 0.1.
    Raises OutOfRange. Source: worked out here from ICUMSA SPS-4; expansion of soda glass from
    memory.
    """
    mark = sucrose_solution_density(within("hydrometer brix", reading, 0, 70, "°Bx"), 20)
    t = within("temperature", temperature, 0, 60, "°C")
    return brix_from_density(mark / (1 + glass_expansion * (t - 20)), t)


def hydrometer_correction(
    reading: ArrayLike, temperature: ArrayLike, glass_expansion: float = GLASS_EXPANSION
) -> Values:
    """Return what is to be added to a hydrometer's `reading`, °Bx; as `hydrometer_brix_at_20`."""
    found = hydrometer_brix_at_20(reading, temperature, glass_expansion)
    return found - np.asarray(reading, dtype=float)


def undiluted(found: ArrayLike, sample: ArrayLike, water: ArrayLike) -> Values:
    """Return the brix or pol, %, of a sample from that `found` in its dilution by weight.

    `found` 0 to 100 %, `sample` 0.001 and `water` 0 to a million of one unit of mass; shapes
    broadcast: found × (sample + water) ÷ sample. Raises OutOfRange. Brix of molasses and
    massecuite so found runs above that of the undiluted material, so the dilution belongs to the
    result. Source: common practice, by mass balance.
    """
    taken = within("sample", sample, 0.001, 1e6)
    added = within("water", water, 0, 1e6)
    return within("brix or pol", found, 0, 100, "%") * (taken + added) / taken


def massecuite_density(crystal: ArrayLike, mother_liquor_density: ArrayLike) -> Values:
    """Return the density of massecuite free of air, kg/m³.

    `crystal` % of massecuite, 0 to 100; `mother_liquor_density` 950 to 1600 kg/m³; shapes
    broadcast. Volumes of crystal (1588 kg/m³, from memory) and liquor add. Raises OutOfRange.
    Source: mass balance; common practice.
    """
    share = within("crystal", crystal, 0, 100, "%") / 100
    liquor = within("density of mother liquor", mother_liquor_density, 950, 1600, "kg/m³")
    return 1 / (share / CRYSTAL_DENSITY + (1 - share) / liquor)


def with_entrained_air(density: ArrayLike, air: ArrayLike) -> Values:
    """Return the density as stored, kg/m³, of material of that air-free `density`.

    `air` is % of the volume dipped, 0 to 30, a mill's own measurement (2 to 10 in molasses, common
    practice); density 500 to 2000 kg/m³; shapes broadcast. The weight of air is left out. Raises
    OutOfRange. Source: definition.
    """
    free = within("density", density, 500, 2000, "kg/m³")
    return free * (1 - within("entrained air", air, 0, 30, "% by volume") / 100)
