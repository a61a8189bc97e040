"""How sure each measure is where a mill has said nothing: by published repeatability, else a guess.

Both parts are standard uncertainties. The random part is another at each result; the systematic
part is one and the same in all of them. A published r and R hold in 95 cases of 100: the random
part is r ÷ 2.8, the systematic part is what remains of R ÷ 2.8.
"""

from dataclasses import dataclass
from math import sqrt

from app.figures.sources import COMMON_PRACTICE, FROM_MEMORY, READ, Source


@dataclass(frozen=True)
class Uncertainty:
    """Standard uncertainties of one result, in its unit, or in % of its value where `relative`."""

    random: float
    systematic: float
    relative: bool
    source: Source


STATED = Source("a stated guess, to be replaced by the mill's own duplicates", COMMON_PRACTICE)
RAW_POL = Source("ICUMSA GS1-2 (2022), abstract: r 0.16, R 0.27 °Z from 97.5 to 99.9 °Z", READ)
WHITE_POL = Source("ICUMSA GS2-1 (2022), abstract: r 0.066, R 0.094 °Z", READ)
COLOUR = (
    "ICUMSA GS9/1/2/3-8 (2011), abstract: r {:g}, R {:g} IU from {:g} to {:g} IU, at its middle"
)
TOTAL_REDUCING_SUGARS = Source(
    "ICUMSA GS4/3-9 (2011), abstract: r 1.64, R 2.59 g/100 g of all sugars of molasses at about "
    "50, taken in proportion",
    READ,
)
DRYING = Source(
    "European directive 79/796: r 0.02 g/100 g; the systematic part is a guess, as large",
    FROM_MEMORY,
)
KNIGHT_ALLEN = Source(
    "European directive 79/796: r 0.005 g/100 g; the systematic part is a guess, as large",
    FROM_MEMORY,
)
EXACT = Source("by the calendar", COMMON_PRACTICE)

LIMIT = 2.8  # of the difference of two results, in standard uncertainties of one


def _published(r: float, R: float, source: Source, at: float = 0) -> Uncertainty:  # noqa: N803
    """Take both parts from r and R; as percent of the value `at` which they hold, where given."""
    unit = 100 / at if at else 1.0
    return Uncertainty(
        unit * r / LIMIT, unit * sqrt(R**2 - r**2) / LIMIT, relative=bool(at), source=source
    )


def _of_colour(r: float, R: float, low: float, high: float) -> Uncertainty:  # noqa: N803
    source = Source(COLOUR.format(r, R, low, high), READ)
    return _published(r, R, source, (low + high) / 2)


def _repeated(r: float, source: Source) -> Uncertainty:
    return Uncertainty(r / LIMIT, r / LIMIT, relative=False, source=source)


def _guess(random: float, systematic: float) -> Uncertainty:
    return Uncertainty(random, systematic, relative=False, source=STATED)


def _in_percent(random: float, systematic: float) -> Uncertainty:
    return Uncertainty(random, systematic, relative=True, source=STATED)


SCALE = _in_percent(0.3, 0.3)  # a batch scale, kept and proved
METER = _in_percent(1.0, 1.0)  # a flow meter or a belt weigher without a scale behind it
TRUCKS = _in_percent(1.0, 0.5)  # counted loads
COUNTED = _in_percent(0.1, 0.1)  # bags over a checked scale
METERED_POWER = _in_percent(0.3, 0.5)

RAW_SUGAR_POL = _published(0.16, 0.27, RAW_POL)
WHITE_SUGAR_POL = _published(0.066, 0.094, WHITE_POL)
RAW_SUGAR_COLOUR = _of_colour(210, 320, 1200, 2500)
SUGAR_DRIED = _repeated(0.02, DRYING)

