"""Reckoning of the laboratory's weighings and readings. Percentages are 0 to 100, by mass.

Ovens, hot juice and glass cells want the usual care; follow the method in force, local codes and
the advice of licensed people.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from app.chemistry.density import sucrose_solution_density
from app.chemistry.validity import within

Values = NDArray[np.float64]

REFINED_ASH_WARMTH = 0.026
RAW_ASH_WARMTH = 0.023


def moisture_by_drying(dish: ArrayLike, wet: ArrayLike, dry: ArrayLike) -> Values:
    """Return moisture % from the masses of the empty dish, dish and wet, dish and dry sample.

    Any one unit of mass; shapes broadcast. Raises OutOfRange where the result is not 0 to 100.
    What is driven off with the water, and sugar that decomposes, count as moisture; let the dish
    cool in a desiccator and mind the hot oven. Source: definition; common practice.
    """
    dish, wet, dry = (np.asarray(mass, float) for mass in (dish, wet, dry))
    return within("moisture", 100 * ((wet - dry) / (wet - dish)), 0, 100, "%")


def suspended_solids_by_drying(
    filter_paper: ArrayLike, dry: ArrayLike, sample: ArrayLike
) -> Values:
    """Return insoluble solids % of a juice: what its filter holds, washed and dried.

    Masses of the dry filter paper, of paper and dry residue, and of the juice taken, in one unit;
    shapes broadcast. Raises OutOfRange where the result is not 0 to 100. Soil counts like fibre.
    Source: definition; common practice.
    """
    held = np.asarray(dry, float) - np.asarray(filter_paper, float)
    return within("suspended solids", 100 * (held / np.asarray(sample, float)), 0, 100, "%")


def dry_substance_concentration(brix: ArrayLike, temperature: ArrayLike = 20.0) -> Values:
    """Return dry substance, g/mL, of a solution of `brix`, g/100 g, at `temperature`, °C.

    Shapes broadcast. Raises OutOfRange outside 0 to 100 brix and 0 to 100 °C. Source: definition,
    with the density of pure sucrose.
    """
    brix = within("brix", brix, 0, 100, "%")
    temperature = within("temperature", temperature, 0, 100, "°C")
    return brix * sucrose_solution_density(brix, temperature) / 1e5


def icumsa_colour(absorbance: ArrayLike, cell: ArrayLike, concentration: ArrayLike) -> Values:
    """Return ICUMSA colour, IU: 1000 × absorbance at 420 nm ÷ (cell × concentration).

    `cell` cm, `concentration` of dry substance g/mL (see `dry_substance_concentration`); shapes
    broadcast; absorbance not below 0. pH, filter and method number belong to the result; salts of
    a buffer count in brix, and are not taken out here. Source: common practice after ICUMSA.
    """
    absorbance = within("absorbance", absorbance, 0, np.inf)
    cell, concentration = np.asarray(cell, float), np.asarray(concentration, float)
    return 1000 * absorbance / (cell * concentration)


def conductivity_at_20(
    conductivity: ArrayLike, temperature: ArrayLike, warmth: ArrayLike
) -> Values:
    """Return the conductivity that a solution read at `temperature`, °C, would have at 20 °C.

    `warmth` is the rise for each degree: 0.026 at 28 g/100 g (REFINED_ASH_WARMTH), 0.023 at
    5 g/100 mL (RAW_ASH_WARMTH). Shapes broadcast. Raises OutOfRange outside 15 to 25 °C.
    Source: ICUMSA GS2/3-17 and GS1/3/4/7/8-13; from memory.
    """
    temperature = within("temperature", temperature, 15, 25, "°C")
    return np.asarray(conductivity, float) / (1 + np.asarray(warmth, float) * (temperature - 20))


def refined_sugar_ash(solution: ArrayLike, water: ArrayLike) -> Values:
    """Return conductivity ash %, from a solution of 28 g/100 g: 0.0006 (solution - 0.35 water).

    Conductivities in µS/cm at 20 °C, not below 0, of the solution and of its water; shapes
    broadcast. Source: ICUMSA GS2/3-17; from memory (the concentration read).
    """
    solution, water = _conductivity("solution", solution), _conductivity("water", water)
    return 6e-4 * (solution - 0.35 * water)


def raw_sugar_ash(solution: ArrayLike, water: ArrayLike) -> Values:
    """Return conductivity ash %, from a solution of 5 g/100 mL: 0.0018 (solution - water).

    Conductivities in µS/cm at 20 °C, not below 0, of the solution and of its water; shapes
    broadcast. For raw sugar, juice, syrup and molasses.
    Source: ICUMSA GS1/3/4/7/8-13; from memory.
    """
    return 18e-4 * (_conductivity("solution", solution) - _conductivity("water", water))


def conductivity_ash(
    conductivity: ArrayLike, dry_substance: ArrayLike, dilution: ArrayLike = 1.0
) -> Values:
    """Return conductivity ash %, at any dilution near 5 g/100 mL: 0.0001 (16.2 + 0.36 D) C f.

    `conductivity` C, µS/cm at 20 °C, less that of the water; `dry_substance` D, g/100 mL;
    `dilution` f, the times by which the solution is weaker than 5 g/100 mL. Shapes broadcast.
    At 5 g/100 mL it is `raw_sugar_ash`. Source: ICUMSA GS1/3/4/7/8-13; from memory.
    """
    dry_substance = within("dry substance", dry_substance, 0, 100, "g/100 mL")
    of_each = (16.2 + 0.36 * dry_substance) * 1e-4
    return of_each * _conductivity("solution", conductivity) * np.asarray(dilution, float)


def _conductivity(name: str, values: ArrayLike) -> Values:
    return within(f"conductivity of {name}", values, 0, np.inf, "µS/cm")


def preparation_index(open_cells: ArrayLike, all_cells: ArrayLike) -> Values:
    """Return the preparation index: brix (or pol) washed from open cells, % of that of all cells.

    Both readings % of their liquids, of samples with the same share of water; shapes broadcast.
    By brix and by pol it differs by about 1; tumbling time belongs to the result. Raises
    OutOfRange where the readings do not give 0 to 100. Source: common practice; Aldrich and Rayner
    from memory.
    """
    index = 100 * (np.asarray(open_cells, float) / np.asarray(all_cells, float))
    return within("preparation index", index, 0, 100, "%")


def preparation_index_by_liquids(
    open_cells: ArrayLike, open_liquid: ArrayLike, all_cells: ArrayLike, all_liquid: ArrayLike
) -> Values:
    """Return the preparation index where the two samples hold unlike masses of liquid.

    Readings as in `preparation_index`; each is weighed by its liquid, per 100 of cane (see
    `liquid_of_disintegration`). Source: mass balance; common practice.
    """
    return preparation_index(
        np.asarray(open_cells, float) * np.asarray(open_liquid, float),
        np.asarray(all_cells, float) * np.asarray(all_liquid, float),
    )


def liquid_of_disintegration(
    water: ArrayLike,
    moisture: ArrayLike,
    brix: ArrayLike,
    fibre: ArrayLike,
    brix_free_water: ArrayLike = 25.0,
) -> Values:
    """Return the liquid per 100 of cane that carries its dissolved solids.

    `water` added per 100 of cane; moisture, brix and fibre % cane; `brix_free_water` % fibre, the
    water that fibre holds free of sugar. Shapes broadcast. Source: mass balance; the 25 is common
    practice.
    """
    held = within("brix-free water", brix_free_water, 0, 100, "%") / 100
    moisture, brix = within("moisture", moisture, 0, 100, "%"), within("brix", brix, 0, 100, "%")
    fibre = within("fibre", fibre, 0, 100, "%")
    return np.asarray(water, float) + moisture + brix - held * fibre
