"""What follows in one sample of a mill survey: fibre of its bagasse, and pol left on that fibre."""

import numpy as np

from app.chemistry.extraction import fibre_by_difference
from app.figures.of_records import follows
from app.figures.sources import DEFINITION, ISSCT

BOOK = "mill_survey"


@follows(
    BOOK, "Fibre % bagasse", unit="%", decimals=2, source=ISSCT,
    formula="100 - moisture - 100 × pol ÷ purity of the juice of this mill",
)  # fmt: skip
def bagasse_fibre(bagasse_moisture: float, bagasse_pol: float, purity: float) -> float:
    """What is neither moisture nor dissolved solids."""
    analysed = (np.asarray(each) for each in (bagasse_moisture, bagasse_pol, purity))
    return float(fibre_by_difference(*analysed))


@follows(
    BOOK, "Pol % fibre", unit="% fibre", decimals=2, source=DEFINITION,
    formula="100 × pol % bagasse ÷ fibre % bagasse",
)  # fmt: skip
def pol_on_fibre(bagasse_pol: float, bagasse_fibre: float) -> float:
    """Pol left on the fibre: what is still to be extracted, whatever the moisture."""
    return 100 * bagasse_pol / bagasse_fibre if bagasse_fibre > 0 else float("nan")
