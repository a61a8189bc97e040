"""Cane to mixed juice: extraction, imbibition, and whether the water of the tandem closes."""

from app.chemistry import extraction as relation
from app.figures.bagasse import STATION
from app.figures.declare import Values, figure
from app.figures.seldom import seldom_mean
from app.figures.sources import DEERR, DEFINITION, ISSCT


@figure(
    "Pol extraction",
    unit="% pol in cane",
    decimals=2,
    formula="100 × pol in mixed juice ÷ pol in cane",
    source=ISSCT,
    station=STATION,
)
def pol_extraction(pol_in_mixed_juice: Values, pol_in_cane: Values) -> Values:
    """Share of the pol of cane that passes into mixed juice.

    94 to 97 is usual of mills, 97 to 98.5 of diffusers (common practice). Filtrate or mud that
    goes back to the mills inflates it, juice lost before the scale lowers it; canes of another
    fibre are compared by reduced extraction.
    """
    return 100 * pol_in_mixed_juice / pol_in_cane


@pol_extraction.otherwise(
    "100 - 100 × (pol % bagasse ÷ fibre % bagasse) × (fibre % cane ÷ pol % cane)"
)
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
    formula="100 - (100 - pol extraction) × (100 - fibre % cane) ÷ (7 × fibre % cane)",
    source=DEERR,
    station=STATION,
)
def reduced_extraction(pol_extraction: Values, cane_fibre: Values) -> Values:
    """Pol extraction as it would be at 12.5 % fibre, absolute juice lost per fibre held.

    94 to 97.5 is usual (common practice). A shorter rule, with 12.5 over fibre alone, drops the
    juice and reads lower above 12.5 % fibre: it is not this one.
    """
    return relation.reduced_extraction(pol_extraction, cane_fibre)


@figure(
    "Lost absolute juice % fibre",
    unit="% fibre",
    decimals=2,
    formula="(100 - brix extraction) × (100 - fibre % cane) ÷ fibre % cane",
    source=ISSCT,
    station=STATION,
)
def lost_absolute_juice(brix_extraction: Values, cane_fibre: Values) -> Values:
    """Absolute juice left in bagasse, % fibre; brix basis, brix-free water not taken out.

    18 to 35 is usual of mills, 8 to 18 of diffusers (common practice).
    """
    return relation.lost_absolute_juice(brix_extraction, cane_fibre)


@figure(
    "Lost absolute juice % fibre, pol basis",
    unit="% fibre",
    decimals=2,
    formula="(100 - pol extraction) × (100 - fibre % cane) ÷ fibre % cane",
    source=ISSCT,
    station=STATION,
)
def lost_absolute_juice_pol_basis(pol_extraction: Values, cane_fibre: Values) -> Values:
    """Absolute juice left in bagasse, by its pol: seven times what reduced extraction lacks.

    Lower than on brix, as the juice left is less pure; say which basis is printed.
    """
    return relation.lost_absolute_juice(pol_extraction, cane_fibre)


@figure(
    "Lost undiluted juice % fibre",
    unit="% fibre",
    decimals=2,
    formula="(100 - brix extraction) × undiluted juice % cane ÷ fibre % cane",
    source=ISSCT,
    station=STATION,
)
def lost_undiluted_juice(
    brix_extraction: Values, cane_fibre: Values, brix_free_water: Values
) -> Values:
    """Undiluted juice left in bagasse, % fibre; brix basis, without the brix-free water on fibre.

    About 5 % less than lost absolute juice.
    """
    return relation.lost_undiluted_juice(brix_extraction, cane_fibre, brix_free_water)


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
    """Imbibition water per 100 of the fibre of cane.

    180 to 280 is usual of mills, 280 to 380 of diffusers (common practice). Press water and other
    juice that goes round is no part of it.
    """
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
    """Mixed juice (of a diffuser: draft) per 100 of cane, gross of suspended solids.

    95 to 110 is usual of mills, 105 to 125 of diffusers (common practice).
    """
    return 100 * mixed_juice / cane


@figure(
    "Mixed juice % fibre",
    unit="% fibre",
    decimals=1,
    formula="100 × mixed juice ÷ fibre in cane",
    source=DEFINITION,
    station=STATION,
)
def mixed_juice_on_fibre(mixed_juice: Values, fibre_in_cane: Values) -> Values:
    """Mixed juice per 100 of the fibre of cane: the draft of a diffuser."""
    return 100 * mixed_juice / fibre_in_cane


seldom_mean(
    ("imbibition_temperature", "Imbibition temperature", "°C", 1), STATION,
    "Temperature of the imbibition water; 60 to 85 °C is usual (common practice). It scalds: local "
    "codes and licensed practice come first.",
    by="imbibition",
)  # fmt: skip


@figure(
    "Water in cane",
    unit="t",
    decimals=1,
    formula="cane - fibre in cane - brix in cane",
    source=ISSCT,
    station=STATION,
)
def water_in_cane(cane: Values, fibre_in_cane: Values, brix_in_cane: Values) -> Values:
    """Tonnes of water that came with the cane: what is neither fibre nor dissolved solids."""
    return cane - fibre_in_cane - brix_in_cane


@figure(
    "Water in mixed juice",
    unit="t",
    decimals=1,
    formula="net mixed juice - brix in mixed juice",
    source=DEFINITION,
    station=STATION,
)
def water_in_mixed_juice(net_mixed_juice: Values, brix_in_mixed_juice: Values) -> Values:
    """Tonnes of water that leave the tandem in mixed juice."""
    return net_mixed_juice - brix_in_mixed_juice


@figure(
    "Water balance of the tandem",
    unit="% water in",
    decimals=2,
    formula="100 × (water in mixed juice + water in bagasse) ÷ (imbibition + water in cane)",
    source=ISSCT,
    station=STATION,
)
def water_balance(
    water_in_mixed_juice: Values,
    water_in_bagasse: Values,
    imbibition: Values,
    water_in_cane: Values,
) -> Values:
    """Water that leaves in juice and bagasse per 100 that came with cane and imbibition.

    A check where cane, imbibition, mixed juice and bagasse are all weighed: within 98 to 102 is
    good (common practice), less is evaporation or a weight. Where one follows by difference it is
    100 and says nothing. The juice held in a diffuser changes, so that only its days close.
    """
    return 100 * (water_in_mixed_juice + water_in_bagasse) / (imbibition + water_in_cane)
