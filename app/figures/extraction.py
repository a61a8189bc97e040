"""Cane to mixed juice: what came in with the cane, extraction and imbibition."""

import numpy as np

from app.chemistry import extraction as relation
from app.figures.bagasse import AS_FIBRE, LEFT, STATION
from app.figures.declare import Values, figure
from app.figures.sources import COMMON, DEERR, DEFINITION, ISSCT


@figure(
    "Fibre in cane",
    unit="t",
    decimals=1,
    formula="fibre in bagasse",
    source=ISSCT,
    station=STATION,
    kind="adds",
    when=LEFT,
)
def fibre_in_cane(fibre_in_bagasse: Values) -> Values:
    """Tonnes of fibre that came with the cane; soil in the cane counts as fibre."""
    return fibre_in_bagasse


@fibre_in_cane.otherwise("fibre in bagasse + suspended solids in mixed juice", when=AS_FIBRE)
def _with_solids(fibre_in_bagasse: Values, suspended_solids_in_mixed_juice: Values) -> Values:
    return fibre_in_bagasse + suspended_solids_in_mixed_juice


@figure(
    "Fibre % cane",
    unit="% cane",
    decimals=2,
    formula="100 × fibre in cane ÷ cane",
    source=ISSCT,
    station=STATION,
)
def cane_fibre(fibre_in_cane: Values, cane: Values) -> Values:
    """Fibre of cane by the balance of the tandem, else by direct analysis of a sample."""
    return 100 * fibre_in_cane / cane


@cane_fibre.otherwise("by direct analysis")
def _fibre_by_direct_analysis(entered_cane_fibre: Values) -> Values:
    return entered_cane_fibre


@figure(
    "Pol in cane",
    unit="t",
    decimals=2,
    formula="pol in mixed juice + pol in bagasse",
    source=ISSCT,
    station=STATION,
)
def pol_in_cane(pol_in_mixed_juice: Values, pol_in_bagasse: Values) -> Values:
    """Tonnes of pol that came in with the cane, as found again in mixed juice and bagasse.

    What is lost before the juice scale is invisible here and makes the cane look poorer.
    """
    return pol_in_mixed_juice + pol_in_bagasse


@figure(
    "Brix in cane",
    unit="t",
    decimals=2,
    formula="brix in mixed juice + brix in bagasse",
    source=ISSCT,
    station=STATION,
)
def brix_in_cane(brix_in_mixed_juice: Values, brix_in_bagasse: Values) -> Values:
    """Tonnes of dissolved solids that came in with the cane."""
    return brix_in_mixed_juice + brix_in_bagasse


@figure(
    "Pol % cane",
    unit="% cane",
    decimals=2,
    formula="100 × pol in cane ÷ cane",
    source=ISSCT,
    station=STATION,
)
def cane_pol(pol_in_cane: Values, cane: Values) -> Values:
    """Pol of cane by the balance of the tandem, else by direct analysis of a sample."""
    return 100 * pol_in_cane / cane


@cane_pol.otherwise("by direct analysis")
def _pol_by_direct_analysis(entered_cane_pol: Values) -> Values:
    return entered_cane_pol


@figure(
    "Brix % cane",
    unit="% cane",
    decimals=2,
    formula="100 × brix in cane ÷ cane",
    source=ISSCT,
    station=STATION,
)
def cane_brix(brix_in_cane: Values, cane: Values) -> Values:
    """Dissolved solids of cane by the balance of the tandem, else by direct analysis."""
    return 100 * brix_in_cane / cane


@cane_brix.otherwise("by direct analysis")
def _brix_by_direct_analysis(entered_cane_brix: Values) -> Values:
    return entered_cane_brix


@figure(
    "Pol extraction",
    unit="% pol in cane",
    decimals=2,
    formula="100 × pol in mixed juice ÷ pol in cane",
    source=ISSCT,
    station=STATION,
)
def pol_extraction(pol_in_mixed_juice: Values, pol_in_cane: Values) -> Values:
    """Share of the pol of cane that passes into mixed juice."""
    return 100 * pol_in_mixed_juice / pol_in_cane


@pol_extraction.otherwise("100 - 100 × (pol ÷ fibre of bagasse) × (fibre ÷ pol of cane)")
def _extraction_without_weights(
    entered_bagasse_pol: Values, bagasse_fibre: Values, cane_fibre: Values, cane_pol: Values
) -> Values:
    return 100 - 100 * (entered_bagasse_pol / bagasse_fibre) * (cane_fibre / cane_pol)


