"""Relations of massecuite, its crystals and its mother liquor; crystals are taken as pure."""

import numpy as np
from numpy.typing import NDArray

Values = NDArray[np.float64]


def crystal_content(massecuite: Values, mother_liquor: Values) -> Values:
    """Return crystal % brix of massecuite, from the purities of massecuite and mother liquor.

    Source: Hugot; Rein, Cane Sugar Engineering (2007); from memory, closed by algebra.
    """
    return 100 * (massecuite - mother_liquor) / (100 - mother_liquor)


def exhaustion(massecuite: Values, mother_liquor: Values) -> Values:
    """Return the sucrose crystallised, % of the sucrose in massecuite. Source: as above."""
    return 100 * crystal_content(massecuite, mother_liquor) / massecuite
