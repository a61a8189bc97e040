"""Relations of the boiling house. Every percentage and purity is 0 to 100."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from app.chemistry.validity import within

Values = NDArray[np.float64]

STANDARD_JUICE_PURITY = 85.0
JUST_BELOW_ONE = 1 - 1e-12


def sjm_recovery(juice: Values, sugar: Values, molasses: Values) -> Values:
    """Return the pol that two products of purity `sugar` and `molasses` can take from `juice`, %.

    Purities, molasses < juice < sugar; raises OutOfRange where they are not. Loss-free: filter
    cake and undetermined losses stand outside it. Source: Deerr 1921 as stated by L. Wong (PhD
    thesis on extraneous matter, Mauritius); read.
    """
    juice = sugar * within("juice purity over sugar purity", juice / sugar, 0, JUST_BELOW_ONE)
    within("molasses purity over juice purity", molasses / juice, 0, JUST_BELOW_ONE)
    share = 100 * sugar * (juice - molasses) / (juice * (sugar - molasses))
    return np.where(molasses < juice, share, np.nan)


def sugar_solids_share(material: Values, sugar: Values, molasses: Values) -> Values:
    """Return the part (0 to 1) of the solids of `material` that becomes sugar; the rest, molasses.

    At or below the molasses purity nothing is recoverable; at or above the sugar purity all of it.
    Source: the s-j-m rule (see `sjm_recovery`), closed by algebra.
    """
    return np.clip((material - molasses) / (sugar - molasses), 0.0, 1.0)


def winter_carp_recovery(juice: Values) -> Values:
    """Return the basic recovery of juice of purity `juice`, % of its pol: 140 - 4000/J.

    Equal to the s-j-m rule with pure sugar and molasses of 28.57 purity. Meant for juice
    above 60 purity; raises OutOfRange outside 28.57 to 100, where nothing or all is recovered.
    Source: Sugar Industry Research Institute, Jamaica, core-sampling note (1.4 - 40/Q); read.
    """
    return 140 - 4000 / within("juice purity", juice, 28.57, 100, "%")


def equivalent_standard_granulated(pol: Values, moisture: Values) -> Values:
    """Return the pure sugar obtainable from a sugar, % of its weight: 1.4 pol - 0.4 solids.

    `pol` % and `moisture` % of the sugar; raises OutOfRange outside 0 to 100. Source: ISSCT,
    System of Cane Sugar Factory Control; Cane Sugar Handbook; from memory, equal by algebra to
    pol (1.4 - 40/purity).
    """
    moisture = within("moisture", moisture, 0, 100, "%")
    return 1.4 * within("pol", pol, 0, 100, "%") - 0.4 * (100 - moisture)


def virtual_molasses_purity(juice: Values, recovery: Values) -> Values:
    """Return the molasses purity that would alone explain `recovery` % from `juice` purity.

    Every loss of the boiling house is charged to molasses, with pure sugar on top. Raises
    OutOfRange outside 0 to 100 purity. Source: Gundu Rao's method; from memory, formula by algebra
    from the s-j-m rule.
    """
    juice = within("juice purity", juice, 0, 100, "%")
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


def virtual_molasses_purity_beside_sugar(
    juice: ArrayLike, recovery: ArrayLike, sugar: ArrayLike
) -> Values:
    """Return the virtual molasses purity with sugar of its real purity on top.

    J S (100 - R)/(100 S - J R): `juice` purity J, `sugar` dry purity S, `recovery` R in % of pol,
    not of standard granulated; with pure sugar it is `virtual_molasses_purity`. Shapes broadcast.
    Raises OutOfRange outside 0 to 100. Source: by algebra from the s-j-m rule.
    """
    juice, sugar = within("juice purity", juice, 0, 100), within("sugar purity", sugar, 0, 100)
    recovery = within("recovery", recovery, 0, 100, "%")
    return juice * sugar * (100 - recovery) / (100 * sugar - juice * recovery)


def pol_held_by_non_pol(molasses: ArrayLike) -> Values:
    """Return the pol that each unit of non-pol takes into molasses of that purity: M/(100 - M).

    0.4 at 28.57 (Winter and Carp), 0.5 at 33.33 (commercial cane sugar), 1 at 50. Raises OutOfRange
    outside 0 to 100. Source: definition of purity.
    """
    molasses = within("molasses purity", molasses, 0, 100)
    return molasses / (100 - molasses)


def recoverable_pol(pol: ArrayLike, non_pol: ArrayLike, molasses: ArrayLike) -> Values:
    """Return the pol left for sugar, in the unit of `pol` and `non_pol` of a material.

    All its non-pol leaves in molasses of that purity. Below 0 where the material is poorer than the
    molasses. The s-j-m rule with pure sugar. Source: by algebra.
    """
    return np.asarray(pol, float) - np.asarray(non_pol, float) * pol_held_by_non_pol(molasses)


def factory_recovery_index(sugar: ArrayLike, recoverable: ArrayLike) -> Values:
    """Return Jamaica's factory recovery index (FRI): 96-degree sugar made, % of that expected.

    `sugar` made and `recoverable` sugar (JRCS) of the cane, tonnes of 96-degree sugar; shapes
    broadcast. 80 to 94 is usual; the standard of 2003/04 was 91. Source: Sugar Industry Research
    Institute, Jamaica; read.
    """
    recoverable = within("recoverable sugar", recoverable, 0, np.inf, "t")
    return 100 * within("sugar", sugar, 0, np.inf, "t") / recoverable
