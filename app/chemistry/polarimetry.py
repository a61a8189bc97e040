"""Pol by saccharimeter: scale, temperature, juice, bagasse, filter cake, molasses, sucrose.

Basic lead acetate is a poison, and a waste that must not reach the drain; the hydrochloric acid of
an inversion burns. Local codes, the safety data sheet and licensed practice come before anything
said here. Dry lead, wet lead and lead-free clarifiers do not give the same pol: the one used
belongs to the result.
"""

from typing import NamedTuple

import numpy as np
from numpy.polynomial import polynomial
from numpy.typing import ArrayLike, NDArray

from app.chemistry.density import apparent_specific_gravity
from app.chemistry.validity import within

Values = NDArray[np.float64]

NORMAL_WEIGHT = 26.0  # g in air in 100 mL at 20 °C: 100 °Z in 200 mm; read
NORMAL_WEIGHT_IN_VACUUM = 26.016  # the same, true mass; read
WATER_IN_AIR = 99.718  # g of water weighed in air in 100 mL at 20 °C; from memory
QUARTZ = 1.44e-4  # growth of the rotation of quartz, per K; from memory

# What 100 °Z turns in 200 mm at 20 °C, degrees of arc, by wavelength in vacuum, nm (ICUMSA SPS-1,
# OIML R 14): sodium read, mercury and helium-neon from memory.
HUNDRED_POINT = {546.2271: 40.777, 589.44: 34.626, 632.9914: 29.751}
# By powers of 1/wavelength², µm; the text read had lost the powers, which two of the points fix.
DISPERSION = (-1.7982e-3, 0.2765318, 6.55736e-3, 0.0, 1.03825e-5)

# How much more a solution would read at 20 °C, per K above it. Worked out here from the rotation
# of sucrose (1.84e-4 per K, from memory), the expansion of a normal solution and that of glass.
MADE_UP_AT_20 = 4.67e-4  # read at t in a polarimeter
MADE_UP_AND_READ = 1.86e-4  # at t, in flasks of borosilicate glass, in a polarimeter
QUARTZ_WEDGE = 3.0e-4  # made up and read at t in a quartz-wedge instrument; books, from memory

DRY_CLARIFICATION = 1.0  # the powder takes up no volume that counts
WET_CLARIFICATION = 1.1  # a flask of 100 mL filled to the 110 mL mark


def _reading(values: ArrayLike) -> Values:
    return within("saccharimeter reading", values, -150, 150, "°Z")


def rotation_of_hundred(wavelength: ArrayLike) -> Values:
    """Return the rotation of 100 °Z, degrees of arc, at 200 mm and 20 °C.

    `wavelength` in vacuum, 546 to 633 nm, between the points the formula was checked on (any
    shape). Raises OutOfRange. Source: dispersion formula of OIML R 14, digits read, powers
    recovered; within 0.0005 of the three points.
    """
    micrometres = within("wavelength", wavelength, 546, 633, "nm") / 1000
    turned = polynomial.polyval(1 / np.square(micrometres), DISPERSION)
    return np.asarray(HUNDRED_POINT[546.2271] * turned, dtype=float)


def reading_from_rotation(rotation: ArrayLike, wavelength: ArrayLike) -> Values:
    """Return °Z from the `rotation` of a tube of 200 mm, -60 to 60 degrees of arc.

    `wavelength` as in `rotation_of_hundred`, whose source this has; shapes broadcast; raises
    OutOfRange.
    """
    turned = within("rotation", rotation, -60, 60, "degrees")
    return 100 * turned / rotation_of_hundred(wavelength)


def rotation_from_reading(reading: ArrayLike, wavelength: ArrayLike) -> Values:
    """Return the rotation, degrees of arc, of `reading` °Z; the inverse of the above."""
    return _reading(reading) * rotation_of_hundred(wavelength) / 100


def polarization_at_20(
    reading: ArrayLike, temperature: ArrayLike, coefficient: ArrayLike
) -> Values:
    """Return what a solution read at `temperature`, 10 to 40 °C, would read at 20 °C, °Z.

    `reading` -150 to 150 °Z, `coefficient` per K, -0.001 to 0.001; shapes broadcast. It depends on
    where the flask was filled and on the instrument: see MADE_UP_AT_20, MADE_UP_AND_READ and
    QUARTZ_WEDGE. Instruments that compensate need none. Raises OutOfRange. Source: ICUMSA form
    R (1 + k (t - 20)); from memory.
    """
    warmer = within("temperature", temperature, 10, 40, "°C") - 20
    return _reading(reading) * (1 + within("coefficient", coefficient, -1e-3, 1e-3) * warmer)


