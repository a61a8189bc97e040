"""Relations of final molasses."""

import numpy as np
from numpy.typing import NDArray

Values = NDArray[np.float64]


def target_purity_smri_1995(reducing_sugars_over_ash: Values) -> Values:
    """Return the target (true) purity of final molasses: 33.9 - 13.4 log10(reducing sugars / ash).

    Source: Smith, Sugar Milling Research Institute 1995, as quoted by Rein 2007; from memory.
    Printed targets of the Louisiana 2006 crop (White and Verret, Audubon Sugar Institute, read) lie
    0.06 to 0.31 above it on season-average ratios, as averaging a curved line makes them.
    """
    return 33.9 - 13.4 * np.log10(reducing_sugars_over_ash)


def target_purity_rein_smith_1981(reducing_sugars_over_ash: Values) -> Values:
    """Return the target (true) purity: 37.7 - 17.6 log10(reducing sugars / ash).

    Source: Rein and Smith 1981; from memory. Reads 3.8 above the printed Louisiana 2006 targets.
    """
    return 37.7 - 17.6 * np.log10(reducing_sugars_over_ash)
