"""What cane is worth in sugar. Every percentage is 0 to 100, by mass.

A constant that a payment rule sets anew is an argument: take it from the rule in force.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from app.chemistry.validity import within

Values = NDArray[np.float64]


def pol_in_cane_from_first_juice(
    pol: ArrayLike, fibre: ArrayLike, allowance: ArrayLike = 5.0
) -> Values:
    """Return pol % cane from `pol` % of first expressed juice and `fibre` % cane, in Australia.

    The `allowance`, added to fibre, stands for juice poorer than the first. For first expressed
    juice alone. Source: Engelke, Sugarcane: measuring commercial quality, Western Australia,
    Farmnote, Agdex 712/25; read.
    """
    return _percent("pol", pol) * (100 - (_percent("fibre", fibre) + _number(allowance))) / 100


def brix_in_cane_from_first_juice(
    brix: ArrayLike, fibre: ArrayLike, allowance: ArrayLike = 3.0
) -> Values:
    """Return brix % cane from `brix` % of first expressed juice and `fibre` % cane, in Australia.

    Source and use as `pol_in_cane_from_first_juice`.
    """
    return _percent("brix", brix) * (100 - (_percent("fibre", fibre) + _number(allowance))) / 100


def commercial_cane_sugar(pol: ArrayLike, brix: ArrayLike, fibre: ArrayLike) -> Values:
    """Return commercial cane sugar (CCS), % cane, from pol and brix % of first expressed juice.

    3/2 pol (1 - (fibre + 5)/100) - 1/2 brix (1 - (fibre + 3)/100); `fibre` % cane; shapes
    broadcast. Source: as `pol_in_cane_from_first_juice`.
    """
    pol, brix, fibre = _percent("pol", pol), _percent("brix", brix), _percent("fibre", fibre)
    return 1.5 * pol * (1 - (fibre + 5) / 100) - 0.5 * brix * (1 - (fibre + 3) / 100)


def commercial_cane_sugar_of_cane(pol: ArrayLike, brix: ArrayLike) -> Values:
    """Return commercial cane sugar, % cane: pol less half the impurities, both % cane.

    Source: as `pol_in_cane_from_first_juice`.
    """
    pol = _percent("pol", pol)
    return pol - 0.5 * (_percent("brix", brix) - pol)


def queensland_cane_price(
    sugar_price: ArrayLike,
    commercial_cane_sugar: ArrayLike,
    constant: ArrayLike,
    coefficient: ArrayLike = 90.0,
) -> Values:
    """Return the price of a tonne of cane, in the money of `sugar_price` a tonne.

    0.90 × sugar price × (CCS - 4)/100 + constant. The `constant` was 0.578 in 2000; it and the
    `coefficient` of work, %, are of their agreement and year. Source: Queensland Canegrowers; read.
    """
    share = _number(coefficient) / 100 * (_percent("CCS", commercial_cane_sugar) - 4) / 100
    return _number(sugar_price) * share + _number(constant)


def recoverable_value(
    sucrose: ArrayLike, brix: ArrayLike, fibre: ArrayLike, d: ArrayLike, c: ArrayLike
) -> Values:
    """Return South Africa's recoverable value (RV), % cane: sucrose - d non-sucrose - c fibre.

    Sucrose (not pol), brix and fibre % cane; non-sucrose is brix less sucrose. `d` (about 0.4) and
    `c` (about 0.02) are set for each season. Source: South African Sugar Association, Cane Testing
    Service; read.
    """
    return estimated_recoverable_crystal(sucrose, brix, fibre, a=1.0, b=d, c=c)


def estimated_recoverable_crystal(
    sucrose: ArrayLike,
    brix: ArrayLike,
    fibre: ArrayLike,
    *,
    a: ArrayLike,
    b: ArrayLike,
    c: ArrayLike,
) -> Values:
    """Return estimated recoverable crystal (ERC), % cane: a sucrose - b non-sucrose - c fibre.

    Sucrose, brix and fibre % cane. No set of a, b and c is shipped: none was confirmed as the
    published one. Source: Van Hengel 1974, as described by L. Wong, PhD thesis, Mauritius; read.
    """
    sucrose, brix = _percent("sucrose", sucrose), _percent("brix", brix)
    non_sucrose = brix - sucrose
    return _number(a) * sucrose - _number(b) * non_sucrose - _number(c) * _percent("fibre", fibre)


def recoverable_on_sucrose(recoverable: ArrayLike, sucrose: ArrayLike) -> Values:
    """Return recoverable crystal or value, % of the sucrose in cane; both % cane. A definition."""
    return 100 * _percent("recoverable sugar", recoverable) / _percent("sucrose", sucrose)


def jamaican_press_juice_factor(fibre: ArrayLike) -> Values:
    """Return pol % absolute juice over pol % press juice of a core sample: 1.02 - 0.0044 fibre.

    `fibre` % cane. Source: Sugar Industry Research Institute, Jamaica, core-sampling note; read.
    """
    return 1.02 - 0.44 * _percent("fibre", fibre) / 100


def pol_in_cane_from_jamaican_press(pol: ArrayLike, fibre: ArrayLike) -> Values:
    """Return pol % cane from `pol` % of press juice and `fibre` % cane, in Jamaica.

    Source: as `jamaican_press_juice_factor`.
    """
    fibre = _percent("fibre", fibre)
    return _percent("pol", pol) * jamaican_press_juice_factor(fibre) * (1 - fibre / 100)


def pol_in_cane_from_sao_paulo_press(pol: ArrayLike, fibre: ArrayLike) -> Values:
    """Return pol % cane from `pol` % of press juice and `fibre` % cane, in São Paulo.

    pol (1 - 0.01 fibre) (1.0313 - 0.00575 fibre). Source: CONSECANA's manual; from memory.
    """
    fibre = _percent("fibre", fibre)
    return _percent("pol", pol) * (1 - 0.01 * fibre) * (1.0313 - 0.00575 * fibre)


def jamaican_allowance(cake: ArrayLike, undetermined: ArrayLike, to_96_pol: ArrayLike) -> Values:
    """Return the factor for losses and for 96-degree sugar of the Jamaican formula.

    The shares (0 to 1) of pol left after filter cake and after undetermined losses, times the
    factor to sugar of 96 degrees. 0.994, 0.987 and 1.0474 were printed, and 1.03 for their product.
    Source: as `jamaican_press_juice_factor`.
    """
    cake, undetermined = within("cake", cake, 0, 1), within("undetermined", undetermined, 0, 1)
    return cake * undetermined * _number(to_96_pol)


def jamaican_recoverable_sugar(
    pol: ArrayLike, purity: ArrayLike, fibre: ArrayLike, allowance: ArrayLike = 1.03
) -> Values:
    """Return Jamaica's recoverable cane sugar (JRCS), t of 96-degree sugar per 100 t of cane.

    allowance × pol (1.02 - 0.44 F) (1 - F) (1 - 0.4 F) (1.4 - 40/purity), with F the fibre as a
    fraction; `pol` % and `purity` of press juice, `fibre` % cane. Raises OutOfRange where purity is
    not above 28.57 to 100 or fibre not 0 to 100. Source: as `jamaican_press_juice_factor`.
    """
    fraction = _percent("fibre", fibre) / 100
    in_juice = pol_in_cane_from_jamaican_press(pol, fibre) * (1 - 0.4 * fraction)
    return _number(allowance) * in_juice * _basic_recovery(purity)


def jamaican_recoverable_sugar_simplified(
    pol: ArrayLike, purity: ArrayLike, fibre: ArrayLike, allowance: ArrayLike = 1.03
) -> Values:
    """Return JRCS by the printed short form: allowance × pol (1.02 - 1.73 F) (1.4 - 40/purity).

    Within 0.5 % of `jamaican_recoverable_sugar` for 12 to 16 % fibre, 1 % low at 18. Arguments,
    errors and source as there.
    """
    fraction = _percent("fibre", fibre) / 100
    in_juice = _percent("pol", pol) * (1.02 - 1.73 * fraction)
    return _number(allowance) * in_juice * _basic_recovery(purity)


def _basic_recovery(purity: ArrayLike) -> Values:
    return 1.4 - 40 / within("purity", purity, 200 / 7, 100)


def _percent(name: str, values: ArrayLike) -> Values:
    return within(name, values, 0, 100, "%")


def _number(values: ArrayLike) -> Values:
    return np.asarray(values, dtype=float)