def quartz_plate_at(value: ArrayLike, temperature: ArrayLike) -> Values:
    """Return what a quartz plate of `value` °Z at 20 °C reads in a polarimeter at `temperature`.

    -150 to 150 °Z, 10 to 40 °C; shapes broadcast; raises OutOfRange. Source: NBS Circular 440,
    ICUMSA (1.44e-4 per K); from memory.
    """
    return _reading(value) * (1 + QUARTZ * (within("temperature", temperature, 10, 40, "°C") - 20))


def schmitz_factor(brix: ArrayLike) -> Values:
    """Return the pol % of undiluted juice for each °Z, from its `brix`, 0 to 85 (any shape).

    26 ÷ (99.718 × apparent specific gravity 20/20). Older printed tables (Schmitz; not seen) let
    rotation depend on concentration besides and may differ by 0.01 to 0.03 in pol. Raises
    OutOfRange. Source: definition of the sugar scale, on densities of ICUMSA SPS-4.
    """
    gravity = apparent_specific_gravity(within("brix", brix, 0, 85, "°Bx"))
    return NORMAL_WEIGHT / (WATER_IN_AIR * gravity)


def pol_of_undiluted(reading: ArrayLike, brix: ArrayLike, dilution: ArrayLike) -> Values:
    """Return the pol %, by mass in air, of juice or another liquid read undiluted in 200 mm.

    `reading` -150 to 150 °Z, `brix` 0 to 85 of the liquid before it was clarified; `dilution` is
    the volume read over the volume taken, 1 to 10: DRY_CLARIFICATION, WET_CLARIFICATION or more;
    shapes broadcast. Raises OutOfRange. Source: as `schmitz_factor`.
    """
    volume = within("dilution", dilution, 1, 10)
    return _reading(reading) * volume * schmitz_factor(brix)


def pol_by_weight(
    reading: ArrayLike, sample: ArrayLike, volume: ArrayLike = 100.0, dilution: ArrayLike = 1.0
) -> Values:
    """Return the pol % of a `sample`, g, dissolved to `volume`, mL, and read in 200 mm.

    R × 26 × volume ÷ (100 × sample): the reading itself for the normal weight, twice it for the
    half-normal 13 g of molasses. `reading` -150 to 150 °Z, sample 1 to 1000 g, volume 10 to
    2000 mL, `dilution` as in `pol_of_undiluted`; shapes broadcast. Raises OutOfRange. Source:
    definition of the sugar scale.
    """
    taken = within("sample", sample, 1, 1000, "g")
    held = within("volume", volume, 10, 2000, "mL") * within("dilution", dilution, 1, 10)
    return _reading(reading) * NORMAL_WEIGHT * held / (100 * taken)


def pol_of_filter_cake(
    reading: ArrayLike, insolubles: ArrayLike, sample: ArrayLike = 50.0, flask: ArrayLike = 200.0
) -> Values:
    """Return the pol % of filter cake: `sample`, g, made up to the mark of a `flask`, mL.

    `insolubles` is the volume, mL, 0 to 50, that what does not dissolve fills in the flask. 50 g in
    200 mL read directly is exact where that is 7.69 mL. Further ranges as in `pol_by_weight`;
    raises OutOfRange. Source: definition of the sugar scale, by mass balance.
    """
    filled = within("volume of insolubles", insolubles, 0, 50, "mL")
    return pol_by_weight(reading, sample, within("flask", flask, 100, 2000, "mL") - filled)


def pol_of_bagasse(
    reading: ArrayLike, extract_brix: ArrayLike, moisture: ArrayLike, water: ArrayLike,
    *, dissolved_solids: ArrayLike, fibre: ArrayLike, brix_free_water: ArrayLike,
) -> Values:  # fmt: skip
    """Return the pol % of bagasse from the cold extract of a wet disintegrator.

    `reading` °Z of the extract in 200 mm (halve that of 400 mm), its brix 0 to 10, `moisture` %
    bagasse and `water` added per 100 of bagasse (usually 1000; 50 to 5000). Three conventions are
    in use, up to 1.1 % of the result apart, and no default chooses between them:

    - the liquid is water alone: the three last arguments are 0;
    - with the `dissolved_solids`, % bagasse;
    - and less the water that fibre keeps free of brix: `brix_free_water`, % of `fibre` % bagasse
      (25 by convention).

    Shapes broadcast; raises OutOfRange. Source: mass balance of the liquid, worked out here.
    """
    in_extract = pol_of_undiluted(reading, within("extract brix", extract_brix, 0, 10, "°Bx"), 1)
    kept = within("brix-free water", brix_free_water, 0, 50, "%") / 100
    liquid = (
        within("water", water, 50, 5000)
        + within("moisture", moisture, 0, 100, "%")
        + within("dissolved solids", dissolved_solids, 0, 100, "%")
        - kept * within("fibre", fibre, 0, 100, "%")
    )
    return in_extract * liquid / 100


