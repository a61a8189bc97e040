"""Lime and sulphur of the juice house.

Quicklime burns skin and eyes and boils when it meets water: goggles, gloves, lime into water and
never water onto lime. Sulphur dioxide chokes, above all people with asthma: closed burners,
ventilation, a detector, breathing apparatus at hand. Local codes and licensed practice rule.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from app.chemistry.validity import within

Values = NDArray[np.float64]

# g/mol. Source: IUPAC, abridged standard atomic weights; from memory.
CALCIUM, OXYGEN, HYDROGEN, SULPHUR = 40.078, 15.999, 1.008, 32.06
QUICKLIME = CALCIUM + OXYGEN
SLAKED_LIME = QUICKLIME + 2 * HYDROGEN + OXYGEN

MILK_OF_LIME_BAUME = (10.0, 15.0, 20.0, 25.0, 30.0)
MILK_OF_LIME_CONTENT = (94.0, 148.0, 206.0, 268.0, 339.0)


def slaked_lime(quicklime: ArrayLike) -> Values:
    """Return the calcium hydroxide that a mass of calcium oxide makes with water, in its unit.

    Source: molar masses, CaO 56.08 and Ca(OH)2 74.09.
    """
    return within("quicklime", quicklime, 0, np.inf) * SLAKED_LIME / QUICKLIME


def quicklime(slaked: ArrayLike) -> Values:
    """Return the calcium oxide in a mass of calcium hydroxide, in its unit: 0.757 of it.

    Source: molar masses, as `slaked_lime`.
    """
    return within("slaked lime", slaked, 0, np.inf) * QUICKLIME / SLAKED_LIME


def available_lime(lime: ArrayLike, available: ArrayLike) -> Values:
    """Return the calcium oxide that can act, in the unit of the `lime` bought.

    `available` is its available CaO, % of the lime as bought, by the sugar method or titration;
    shapes broadcast. Raises OutOfRange outside 0 to 100 %. Source: definition.
    """
    return within("lime", lime, 0, np.inf) * within("available lime", available, 0, 100, "%") / 100


def calcium_oxide_in_milk_of_lime(
    baume: ArrayLike,
    table_baume: ArrayLike = MILK_OF_LIME_BAUME,
    table_content: ArrayLike = MILK_OF_LIME_CONTENT,
) -> Values:
    """Return calcium oxide, g/L, in milk of lime of `baume` °Bé near 15 °C.

    Linear between the rows of a table (rising °Bé, g/L): give the mill's own, for the one shipped
    is of low confidence. Lime that settles, grit and magnesia upset the spindle. Raises OutOfRange
    outside the table, ValueError for a table that does not rise. Source: a table of the trade;
    from memory. Tables differ: Lunge (Dingler's Polytechnisches Journal 250, 1883; read) calls
    Mategczek's of 1875 wrong and prints Blattner's in its place; which of them this follows
    is not settled.
    """
    degrees, contents = np.asarray(table_baume, float), np.asarray(table_content, float)
    if (np.diff(degrees) <= 0).any():
        raise ValueError("the table of milk of lime is to rise in °Bé")
    return np.interp(
        within("milk of lime", baume, degrees[0], degrees[-1], "°Bé"), degrees, contents
    )


def sulphur_dioxide_by_rule(sulphur: ArrayLike) -> Values:
    """Return the sulphur dioxide from a mass of sulphur burnt, in its unit: twice as much.

    Source: common practice.
    """
    return 2.0 * within("sulphur", sulphur, 0, np.inf)


def sulphur_dioxide(sulphur: ArrayLike) -> Values:
    """Return the sulphur dioxide from a mass of sulphur burnt, in its unit, by molar masses.

    Complete burning to the dioxide is taken; 0.1 % less than the rule. Source: molar masses.
    """
    return within("sulphur", sulphur, 0, np.inf) * (SULPHUR + 2 * OXYGEN) / SULPHUR
