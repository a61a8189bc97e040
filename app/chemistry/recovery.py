"""Relations of the boiling house. Every percentage and purity is 0 to 100."""

import numpy as np
from numpy.typing import NDArray

Values = NDArray[np.float64]

STANDARD_JUICE_PURITY = 85.0


def sjm_recovery(juice: Values, sugar: Values, molasses: Values) -> Values:
    """Return the pol that two products of purity `sugar` and `molasses` can take from `juice`, %.

    Valid where molasses < juice < sugar purity; not a number elsewhere. Loss-free: filter cake and
    undetermined losses stand outside it. Source: Deerr 1921 as stated by L. Wong (PhD thesis on
    extraneous matter, Mauritius); read.
    """
    inside = (molasses < juice) & (juice < sugar)
    share = 100 * sugar * (juice - molasses) / (juice * (sugar - molasses))
    return np.where(inside, share, np.nan)


def sugar_solids_share(material: Values, sugar: Values, molasses: Values) -> Values:
    """Return the part (0 to 1) of the solids of `material` that becomes sugar; the rest, molasses.

    At or below the molasses purity nothing is recoverable; at or above the sugar purity all of it.
    Source: the s-j-m rule (see `sjm_recovery`), closed by algebra.
    """
    return np.clip((material - molasses) / (sugar - molasses), 0.0, 1.0)


def winter_carp_recovery(juice: Values) -> Values:
    """Return the basic recovery of juice of purity `juice`, % of its pol: 140 - 4000/J.

    Equal to the s-j-m rule with pure sugar and molasses of 28.57 purity. Valid above 60 purity.
    Source: Sugar Industry Research Institute, Jamaica, core-sampling note (1.4 - 40/Q); read.
    """
    return 140 - 4000 / juice


def equivalent_standard_granulated(pol: Values, moisture: Values) -> Values:
    """Return the pure sugar obtainable from a sugar, % of its weight: 1.4 pol - 0.4 solids.

    `pol` % and `moisture` % of the sugar. Source: ISSCT, System of Cane Sugar Factory Control;
    Cane Sugar Handbook; from memory, equal by algebra to pol (1.4 - 40/purity).
    """
    return 1.4 * pol - 0.4 * (100 - moisture)


def virtual_molasses_purity(juice: Values, recovery: Values) -> Values:
    """Return the molasses purity that would alone explain `recovery` % from `juice` purity.

    Every loss of the boiling house is charged to molasses, with pure sugar on top.
    Source: Gundu Rao's method; from memory, formula by algebra from the s-j-m rule.
    """
    return 100 * juice * (100 - recovery) / (10000 - juice * recovery)


def recovery_at_standard_juice(virtual_purity: Values) -> Values:
    """Return the recovery, %, from juice of 85 purity with that virtual molasses purity held.

    Source: as `virtual_molasses_purity`.
    """
    return (
        10000
        * (STANDARD_JUICE_PURITY - virtual_purity)
        / (STANDARD_JUICE_PURITY * (100 - virtual_purity))
    )


def recovery_at_constant_efficiency(efficiency: Values) -> Values:
    """Return the recovery, %, from juice of 85 purity at the same boiling house `efficiency` %.

    Source: one of two rules printed under Noel Deerr's name; from memory, attribution unsettled.
    """
    return efficiency * winter_carp_recovery(np.asarray(STANDARD_JUICE_PURITY)) / 100
