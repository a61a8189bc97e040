"""Reducing sugars by titration against copper.

A table for the Knight and Allen method is not here: none was found to copy from. Fehling's and
Luff's reagents are caustic and poison fish, and they boil over; iodide is freed with strong acid
that foams. Wear eye protection, collect copper waste, follow local codes and licensed practice.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from app.chemistry.validity import within

Values = NDArray[np.float64]

# Titre of solution without sucrose, mL, and invert sugar, mg, that 10 mL of mixed reagent uses up.
LANE_EYNON = np.array(
    [
        *((15, 50.5), (16, 50.6), (17, 50.7), (18, 50.8), (20, 50.9), (22, 51.0), (24, 51.2)),
        *((25, 51.2), (26, 51.3), (28, 51.4), (29, 51.5), (30, 51.5), (31, 51.6), (36, 51.8)),
        *((38, 51.9), (39, 52.0), (40, 52.0), (41, 52.1), (42, 52.1), (43, 52.2), (46, 52.3)),
        *((47, 52.4), (48, 52.4), (49, 52.5), (50, 52.5)),
    ]
)

# Thiosulphate of 0.1 mol/L, mL, and glucose with fructose, mg, for 25 mL of reagent.
LUFF_SCHOORL = np.array(
    [
        *((1, 2.4), (2, 4.8), (3, 7.2), (5, 12.2), (6, 14.7), (7, 17.2), (8, 19.8), (10, 25.0)),
        *((15, 38.5), (16, 41.3), (17, 44.2), (19, 50.0), (20, 53.0), (23, 62.2)),
    ]
)


def lane_eynon_invert(titre: ArrayLike) -> Values:
    """Return the invert sugar, mg, in `titre`, mL, of solution that 10 mL of Fehling's uses up.

    Linear between the rows of the table. Raises OutOfRange outside 15 to 50 mL. It is the column
    without sucrose: where much sucrose stands beside invert sugar it reads high, and no correction
    for that is given here. Source: Lane and Eynon's table for invert sugar, 10 mL of mixed Soxhlet
    reagent; from memory.
    """
    return _read("titre", titre, LANE_EYNON)


def lane_eynon_reducing_sugars(titre: ArrayLike) -> Values:
    """Return reducing sugars, mg/100 mL, of the solution titrated, from its `titre`, mL.

    Range and source as in `lane_eynon_invert`.
    """
    return 100 * lane_eynon_invert(titre) / np.asarray(titre, float)


def luff_schoorl_sugars(blank: ArrayLike, sample: ArrayLike, strength: ArrayLike = 0.1) -> Values:
    """Return reducing sugars (glucose, fructose), mg, in the aliquot taken for 25 mL of reagent.

    `blank` and `sample` are the thiosulphate titres, mL, `strength` its mol/L; shapes broadcast.
    Linear between the rows of the table. Raises OutOfRange where the difference is not worth 1 to
    23 mL of 0.1 mol/L. Source: Luff and Schoorl's table (EU 79/796, EU 152/2009); from memory.
    """
    difference = np.asarray(blank, float) - np.asarray(sample, float)
    used = difference * np.asarray(strength, float) / 0.1
    # 2.3 - 1.3 is a hair under 1 in binary, and 1 is a row of the table
    return _read("thiosulphate used", np.round(used, 9), LUFF_SCHOORL)


def reducing_sugars_on_sample(found: ArrayLike, sample: ArrayLike) -> Values:
    """Return reducing sugars % of a sample, from mg `found` in what holds `sample` grams of it.

    Both in the same volume: 100 mL with Lane and Eynon's result, the aliquot with Luff and
    Schoorl's. Shapes broadcast. Source: definition.
    """
    return 0.1 * np.asarray(found, float) / np.asarray(sample, float)


def _read(name: str, values: ArrayLike, table: Values) -> Values:
    volumes, masses = table.T
    return np.interp(within(name, values, volumes[0], volumes[-1], "mL"), volumes, masses)