@figure(
    "Brix extraction",
    unit="% brix in cane",
    decimals=2,
    formula="100 × brix in mixed juice ÷ brix in cane",
    source=ISSCT,
    station=STATION,
)
def brix_extraction(brix_in_mixed_juice: Values, brix_in_cane: Values) -> Values:
    """Share of the dissolved solids of cane that passes into mixed juice.

    Usually 0.3 to 1 below pol extraction; above it, residual purity is suspect.
    """
    return 100 * brix_in_mixed_juice / brix_in_cane


@figure(
    "Reduced extraction (Deerr, 12.5 % fibre)",
    unit="% pol in cane",
    decimals=2,
    formula="100 - (100 - E)(100 - F) ÷ 7F",
    source=DEERR,
    station=STATION,
)
def reduced_extraction(pol_extraction: Values, cane_fibre: Values) -> Values:
    """Pol extraction as it would be at 12.5 % fibre, absolute juice lost per fibre held."""
    return relation.reduced_extraction(pol_extraction, cane_fibre)


@figure(
    "Lost absolute juice % fibre",
    unit="% fibre",
    decimals=2,
    formula="(100 - brix extraction)(100 - F) ÷ F",
    source=ISSCT,
    station=STATION,
)
def lost_absolute_juice(brix_extraction: Values, cane_fibre: Values) -> Values:
    """Absolute juice left in bagasse, % fibre; brix basis, brix-free water not taken out."""
    return relation.lost_absolute_juice(brix_extraction, cane_fibre)


@figure(
    "Imbibition % cane",
    unit="% cane",
    decimals=2,
    formula="100 × imbibition ÷ cane",
    source=DEFINITION,
    station=STATION,
)
def imbibition_on_cane(imbibition: Values, cane: Values) -> Values:
    """Imbibition water per 100 of cane."""
    return 100 * imbibition / cane


@figure(
    "Imbibition % fibre",
    unit="% fibre",
    decimals=1,
    formula="100 × imbibition ÷ fibre in cane",
    source=ISSCT,
    station=STATION,
)
def imbibition_on_fibre(imbibition: Values, fibre_in_cane: Values) -> Values:
    """Imbibition water per 100 of the fibre of cane."""
    return 100 * imbibition / fibre_in_cane


@imbibition_on_fibre.otherwise("100 × imbibition % cane ÷ fibre % cane")
def _imbibition_on_analysed_fibre(imbibition_on_cane: Values, cane_fibre: Values) -> Values:
    return 100 * imbibition_on_cane / cane_fibre


@figure(
    "Mixed juice % cane",
    unit="% cane",
    decimals=2,
    formula="100 × mixed juice ÷ cane",
    source=DEFINITION,
    station=STATION,
)
def mixed_juice_on_cane(mixed_juice: Values, cane: Values) -> Values:
    """Mixed juice per 100 of cane, gross of suspended solids."""
    return 100 * mixed_juice / cane


@figure(
    "Java ratio",
    unit="%",
    decimals=2,
    formula="100 × pol % cane ÷ pol % first expressed juice",
    source=ISSCT,
    station=STATION,
)
def java_ratio(pol_in_cane: Values, first_expressed_juice_pol_carried: Values) -> Values:
    """Pol of cane over pol of first expressed juice (not of absolute juice), cane-weighted."""
    return 100 * pol_in_cane / first_expressed_juice_pol_carried


@java_ratio.otherwise("100 × pol % cane ÷ pol % first expressed juice")
def _java_ratio_of_a_sample(cane_pol: Values, entered_first_expressed_juice_pol: Values) -> Values:
    return 100 * cane_pol / entered_first_expressed_juice_pol


@figure(
    "Purity drop, first expressed to mixed juice",
    unit="units",
    decimals=2,
    formula="first expressed juice purity - mixed juice purity",
    source=COMMON,
    station=STATION,
)
def mixed_juice_purity_drop(
    first_expressed_juice_purity: Values, mixed_juice_purity: Values
) -> Values:
    """Usually 1 to 3 units. A small drop is not always better milling."""
    return first_expressed_juice_purity - mixed_juice_purity


@figure(
    "Undiluted juice % cane",
    unit="% cane",
    decimals=2,
    formula="100 - (1 + brix-free water ÷ 100) × F",
    source=ISSCT,
    station=STATION,
)
def undiluted_juice_on_cane(cane_fibre: Values, brix_free_water: Values) -> Values:
    """Cane less its fibre and the brix-free water on it, by the convention in force."""
    return np.asarray(100 - (1 + brix_free_water / 100) * cane_fibre)