# A measure by its own name.
MEASURED: dict[str, Uncertainty] = {
    "cane": _in_percent(0.5, 0.3),
    "cane_received": SCALE,
    "cane_in_yard": _in_percent(10.0, 5.0),
    "imbibition": METER,
    "mixed_juice": SCALE,
    "clear_juice": METER,
    "bagasse": _in_percent(2.0, 2.0),
    "filter_cake": TRUCKS,
    "mud": METER,
    "lime": METER,
    "filter_wash": _in_percent(2.0, 2.0),
    "sulphur": METER,
    "phosphoric_acid": METER,
    "flocculant": METER,
    "bagacillo": _in_percent(3.0, 3.0),
    "evaporator_steam": _in_percent(1.5, 2.0),
    "sugar": COUNTED,
    "sugar_dispatched": SCALE,
    "sugar_in_store": _in_percent(0.5, 0.5),
    "final_molasses": _in_percent(0.5, 0.5),
    "raw_sugar_melted": SCALE,
    "refined_sugar": COUNTED,
    "refinery_return": SCALE,
    "steam": _in_percent(1.5, 1.5),
    "bagasse_burnt": _in_percent(3.0, 3.0),
    "power": METERED_POWER,
    "power_sold": METERED_POWER,
    "power_bought": METERED_POWER,
    "condenser_outlet": _in_percent(5.0, 10.0),
    "gross_hours": Uncertainty(0.0, 0.0, relative=False, source=EXACT),
    "cane_pol": _guess(0.1, 0.1),
    "cane_brix": _guess(0.1, 0.1),
    "cane_fibre": _guess(0.2, 0.2),
    "cane_received_pol": _guess(0.1, 0.1),
    "cane_received_brix": _guess(0.1, 0.1),
    "cane_ash": _guess(0.2, 0.1),
    "bagasse_pol": _guess(0.05, 0.05),
    "bagasse_brix": _guess(0.1, 0.1),
    "bagasse_ash": _guess(0.3, 0.2),
    "filter_cake_pol": _guess(0.1, 0.1),
    "final_molasses_ash": _guess(0.2, 0.2),
    "final_molasses_reducing_sugars": _published(1.64, 2.59, TOTAL_REDUCING_SUGARS, at=50),
    "sugar_pol": RAW_SUGAR_POL,
    "raw_sugar_melted_pol": RAW_SUGAR_POL,
    "refined_sugar_pol": WHITE_SUGAR_POL,
    "sugar_polarimeter_reading": RAW_SUGAR_POL,
    "sugar_moisture": SUGAR_DRIED,
    "raw_sugar_melted_moisture": SUGAR_DRIED,
    "refined_sugar_moisture": SUGAR_DRIED,
    "refined_sugar_reducing_sugars": _repeated(0.005, KNIGHT_ALLEN),
    "sugar_purity": _guess(0.1, 0.1),
    "sugar_ash": _guess(0.02, 0.02),
    "refined_sugar_ash": _guess(0.001, 0.001),
    "sugar_colour": RAW_SUGAR_COLOUR,
    "raw_sugar_melted_colour": RAW_SUGAR_COLOUR,
    "melt_liquor_colour": RAW_SUGAR_COLOUR,
    "fine_liquor_colour": _of_colour(23, 68, 200, 500),
    "refined_sugar_colour": _of_colour(9, 18, 50, 200),
    # What the scale of a dish shows is sure; the sample and the oven are not, and are put here: as
    # of 100 g of bagasse and of cake, of 50 g of juice, and of 25 g of sugar.
    "bagasse_dried_mass": _guess(0.3, 0.2),
    "filter_cake_dried_mass": _guess(0.4, 0.2),
    "mixed_juice_residue_mass": _guess(0.025, 0.025),
    "sugar_dried_mass": _guess(0.002, 0.002),
    # 10 000 g of water to 1000 g of bagasse: 0.02 °Z is 0.05 % pol.
    "bagasse_polarimeter_reading": _guess(0.02, 0.02),
}

# Streams read after dilution, where small errors grow; all but magma.
THICK = (
    *("a_massecuite", "b_massecuite", "c_massecuite", "b_magma", "c_magma"),
    *("a_molasses", "b_molasses", "final_molasses", "refinery_return"),
)
MEASURED |= {
    f"{stream}_{prop}": uncertainty
    for stream in THICK
    for prop, uncertainty in {
        "brix": _guess(0.2, 0.2),
        "pol": _guess(0.2, 0.2),
        "purity": _guess(0.4, 0.3),
        "sucrose": _guess(0.3, 0.3),
    }.items()
}

# Any other measure by the end of its name.
PROPERTIES: dict[str, Uncertainty] = {
    "brix": _guess(0.05, 0.05),
    "pol": _guess(0.03, 0.03),
    "purity": _guess(0.25, 0.2),
    "true_purity": _guess(0.4, 0.4),
    "sucrose": _guess(0.1, 0.1),
    "fibre": _guess(0.2, 0.2),
    "moisture": _guess(0.3, 0.2),
    "ph": _guess(0.05, 0.05),
    "colour": _in_percent(5.0, 5.0),
    "suspended_solids": _guess(0.05, 0.05),
    "mud_suspended_solids": _guess(0.3, 0.3),
    "filter_cake_suspended_solids": _guess(0.3, 0.3),
    "reducing_sugars": _guess(0.03, 0.03),
    "ash": _guess(0.02, 0.02),
    "phosphate": _in_percent(5.0, 5.0),
    "sulphur_dioxide": _in_percent(5.0, 5.0),
    "calcium_oxide": _in_percent(3.0, 3.0),
    "turbidity": _in_percent(5.0, 5.0),
    "extraneous_matter": _guess(0.5, 0.5),
    "available": _guess(0.5, 0.5),
    "temperature": _guess(0.5, 0.5),
    "flue_gas_temperature": _guess(3.0, 3.0),
    "reading_temperature": _guess(0.2, 0.2),
    "pressure": _in_percent(0.5, 0.5),
    "vapour_pressure": _guess(1.0, 1.0),
    "oxygen": _guess(0.2, 0.3),
    "grain_size": _in_percent(2.0, 2.0),
    "grain_variation": _guess(1.0, 1.0),
    "open_cells": _guess(1.0, 1.0),
    "sugar_trace": _in_percent(20.0, 10.0),
    "chemical_oxygen_demand": _in_percent(8.0, 4.0),
    "biochemical_oxygen_demand": _in_percent(15.0, 10.0),
    "suspended_matter": _in_percent(10.0, 5.0),
    "volume": _in_percent(3.0, 1.0),
    "hours": _guess(0.05, 0.02),
    "polarimeter_reading": _guess(0.1, 0.1),
    "refractometer_reading": _guess(0.05, 0.05),
    "dish_mass": _guess(0.0002, 0.0001),
    "wet_mass": _guess(0.0002, 0.0001),
    "dried_mass": _guess(0.02, 0.02),
    "paper_mass": _guess(0.002, 0.001),
    "residue_mass": _guess(0.02, 0.02),
    "sample_mass": _guess(0.1, 0.05),
}


def default_uncertainty(measure: str) -> Uncertainty:
    """Return the standard uncertainties of `measure` that hold where a mill has stated none.

    By its own name, else by the longest property its name ends with. Raises KeyError where neither
    is known.
    """
    if measure in MEASURED:
        return MEASURED[measure]
    words = measure.split("_")
    for first in range(len(words)):
        prop = "_".join(words[first:])
        if prop in PROPERTIES:
            return PROPERTIES[prop]
    raise KeyError(f"no uncertainty is stated for {measure}")
