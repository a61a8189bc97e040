"""Quality of sugar, and one sugar counted as another. Percentages are 0 to 100, by mass.

The scales for standard sugar agree at 96 pol and nowhere else: name the one used.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from app.chemistry.validity import within

Values = NDArray[np.float64]


def pol_ratio_to_96(sugar: ArrayLike, pol: ArrayLike) -> Values:
    """Return `sugar` (any unit) of `pol` % as sugar of 96 pol with the same pol.

    Source: common practice.
    """
    return _mass(sugar) * _percent("pol", pol) / 96


def united_states_raw_value(sugar: ArrayLike, pol: ArrayLike) -> Values:
    """Return `sugar` (any unit) of `pol` % as raw value of the United States.

    max(0.93, 1.07 - 0.0175 (100 - pol)) of its weight. Source: customs rules; from memory.
    """
    worth = 1.07 - 0.0175 * (100 - _percent("pol", pol))
    return _mass(sugar) * np.maximum(0.93, worth)


def european_raw_equivalent(sugar: ArrayLike, pol: ArrayLike) -> Values:
    """Return raw cane `sugar` (any unit) of `pol` % as raw sugar of the standard quality.

    (2 pol - 100)/92 of its weight, 50 to 100 pol; white sugar counts 1/0.92 raw. Source: Council
    Regulation (EC) 318/2006, Annex I: the yield of 92 read, the clause on cane sugar from memory.
    """
    return _mass(sugar) * yield_by_pol(pol) / 92


def total_reducing_sugars(pol: ArrayLike) -> Values:
    """Return the reducing sugars that sucrose of `pol` % makes when it is split: pol/0.95.

    Source: CONSECANA's 0.95, which is 342.30/360.31; from memory.
    """
    return _percent("pol", pol) / 0.95


def yield_by_pol(pol: ArrayLike) -> Values:
    """Return refined sugar expected, % raw sugar of 50 to 100 pol: 2 pol - 100.

    Non-pol of the raw sugar holds back its own weight of pol: molasses of 50 purity. Less 0.50 in
    practice. Source: Bento, note on formulas of raw sugar yield, 2011; read.
    """
    return 2 * within("pol", pol, 50, 100, "%") - 100


def yield_south_africa(
    pol: ArrayLike, ash: ArrayLike, invert: ArrayLike, loss: ArrayLike
) -> Values:
    """Return refined sugar expected, % raw sugar: pol - 4.5 ash - invert - loss.

    `loss` was 0.6 to 0.8. Source: as `yield_by_pol`.
    """
    return _net(pol, ash, 4.5, invert, 1) - _percent("loss", loss)


def yield_united_kingdom(pol: ArrayLike, ash: ArrayLike, invert: ArrayLike) -> Values:
    """Return refined sugar expected, % raw sugar: pol - 3 ash - 2 invert.

    Source: as `yield_by_pol`.
    """
    return _net(pol, ash, 3, invert, 2)


def yield_australia(pol: ArrayLike, ash: ArrayLike, invert: ArrayLike) -> Values:
    """Return refined sugar expected, % raw sugar: pol - 5 ash - invert.

    Source: as `yield_by_pol`.
    """
    return _net(pol, ash, 5, invert, 1)


def _net(
    pol: ArrayLike, ash: ArrayLike, ash_weight: float, invert: ArrayLike, invert_weight: float
) -> Values:
    pol, ash, invert = _percent("pol", pol), _percent("ash", ash), _percent("invert", invert)
    return pol - ash_weight * ash - invert_weight * invert


def safety_factor(pol: ArrayLike, moisture: ArrayLike) -> Values:
    """Return the safety factor of raw sugar: moisture per unit of what is not pol.

    Up to 0.25 (0.30 with some) sugar is held to keep. Source: common practice.
    """
    return _percent("moisture", moisture) / (100 - _percent("pol", pol))


def dilution_indicator(pol: ArrayLike, moisture: ArrayLike) -> Values:
    """Return the dilution indicator of raw sugar: moisture % of the solids that are not pol.

    100 SF/(1 - SF), with SF the safety factor; some call it by that name. Source: common practice.
    """
    return _on_impurity("moisture", moisture, pol, moisture)


def ash_on_impurity(ash: ArrayLike, pol: ArrayLike, moisture: ArrayLike) -> Values:
    """Return ash % of the solids that are not pol; it rises as sugar is washed.

    Source: practice of Queensland; Finger and Mitchell, read.
    """
    return _on_impurity("ash", ash, pol, moisture)


def _on_impurity(name: str, part: ArrayLike, pol: ArrayLike, moisture: ArrayLike) -> Values:
    impurity = 100 - _percent("pol", pol) - _percent("moisture", moisture)
    return 100 * _percent(name, part) / impurity


def european_colour_points(colour: ArrayLike) -> Values:
    """Return the points of white sugar for `colour` in solution, IU: one for each 7.5.

    The standard quality has at most 6. Source: Council Regulation (EC) 318/2006, Annex I; read.
    """
    return within("colour", colour, 0, np.inf, "IU") / 7.5


def european_ash_points(ash: ArrayLike) -> Values:
    """Return the points of white sugar for conductivity `ash`, %: one for each 0.0018.

    The standard quality has at most 15. Source: Council Regulation (EC) 318/2006, Annex I; read.
    """
    return _percent("ash", ash) / 0.0018


def _mass(values: ArrayLike) -> Values:
    return within("sugar", values, 0, np.inf)


def _percent(name: str, values: ArrayLike) -> Values:
    return within(name, values, 0, 100, "%")
