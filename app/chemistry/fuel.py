"""Bagasse as fuel: calorific values, steam per bagasse, air, and the losses of a boiler.

Moisture, ash, brix and sucrose are % of the bagasse as fired. Flue gas, hot ash and steam are
dangerous: sample them as local codes and the boiler's licensed attendant allow.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from app.chemistry.validity import within

Values = NDArray[np.float64]

KILOCALORIE = 4.1868
# kg of water that burning 1 kg of hydrogen makes, and the latent heat at 20 °C, kJ/kg.
WATER_OF_HYDROGEN = 18.015 / 2.016
LATENT_HEAT = 2453.6


def don_gross_calorific_value(moisture: ArrayLike, ash: ArrayLike, brix: ArrayLike) -> Values:
    """Return the gross calorific value, kJ/kg: 19605 - 196.05 m - 196.05 a - 31.14 b.

    `moisture` 0 to 100, `ash` 0 to 30, `brix` (not pol) 0 to 30; meant for moisture 30 to 60 and
    ash 0.5 to 10. Shapes broadcast; raises OutOfRange. Source: Don, Mellet, Ravno and Bodger, Proc
    SASTA 1977; equation read.
    """
    m, a = _moisture(moisture), within("ash", ash, 0, 30, "%")
    return 19605 - 196.05 * m - 196.05 * a - 31.14 * within("brix", brix, 0, 30, "%")


def don_net_calorific_value(
    moisture: ArrayLike, ash: ArrayLike, brix: ArrayLike, hydrogen: ArrayLike = 5.91
) -> Values:
    """Return the net calorific value at 20 °C, kJ/kg, on the gross value of Don 1977.

    `hydrogen` % of dry bagasse, 4 to 8; the rest as `don_gross_calorific_value`. With 5.91 it is
    18309 - 207.63 m - 196.05 a - 31.14 b. The paper's own net equation was not seen, and the first
    digit of its hydrogen is damaged in the copy read. Another set that is printed (18260, 207.63,
    182.6, 31.14) does not give minus the latent heat at 20 °C for pure water, and is not used.
    Raises OutOfRange. Source: worked out from the gross value.
    """
    found = within("hydrogen", hydrogen, 4, 8, "%")
    m = _moisture(moisture)
    made = WATER_OF_HYDROGEN * found * (100 - m) / 100
    return don_gross_calorific_value(m, ash, brix) - LATENT_HEAT * (m + made) / 100


def hugot_gross_calorific_value(moisture: ArrayLike, sucrose: ArrayLike) -> Values:
    """Return the gross calorific value, kJ/kg: 4600 - 12 s - 46 w, in kcal/kg.

    `moisture` 0 to 100, `sucrose` (or pol) 0 to 30. Ash is not in it: some 2 % too high where ash
    is 1.8. Shapes broadcast; raises OutOfRange. Source: Hugot; from memory, its 4600 kcal/kg of dry
    bagasse seen as quoted by Don 1977.
    """
    s = within("sucrose", sucrose, 0, 30, "%")
    return KILOCALORIE * (4600 - 12 * s - 46 * _moisture(moisture))


def hugot_net_calorific_value(moisture: ArrayLike, sucrose: ArrayLike) -> Values:
    """Return the net calorific value, kJ/kg: 4250 - 12 s - 48.5 w, in kcal/kg.

    As `hugot_gross_calorific_value`. Source: Hugot; from memory.
    """
    s = within("sucrose", sucrose, 0, 30, "%")
    return KILOCALORIE * (4250 - 12 * s - 48.5 * _moisture(moisture))


def hugot_flue_gas_loss(
    moisture: ArrayLike, air_ratio: ArrayLike, flue_temperature: ArrayLike
) -> Values:
    """Return the heat that leaves with flue gas, kJ/kg bagasse.

    ((1 - w)(1.4 m - 0.13) + 0.5) t in kcal/kg, w as a fraction: `air_ratio` m of actual over
    theoretical air 1 to 3, usually 1.3 to 1.6; `flue_temperature` 50 to 500 °C. Shapes broadcast;
    raises OutOfRange. Source: Hugot; from memory.
    """
    dry = 1 - _moisture(moisture) / 100
    t = within("flue gas temperature", flue_temperature, 50, 500, "°C")
    gas = dry * (1.4 * within("air ratio", air_ratio, 1, 3) - 0.13) + 0.5
    return KILOCALORIE * gas * t


def hugot_heat_to_steam(
    net_calorific_value: ArrayLike,
    flue_gas_loss: ArrayLike,
    unburnt: ArrayLike,
    radiation: ArrayLike,
    incomplete_combustion: ArrayLike,
) -> Values:
    """Return the heat that goes into steam, kJ/kg bagasse.

    (net calorific value - flue gas loss) × the three factors, each 0.5 to 1: for `unburnt` solids
    usually 0.97 to 0.99, `radiation` 0.95 to 0.99, `incomplete_combustion` 0.90 to 0.99. Shapes
    broadcast; raises OutOfRange. Source: Hugot; form and factors from memory, factors less sure.
    """
    left = np.asarray(net_calorific_value, dtype=float) - np.asarray(flue_gas_loss, dtype=float)
    for name, factor in (
        ("factor for unburnt solids", unburnt),
        ("factor for radiation", radiation),
        ("factor for incomplete combustion", incomplete_combustion),
    ):
        left = left * within(name, factor, 0.5, 1)
    return left


def steam_per_bagasse(
    heat: ArrayLike, steam_enthalpy: ArrayLike, feedwater_enthalpy: ArrayLike
) -> Values:
    """Return t of steam per t of bagasse.

    `heat` into steam, kJ/kg bagasse: calorific value × efficiency / 100, both gross or both net;
    enthalpies kJ/kg, steam above feedwater by at least 100. Shapes broadcast; raises OutOfRange.
    By definition.
    """
    rise = np.asarray(steam_enthalpy, dtype=float) - np.asarray(feedwater_enthalpy, dtype=float)
    return np.asarray(heat, dtype=float) / within("rise of enthalpy", rise, 100, 4000, "kJ/kg")


def theoretical_air(
    carbon: ArrayLike, hydrogen: ArrayLike, oxygen: ArrayLike, sulphur: ArrayLike = 0.0
) -> Values:
    """Return the dry air that fuel needs, kg/kg: (11.6 C + 34.8 (H - O/8) + 4.35 S) / 100.

    Each % of the fuel, 0 to 100; shapes broadcast. Raises OutOfRange. Dry bagasse is usually taken
    as C 47, H 6.5, O 44, ash 2.5 (Hugot; from memory). Source: standard test codes; from memory.
    """
    c, h = within("carbon", carbon, 0, 100, "%"), within("hydrogen", hydrogen, 0, 100, "%")
    o, s = within("oxygen", oxygen, 0, 100, "%"), within("sulphur", sulphur, 0, 100, "%")
    return (11.6 * c + 34.8 * (h - o / 8) + 4.35 * s) / 100


def excess_air(oxygen: ArrayLike) -> Values:
    """Return the excess air, % of theoretical, from `oxygen` in dry flue gas, 0 to 20 % by volume.

    100 O2 / (21 - O2). Any shape; raises OutOfRange. Source: standard test codes; from memory.
    """
    found = within("oxygen in flue gas", oxygen, 0, 20, "%")
    return 100 * found / (21 - found)


def dry_flue_gas(
    air: ArrayLike, moisture: ArrayLike, hydrogen: ArrayLike, ash: ArrayLike
) -> Values:
    """Return the dry flue gas, kg per kg of fuel: air and fuel less its water, made water and ash.

    `air` really used, kg dry air per kg of fuel, 0 to 50; moisture, hydrogen and ash % of the fuel
    as fired. Shapes broadcast; raises OutOfRange. Source: balance of mass.
    """
    left = _moisture(moisture) + 9 * within("hydrogen", hydrogen, 0, 15, "%")
    used = within("air", air, 0, 50, "kg/kg")
    return used + 1 - (left + within("ash", ash, 0, 30, "%")) / 100


class BoilerLosses(NamedTuple):
    """The heat lost with flue gas, each part as % of the gross calorific value."""

    dry_gas: Values
    hydrogen: Values
    moisture: Values
    air_humidity: Values


def boiler_losses(
    gross_calorific_value: ArrayLike,
    moisture: ArrayLike,
    hydrogen: ArrayLike,
    dry_gas: ArrayLike,
    water_in_air: ArrayLike,
    flue_temperature: ArrayLike,
    air_temperature: ArrayLike,
) -> BoilerLosses:
    """Return the losses with flue gas by the indirect method, % of the gross calorific value.

    `gross_calorific_value` 1000 to 50 000 kJ/kg; moisture and hydrogen % of the fuel as fired;
    `dry_gas` and the `water_in_air` kg per kg of fuel; flue gas 50 to 500 °C and at least as hot as
    the air, 0 to 300 °C. Shapes broadcast. 0.24 kcal/kg K for gas, 0.45 for vapour, and 584 kcal/kg
    to make vapour of water at room temperature. Raises OutOfRange.

    Source: standard test codes; from memory.
    """
    gross = within("gross calorific value", gross_calorific_value, 1000, 50_000, "kJ/kg")
    flue = within("flue gas temperature", flue_temperature, 50, 500, "°C")
    cold = within("air temperature", air_temperature, 0, 300, "°C")
    rise = within("flue gas above air", flue - cold, 0, 500, "K")
    percent = 100 * KILOCALORIE / gross
    made = 9 * within("hydrogen", hydrogen, 0, 15, "%") / 100
    gas, humid = within("dry gas", dry_gas, 0, 50), within("water in air", water_in_air, 0, 5)
    vapour = 584 + 0.45 * rise
    return BoilerLosses(
        dry_gas=percent * gas * 0.24 * rise,
        hydrogen=percent * made * vapour,
        moisture=percent * _moisture(moisture) / 100 * vapour,
        air_humidity=percent * humid * 0.45 * rise,
    )


def boiler_efficiency(losses: BoilerLosses, other_losses: ArrayLike) -> Values:
    """Return the efficiency of a boiler, % of the gross calorific value, by the indirect method.

    `other_losses` are those with carbon monoxide, unburnt solids, radiation and what is not
    accounted for, 0 to 50 %. Above 75 with bagasse of 50 % moisture it is not to be believed.
    Raises OutOfRange. Source: standard test codes; from memory.
    """
    return 100 - sum(losses, within("other losses", other_losses, 0, 50, "%"))


def _moisture(values: ArrayLike) -> Values:
    return within("moisture", values, 0, 100, "%")
