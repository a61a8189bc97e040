"""Relations of the milling tandem and the diffuser. Every percentage is 0 to 100, by mass."""

import numpy as np
from numpy.typing import NDArray

Values = NDArray[np.float64]

DEERR_FIBRE = 12.5


def dissolved_solids_from_pol(pol: Values, purity: Values) -> Values:
    """Return brix %, from `pol` % and the `purity` of the liquid that holds it.

    Source: definition of purity.
    """
    return 100 * pol / purity


def fibre_by_difference(moisture: Values, pol: Values, residual_purity: Values) -> Values:
    """Return fibre % of bagasse: what is neither moisture nor dissolved solids.

    `residual_purity` is the purity of the juice left in bagasse. Five points of it move fibre by
    0.15 to 0.2. Source: System of Cane Sugar Factory Control (ISSCT, 3rd ed. 1971); Hugot,
    Handbook of Cane Sugar Engineering; from memory.
    """
    return 100 - moisture - dissolved_solids_from_pol(pol, residual_purity)


def reduced_extraction(extraction: Values, fibre: Values) -> Values:
    """Return pol extraction reduced to 12.5 % fibre by Deerr's rule.

    The absolute juice lost per unit of fibre is held and the fibre reset to 12.5 % of cane; at
    12.5 % fibre nothing changes. `extraction` % of pol in cane, `fibre` % cane.
    Source: Deerr, Cane Sugar (1921); Hugot; from memory.
    """
    held = (100 - DEERR_FIBRE) / DEERR_FIBRE
    return 100 - (100 - extraction) * (100 - fibre) / (held * fibre)


def lost_absolute_juice(extraction: Values, fibre: Values) -> Values:
    """Return absolute juice lost in bagasse, % fibre.

    The basis is that of `extraction` (brix here, without brix-free water unless the caller takes
    it out of the juice). Source: ISSCT, System of Cane Sugar Factory Control; from memory.
    """
    return (100 - extraction) * (100 - fibre) / fibre
