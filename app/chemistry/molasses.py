"""Relations of final molasses.

Target purities stand on unlike bases of expectation and are 3 to 7 apart: name the one used, and
hold it against true purity (sucrose in dry solids), never against pol in brix.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from app.chemistry.validity import within

Values = NDArray[np.float64]


def target_purity_smri_1995(reducing_sugars_over_ash: ArrayLike) -> Values:
    """Return the target (true) purity of final molasses: 33.9 - 13.4 log10(reducing sugars / ash).

    Source: Smith, Sugar Milling Research Institute 1995, as quoted by Rein 2007; from memory.
    Printed targets of the Louisiana 2006 crop (White and Verret, Audubon Sugar Institute, read) lie
    0.06 to 0.31 above it on season-average ratios, as averaging a curved line makes them. A ratio
    outside 0.01 to 100 is a slip and raises OutOfRange; no range is printed.
    """
    return 33.9 - 13.4 * np.log10(_ratio(reducing_sugars_over_ash))


def target_purity_rein_smith_1981(reducing_sugars_over_ash: ArrayLike) -> Values:
    """Return the target (true) purity: 37.7 - 17.6 log10(reducing sugars / ash).

    Source: Rein and Smith 1981; from memory. Reads 3.8 above the printed Louisiana 2006 targets.
    Ratio as in `target_purity_smri_1995`.
    """
    return 37.7 - 17.6 * np.log10(_ratio(reducing_sugars_over_ash))


def target_purity_queensland(reducing_sugars_over_ash: ArrayLike) -> Values:
    """Return the target (true) purity: 40.67 - 17.80 log10(reducing sugars / ash).

    Source: Queensland (Broadfoot, Miller and others); from memory. Reads 6.7 above the printed
    Louisiana 2006 targets, as another basis of expectation. A ratio outside 0.01 to 100 is a slip
    and raises OutOfRange; no range is printed.
    """
    return 40.67 - 17.80 * np.log10(_ratio(reducing_sugars_over_ash))


def target_purity_south_africa_1976(reducing_sugars_over_ash: ArrayLike) -> Values:
    """Return the target (true) purity: 51.02 - 10.89 × reducing sugars / ash.

    Equilibrium at 40 °C and about 1000 poise. Source: South African equilibration; the two numbers
    read in a copy that had lost its signs, minus and ratio inferred; Matthesius and Mellet 1976
    from memory. Ratio as in `target_purity_queensland`.
    """
    return 51.02 - 10.89 * _ratio(reducing_sugars_over_ash)


def target_purity_java(reducing_sugars: ArrayLike, ash: ArrayLike) -> Values:
    """Return the target (true) purity: 35.886 - 0.08088 reducing sugars + 0.26047 ash.

    Both % of the dry matter that is not sucrose; shapes broadcast. Raises OutOfRange outside 0 to
    100. Source: Douwes Dekker, Java; from memory.
    """
    reducing_sugars = within("reducing sugars", reducing_sugars, 0, 100, "%")
    return 35.886 - 0.08088 * reducing_sugars + 0.26047 * within("ash", ash, 0, 100, "%")


def on_non_sucrose(part: ArrayLike, sucrose: ArrayLike, dry_matter: ArrayLike) -> Values:
    """Return a part of molasses, % of its dry matter that is not sucrose.

    `part`, `sucrose` and `dry_matter` % molasses; shapes broadcast. Raises OutOfRange outside 0 to
    100. Source: definition.
    """
    sucrose = within("sucrose", sucrose, 0, 100, "%")
    non_sucrose = within("dry matter", dry_matter, 0, 100, "%") - sucrose
    return 100 * within("part", part, 0, 100, "%") / non_sucrose


def at_standard_brix(molasses: ArrayLike, brix: ArrayLike, standard: ArrayLike) -> Values:
    """Return `molasses` (any unit) of `brix` % as molasses of `standard` brix, %.

    85 in South African statistics, 86 in the Mauritian trade (read). Source: definition.
    """
    brix, standard = within("brix", brix, 0, 100, "%"), within("brix", standard, 0, 100, "%")
    return within("molasses", molasses, 0, np.inf) * brix / standard


def _ratio(values: ArrayLike) -> Values:
    return within("reducing sugars over ash", values, 0.01, 100)