class DirectAnalysis(NamedTuple):
    """Brix, pol and fibre of a sample, each % of it."""

    brix: Values
    pol: Values
    fibre: Values


def direct_analysis(
    extract_brix: ArrayLike, extract_pol: ArrayLike, moisture: ArrayLike, water: ArrayLike,
    *, brix_free_water: ArrayLike,
) -> DirectAnalysis:  # fmt: skip
    """Return brix, pol and fibre % of cane or bagasse from its cold extract and its moisture.

    `extract_brix` 0.01 to 20 and `extract_pol` 0 to 20 % of the extract, `moisture` % of the
    sample, 0 to 100, `water` added per 100 of sample (usually 200 to cane, 1000 to bagasse; 50 to
    5000), `brix_free_water` % fibre, 0 to 50 (25 by convention; 0 makes brix of cane 0.2 higher).
    Fibre is what is neither moisture nor brix. Shapes broadcast; raises OutOfRange. Source: mass
    balance of the liquid, closed here; with 25 it is the short form in use, from memory.
    """
    brix = within("extract brix", extract_brix, 0.01, 20, "°Bx")
    pol = within("extract pol", extract_pol, 0, 20, "%")
    moist = within("moisture", moisture, 0, 100, "%")
    kept = within("brix-free water", brix_free_water, 0, 50, "%") / 100
    liquid = within("water", water, 50, 5000) + (1 + kept) * moist - 100 * kept
    found = brix * liquid / (100 - (1 + kept) * brix)
    return DirectAnalysis(found, pol * found / brix, 100 - moist - found)


def fibre_by_press(press_cake: ArrayLike) -> Values:
    """Return fibre % cane from the wet cake, g, that a hydraulic press leaves of 500 g of cane.

    0.08 × cake + 0.876, for cakes of 80 to 250 g (any shape); for the press and pressure of that
    method alone. Raises OutOfRange. Source: São Paulo cane payment manual (CONSECANA); from memory.
    """
    return 0.08 * within("press cake", press_cake, 80, 250, "g") + 0.876


def sucrose_by_double_polarization(
    direct: ArrayLike, inverted: ArrayLike, divisor: ArrayLike
) -> Values:
    """Return sucrose % by Clerget's principle: 100 (P - I) ÷ divisor.

    `direct` and `inverted` in °Z on the basis of the normal weight, -150 to 150, `divisor` 100 to
    150 by the method that was followed: `jackson_gillis`, `invertase` or `herzfeld`; shapes
    broadcast. Hot hydrochloric acid burns. Raises OutOfRange. Source: ICUMSA; from memory.
    """
    fall = _reading(direct) - _reading(inverted)
    return 100 * fall / within("divisor", divisor, 100, 150)


def jackson_gillis(solids: ArrayLike, temperature: ArrayLike) -> Values:
    """Return the divisor of method IV of Jackson and Gillis (acid, with sodium chloride).

    132.56 - 0.0794 (13 - g) - 0.53 (t - 20): `solids` g of dry substance in 100 mL inverted, 0 to
    20, `temperature` 15 to 35 °C; shapes broadcast. Raises OutOfRange. Source: Jackson and Gillis
    (1920), as ICUMSA used it; from memory, not confirmed.
    """
    return _divisor(132.56, 0.0794, solids, temperature)


def invertase(solids: ArrayLike, temperature: ArrayLike) -> Values:
    """Return the divisor after inversion by invertase: 132.1 - 0.0833 (13 - g) - 0.53 (t - 20).

    Arguments, ranges and mark as `jackson_gillis`. Source: AOAC and ICUMSA; from memory.
    """
    return _divisor(132.1, 0.0833, solids, temperature)


def herzfeld(temperature: ArrayLike) -> Values:
    """Return the old divisor of Clerget and Herzfeld, 142.66 - t/2, at 15 to 35 °C (any shape).

    For the normal weight in 100 mL, half of it inverted. Raises OutOfRange. Source: Herzfeld 1888,
    in every older handbook; from memory.
    """
    return 142.66 - within("temperature", temperature, 15, 35, "°C") / 2


def _divisor(at_13: float, slope: float, solids: ArrayLike, temperature: ArrayLike) -> Values:
    lighter = 13 - within("dry substance", solids, 0, 20, "g/100 mL")
    return at_13 - slope * lighter - 0.53 * (within("temperature", temperature, 15, 35, "°C") - 20)
