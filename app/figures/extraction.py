"""Cane to mixed juice and bagasse: fibre, extraction and imbibition."""

import numpy as np

from app.chemistry import extraction as relation
from app.figures.declare import Values, figure
from app.figures.sources import COMMON, DEERR, DEFINITION, HUGOT, ISSCT

LEFT = {"suspended_solids": ("left in juice",)}
AS_FIBRE = {"suspended_solids": ("counted as fibre",)}
STATION = "milling"


@figure(
    "Suspended solids in mixed juice",
    unit="t",
    decimals=2,
    formula="mixed juice × suspended solids ÷ 100",
    source=DEFINITION,
    station=STATION,
    kind="adds",
)
def suspended_solids_in_mixed_juice(
    mixed_juice: Values, entered_mixed_juice_suspended_solids: Values
) -> Values:
    """Tonnes of insoluble solids, fibre and soil, that leave the tandem in mixed juice."""
    return mixed_juice * entered_mixed_juice_suspended_solids / 100


@figure(
    "Net mixed juice",
    unit="t",
    decimals=1,
    formula="mixed juice",
    source=ISSCT,
    station=STATION,
    kind="adds",
    when=LEFT,
)
def net_mixed_juice(mixed_juice: Values) -> Values:
    """Mixed juice as it is accounted: gross, or less its suspended solids where they are fibre."""
    return mixed_juice


@net_mixed_juice.otherwise("mixed juice - suspended solids in it", when=AS_FIBRE)
def _without_solids(mixed_juice: Values, suspended_solids_in_mixed_juice: Values) -> Values:
    return mixed_juice - suspended_solids_in_mixed_juice


@figure(
    "Purity of the juice left in bagasse",
    unit="%",
    decimals=2,
    formula="purity of last expressed juice",
    source=ISSCT,
    station=STATION,
    when={"residual_juice": ("last expressed juice",)},
)
def residual_juice_purity(last_expressed_juice_purity: Values) -> Values:
    """Purity by which the pol of bagasse is turned into its brix: five points move fibre by 0.2."""
    return last_expressed_juice_purity


@residual_juice_purity.otherwise("fixed", when={"residual_juice": ("fixed",)})
def _fixed(residual_juice_fixed_purity: Values) -> Values:
    return residual_juice_fixed_purity


@figure(
    "Water in bagasse",
    unit="t",
    decimals=1,
    formula="bagasse × moisture ÷ 100",
    source=DEFINITION,
    station=STATION,
    kind="adds",
)
def water_in_bagasse(bagasse: Values, entered_bagasse_moisture: Values) -> Values:
    """Tonnes of water leaving the tandem in bagasse."""
    return bagasse * entered_bagasse_moisture / 100


@figure(
    "Pol in bagasse",
    unit="t",
    decimals=2,
    formula="bagasse × pol ÷ 100",
    source=DEFINITION,
    station=STATION,
    kind="adds",
)
def pol_in_bagasse(bagasse: Values, entered_bagasse_pol: Values) -> Values:
    """Tonnes of pol leaving the tandem in bagasse."""
    return bagasse * entered_bagasse_pol / 100


@figure(
    "Brix in bagasse",
    unit="t",
    decimals=2,
    formula="100 × pol in bagasse ÷ purity of the juice left in it",
    source=ISSCT,
    station=STATION,
    kind="adds",
)
def brix_in_bagasse(pol_in_bagasse: Values, residual_juice_purity: Values) -> Values:
    """Tonnes of dissolved solids leaving the tandem in bagasse."""
    return relation.dissolved_solids_from_pol(pol_in_bagasse, residual_juice_purity)


@figure(
    "Fibre in bagasse",
    unit="t",
    decimals=1,
    formula="bagasse - water - brix in it",
    source=ISSCT,
    station=STATION,
)
def fibre_in_bagasse(bagasse: Values, water_in_bagasse: Values, brix_in_bagasse: Values) -> Values:
    """Tonnes of fibre in bagasse: what is neither water nor dissolved solids."""
    return bagasse - water_in_bagasse - brix_in_bagasse


@figure(
    "Fibre % bagasse",
    unit="% bagasse",
    decimals=2,
    formula="100 × fibre in bagasse ÷ bagasse",
    source=ISSCT,
    station=STATION,
)
def bagasse_fibre(fibre_in_bagasse: Values, bagasse: Values) -> Values:
    """Fibre of bagasse; for one sample, 100 - moisture - 100 pol ÷ residual juice purity."""
    return 100 * fibre_in_bagasse / bagasse


@bagasse_fibre.otherwise("100 - moisture - 100 × pol ÷ purity of the juice left in it")
def _fibre_of_a_sample(
    entered_bagasse_moisture: Values, entered_bagasse_pol: Values, residual_juice_purity: Values
) -> Values:
    return relation.fibre_by_difference(
        entered_bagasse_moisture, entered_bagasse_pol, residual_juice_purity
    )


@figure(
    "Fibre in cane",
    unit="t",
    decimals=1,
    formula="fibre in bagasse",
    source=ISSCT,
    station=STATION,
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
    "Milling loss",
    unit="% fibre",
    decimals=2,
    formula="100 × pol in bagasse ÷ fibre in bagasse",
    source=HUGOT,
    station=STATION,
)
def milling_loss(pol_in_bagasse: Values, fibre_in_bagasse: Values) -> Values:
    """Pol in bagasse per 100 of its fibre."""
    return 100 * pol_in_bagasse / fibre_in_bagasse


@milling_loss.otherwise("100 × pol ÷ fibre of bagasse")
def _milling_loss_of_a_sample(entered_bagasse_pol: Values, bagasse_fibre: Values) -> Values:
    return 100 * entered_bagasse_pol / bagasse_fibre


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
    "Bagasse % cane",
    unit="% cane",
    decimals=2,
    formula="100 × bagasse ÷ cane",
    source=DEFINITION,
    station=STATION,
)
def bagasse_on_cane(bagasse: Values, cane: Values) -> Values:
    """Bagasse per 100 of cane."""
    return 100 * bagasse / cane


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
