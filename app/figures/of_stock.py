"""What follows in a dip: tonnes of the vessel, and the brix and pol that it holds.

The account takes a group of vessels as one, of the sum of their volumes and of mean contents; what
stands here is each vessel by its own density.
"""

from math import nan

import numpy as np

from app.figures.massecuites import VOLUMES, tonnes_as_solution, tonnes_with_crystals
from app.figures.of_records import follows
from app.figures.sources import DEFINITION
from app.figures.stock import AIRY, CRYSTALS

BOOK = "dips"


@follows(
    BOOK, "Contents", unit="t", decimals=1, source=VOLUMES,
    formula="volume × density × (1 - air ÷ 100) ÷ 1000; of massecuite and magma, density of "
    "crystals and mother liquor; air in massecuite, magma and molasses alone",
)  # fmt: skip
def contents(  # noqa: PLR0913, PLR0917  all that a density takes
    group: str, volume_taken: float, stock_air: float, standing_a_molasses_purity: float,
    standing_b_molasses_purity: float, standing_molasses_purity: float, brix: float = nan,
    temperature: float = nan, purity: float = nan,
) -> float:  # fmt: skip
    """Tonnes of the vessel, by the rule of its group; nothing where it is empty."""
    standing = {
        "standing_a_molasses_purity": standing_a_molasses_purity,
        "standing_b_molasses_purity": standing_b_molasses_purity,
        "standing_molasses_purity": standing_molasses_purity,
    }
    air = np.asarray(stock_air if group in AIRY else 0.0)
    volume, of_brix, at = (np.asarray(value) for value in (volume_taken, brix, temperature))
    if group not in CRYSTALS or np.isnan(purity):
        return float(tonnes_as_solution(volume, of_brix, at, air))
    liquor = np.asarray(standing[CRYSTALS[group]])
    return float(tonnes_with_crystals(volume, of_brix, at, np.asarray(purity), air, liquor))


@follows(
    BOOK, "Brix held", unit="t", decimals=1, formula="contents × brix ÷ 100", source=DEFINITION
)
def brix_held(contents: float, brix: float = nan) -> float:
    """Tonnes of brix in the vessel."""
    return contents * brix / 100 if contents else 0.0


@follows(
    BOOK, "Pol held", unit="t", decimals=1, formula="brix held × purity ÷ 100", source=DEFINITION
)
def pol_held(brix_held: float, purity: float = nan) -> float:
    """Tonnes of pol in the vessel."""
    return brix_held * purity / 100 if brix_held else 0.0
