"""What follows in a strike and in its curing: its crystals, its exhaustion and its tonnes."""

from math import isnan, nan

import numpy as np

from app.chemistry import massecuite as relation
from app.chemistry.hydrometry import with_entrained_air
from app.figures.boiling import SPLIT, VISCOSITY
from app.figures.massecuites import VOLUMES, massecuite_density
from app.figures.of_records import follows
from app.figures.sources import HUGOT

STRIKES, CENTRIFUGALS = "strikes", "centrifugals"


@follows(
    STRIKES, "Crystal % brix", unit="% brix", decimals=1, source=HUGOT,
    formula="100 × (M - m) ÷ (100 - m), purities of massecuite M and mother liquor m",
)  # fmt: skip
def crystal(purity_taken: float, mother_liquor_purity: float) -> float:
    """Crystals per 100 of the brix of the strike, by the mother liquor as it was dropped."""
    return float(relation.crystal_content(purity_taken, mother_liquor_purity))


@follows(
    STRIKES, "Crystal % massecuite", unit="% massecuite", decimals=1, source=HUGOT,
    formula="brix × (M - m) ÷ (100 - m), purities of massecuite M and mother liquor m",
)  # fmt: skip
def crystal_on_massecuite(brix: float, crystal: float) -> float:
    """Crystals per 100 of the strike as it is."""
    return brix * crystal / 100


@follows(
    STRIKES, "Exhaustion at drop", unit="% sucrose", decimals=1, source=HUGOT,
    formula="10 000 × (M - m) ÷ (M × (100 - m)), purities of massecuite M and mother liquor m",
)  # fmt: skip
def exhaustion(purity_taken: float, mother_liquor_purity: float) -> float:
    """Sucrose crystallised per 100 of the sucrose of the strike, in the pan alone."""
    return float(relation.exhaustion(purity_taken, mother_liquor_purity))


@follows(
    STRIKES, "Non-sucrose over water", unit="", decimals=1, source=VISCOSITY,
    formula="(100 - purity) × brix ÷ (100 × (100 - brix))",
)  # fmt: skip
def non_sucrose_over_water(brix: float, purity_taken: float) -> float:
    """The handle of viscosity; the same in the strike and in its mother liquor."""
    return float(relation.non_sucrose_over_water(brix, purity_taken))


@follows(
    STRIKES, "Massecuite", unit="t", decimals=1, source=VOLUMES,
    formula="volume × density of crystals and mother liquor × (1 - air ÷ 100) ÷ 1000, mother "
    "liquor as found, else of standing purity",
)  # fmt: skip
def massecuite(  # noqa: PLR0913, PLR0917  all that a density takes
    volume: float, brix: float, temperature: float, purity_taken: float, grade: str,
    massecuite_air: float, standing_a_molasses_purity: float, standing_b_molasses_purity: float,
    standing_molasses_purity: float, mother_liquor_purity: float = nan,
) -> float:  # fmt: skip
    """Tonnes of the strike."""
    standing = {
        "a": standing_a_molasses_purity,
        "b": standing_b_molasses_purity,
        "c": standing_molasses_purity,
    }
    found = mother_liquor_purity
    liquor = standing.get(grade, nan) if isnan(found) else found
    if isnan(liquor):
        return nan
    of_strike = (np.asarray(value) for value in (brix, temperature, purity_taken, liquor))
    density = massecuite_density(*of_strike)
    return float(volume * with_entrained_air(density, massecuite_air) / 1000)


@follows(
    CENTRIFUGALS, "Solids to sugar", unit="% solids", decimals=1, source=SPLIT,
    formula="100 × (M - m) ÷ (S - m), purities of massecuite M, molasses m and sugar or magma S",
)  # fmt: skip
def solids_to_sugar(massecuite_purity: float, sugar_purity: float, molasses_purity: float) -> float:
    """Solids of the strike that left the machine as sugar or magma."""
    return float(relation.sugar_at_centrifugal(massecuite_purity, sugar_purity, molasses_purity))
