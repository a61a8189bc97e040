"""Relations of massecuite, its crystals and its mother liquor; crystals are taken as pure."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from app.chemistry.recovery import sugar_solids_share
from app.chemistry.validity import within

Values = NDArray[np.float64]


def crystal_content(massecuite: ArrayLike, mother_liquor: ArrayLike) -> Values:
    """Return crystal % brix of massecuite, from the purities of massecuite and mother liquor.

    Raises OutOfRange outside 0 to 100. Source: Hugot; Rein, Cane Sugar Engineering (2007); from
    memory, closed by algebra.
    """
    massecuite, mother_liquor = _purity(massecuite), _purity(mother_liquor)
    return 100 * (massecuite - mother_liquor) / (100 - mother_liquor)


def exhaustion(massecuite: ArrayLike, mother_liquor: ArrayLike) -> Values:
    """Return the sucrose crystallised, % of the sucrose in massecuite. Source: as above."""
    return 100 * crystal_content(massecuite, mother_liquor) / _purity(massecuite)


def crystal_in_massecuite(
    brix: ArrayLike, massecuite: ArrayLike, mother_liquor: ArrayLike
) -> Values:
    """Return crystal % massecuite, from its `brix` % and the two purities. Source: as above."""
    massecuite, mother_liquor = _purity(massecuite), _purity(mother_liquor)
    return within("brix", brix, 0, 100, "%") * crystal_content(massecuite, mother_liquor) / 100


def mother_liquor_brix(brix: ArrayLike, crystal: ArrayLike) -> Values:
    """Return brix % of the mother liquor, from `brix` % and `crystal` % of massecuite.

    Raises OutOfRange outside 0 to 100. Source: mass balance.
    """
    brix, crystal = within("brix", brix, 0, 100, "%"), within("crystal", crystal, 0, 100, "%")
    return 100 * (brix - crystal) / (100 - crystal)


def non_sucrose_over_water(brix: ArrayLike, purity: ArrayLike) -> Values:
    """Return non-sucrose per unit of water, of massecuite or of its mother liquor: it is the same.

    `brix` % and `purity` of the one or the other. Raises OutOfRange outside 0 to 100. Source:
    definition; as the handle of viscosity, Sanaullah 2017, read.
    """
    brix = within("brix", brix, 0, 100, "%")
    return (100 - _purity(purity)) * brix / (100 * (100 - brix))


def richer_share_of_solids(wanted: ArrayLike, richer: ArrayLike, poorer: ArrayLike) -> Values:
    """Return the share, %, of the solids to come from the `richer` of two materials.

    Purities of the mixture `wanted` and of both materials; shapes broadcast. Raises OutOfRange
    where the wanted purity does not lie between. Source: mixing rule (cobenze); common practice.
    """
    wanted, richer, poorer = _purity(wanted), _purity(richer), _purity(poorer)
    return within("share of solids", 100 * ((wanted - poorer) / (richer - poorer)), 0, 100, "%")


def sugar_at_centrifugal(massecuite: ArrayLike, sugar: ArrayLike, molasses: ArrayLike) -> Values:
    """Return the solids of massecuite that leave the centrifugal as sugar, %.

    Purities of massecuite, of the sugar as it leaves and of the molasses run off; shapes broadcast.
    Raises OutOfRange outside 0 to 100. Source: the s-j-m rule at the centrifugal.
    """
    return 100 * sugar_solids_share(_purity(massecuite), _purity(sugar), _purity(molasses))


def slurry_sugar(crystals: ArrayLike, seed: ArrayLike, grown: ArrayLike) -> Values:
    """Return the sugar to mill into slurry, in the unit of the mass of `crystals` wanted.

    `seed` and `grown` are the sizes of a crystal at first and at last, in one unit; every seed is
    taken to grow and none to be born or lost. Slurry in alcohol burns and its vapour explodes: no
    flame, spark or hot pan near it; local codes and licensed practice rule.
    Source: volume of like bodies; common practice.
    """
    ratio = within("seed over grown crystal", np.asarray(seed, float) / grown, 0, 1)
    return within("crystals", crystals, 0, np.inf) * ratio**3


def massecuite_of_solids(solids: ArrayLike, brix: ArrayLike) -> Values:
    """Return massecuite, in the unit of its `solids`, from `brix` %. Source: definition."""
    return 100 * within("solids", solids, 0, np.inf) / within("brix", brix, 0, 100, "%")


def _purity(values: ArrayLike) -> Values:
    return within("purity", values, 0, 100)
