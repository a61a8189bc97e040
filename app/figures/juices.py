"""Juices of the tandem: primary juice, purity drops, Java ratios, dilution."""

from app.chemistry import extraction as relation
from app.figures.bagasse import STATION
from app.figures.conventions import Convention, convention
from app.figures.declare import Values, figure
from app.figures.seldom import seldom_juice
from app.figures.sources import COMMON, DEFINITION, ISSCT, READ, Source

DRY_MILLING = Source("University of Florida extension: dry milling factor", READ)

convention(
    Convention(
        "undiluted_juice_by",
        "Undiluted juice of dilution is known by",
        "first expressed juice",
        "",
        COMMON,
        "The brix of first expressed juice, or of primary juice where it is analysed.",
        choices=("first expressed juice", "primary juice"),
    )
)
convention(
    Convention(
        "dry_milling_factor",
        "Dry milling factor",
        0.97,
        "",
        COMMON,
        "Brix of all juice pressed without water over that of the juice above, by a test of the "
        "mill's own; 0.95 to 0.99 is usual. With 1, dilution may exceed the imbibition.",
        low=0.85,
        high=1.0,
    )
)
BY_FIRST = {"undiluted_juice_by": ("first expressed juice",)}
BY_PRIMARY = {"undiluted_juice_by": ("primary juice",)}

seldom_juice(
    "primary_juice", "Primary juice", STATION,
    "All juice pressed before imbibition is added.",
)  # fmt: skip


@figure(
    "Java ratio",
    unit="%",
    decimals=2,
    formula="100 × pol % cane ÷ pol % first expressed juice",
    source=ISSCT,
    station=STATION,
)
def java_ratio(pol_in_cane: Values, first_expressed_juice_pol_carried: Values) -> Values:
    """Pol of cane over pol of first expressed juice (not of absolute juice), cane-weighted.

    77 to 84 is usual (common practice).
    """
    return 100 * pol_in_cane / first_expressed_juice_pol_carried


@java_ratio.otherwise("100 × pol % cane ÷ pol % first expressed juice")
def _java_ratio_of_a_sample(cane_pol: Values, entered_first_expressed_juice_pol: Values) -> Values:
    return 100 * cane_pol / entered_first_expressed_juice_pol


@figure(
    "Java ratio, absolute juice",
    unit="%",
    decimals=2,
    formula="100 × Java ratio ÷ (100 - fibre % cane)",
    source=COMMON,
    station=STATION,
)
def java_ratio_of_absolute_juice(java_ratio: Values, cane_fibre: Values) -> Values:
    """Pol of absolute juice over pol of first expressed juice: a second use of the name.

    95 to 98 is usual (common practice), where that of cane itself is 77 to 84.
    """
    return 100 * java_ratio / (100 - cane_fibre)


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
    "Purity drop, first expressed to last expressed juice",
    unit="units",
    decimals=2,
    formula="first expressed juice purity - last expressed juice purity",
    source=COMMON,
    station=STATION,
)
def last_expressed_juice_purity_drop(
    first_expressed_juice_purity: Values, last_expressed_juice_purity: Values
) -> Values:
    """Usually 9 to 16 units. A sudden change points to infection at the mills or to a sample."""
    return first_expressed_juice_purity - last_expressed_juice_purity


@figure(
    "Purity drop, mixed to last expressed juice",
    unit="units",
    decimals=2,
    formula="mixed juice purity - last expressed juice purity",
    source=COMMON,
    station=STATION,
)
def mixed_to_last_expressed_purity_drop(
    mixed_juice_purity: Values, last_expressed_juice_purity: Values
) -> Values:
    """Never below zero in sound work: juice left in bagasse is poorer than what was pressed out."""
    return mixed_juice_purity - last_expressed_juice_purity


@figure(
    "Purity drop, first expressed to primary juice",
    unit="units",
    decimals=2,
    formula="first expressed juice purity - primary juice purity",
    source=COMMON,
    station=STATION,
)
def primary_juice_purity_drop(
    first_expressed_juice_purity: Values, primary_juice_purity: Values
) -> Values:
    """What heavier pressing alone, without water, takes off the purity of juice."""
    return first_expressed_juice_purity - primary_juice_purity


@figure(
    "Brix of undiluted juice, by the dry milling factor",
    unit="°Bx",
    decimals=2,
    formula="brix of first expressed juice × dry milling factor",
    source=DRY_MILLING,
    station=STATION,
    when=BY_FIRST,
)
def undiluted_juice_brix_by_factor(
    first_expressed_juice_brix_carried: Values, cane: Values, dry_milling_factor: Values
) -> Values:
    """Brix that all juice of the cane would have if it were pressed without water."""
    return 100 * first_expressed_juice_brix_carried / cane * dry_milling_factor


@undiluted_juice_brix_by_factor.otherwise(
    "brix of first expressed juice × dry milling factor, of a sample", when=BY_FIRST
)
def _by_a_sample(entered_first_expressed_juice_brix: Values, dry_milling_factor: Values) -> Values:
    return entered_first_expressed_juice_brix * dry_milling_factor


@undiluted_juice_brix_by_factor.otherwise(
    "brix of primary juice × dry milling factor", when=BY_PRIMARY
)
def _by_primary(primary_juice_brix: Values, dry_milling_factor: Values) -> Values:
    return primary_juice_brix * dry_milling_factor


@figure(
    "Undiluted juice in mixed juice % cane",
    unit="% cane",
    decimals=2,
    formula="100 × 100 × brix in mixed juice ÷ (cane × brix of undiluted juice)",
    source=ISSCT,
    station=STATION,
)
def undiluted_in_mixed_juice(
    brix_in_mixed_juice: Values, undiluted_juice_brix_by_factor: Values, cane: Values
) -> Values:
    """Juice of the cane, as if pressed without water, that mixed juice holds.

    72 to 80 is usual (common practice).
    """
    undiluted = relation.undiluted_in_juice(
        brix_in_mixed_juice, 100, undiluted_juice_brix_by_factor
    )
    return 100 * undiluted / cane


@figure(
    "Dilution % cane",
    unit="% cane",
    decimals=2,
    formula="100 × net mixed juice ÷ cane - undiluted juice in mixed juice % cane",
    source=ISSCT,
    station=STATION,
)
def dilution_on_cane(
    net_mixed_juice: Values, cane: Values, undiluted_in_mixed_juice: Values
) -> Values:
    """Water in mixed juice beyond that of the juice of cane."""
    return 100 * net_mixed_juice / cane - undiluted_in_mixed_juice


@figure(
    "Dilution % undiluted juice",
    unit="% undiluted juice",
    decimals=2,
    formula="100 × dilution % cane ÷ undiluted juice in mixed juice % cane",
    source=ISSCT,
    station=STATION,
)
def dilution_on_undiluted_juice(
    dilution_on_cane: Values, undiluted_in_mixed_juice: Values
) -> Values:
    """Water added per 100 of the undiluted juice in mixed juice; 15 to 40 is usual."""
    return 100 * dilution_on_cane / undiluted_in_mixed_juice


@dilution_on_undiluted_juice.otherwise(
    "100 × (brix of undiluted juice - brix of mixed juice) ÷ brix of mixed juice, of a sample"
)
def _dilution_of_a_sample(
    entered_mixed_juice_brix: Values, undiluted_juice_brix_by_factor: Values
) -> Values:
    return relation.dilution_on_undiluted_juice(
        entered_mixed_juice_brix, undiluted_juice_brix_by_factor
    )


@figure(
    "Dilution % imbibition",
    unit="% imbibition",
    decimals=2,
    formula="100 × dilution % cane ÷ imbibition % cane",
    source=DEFINITION,
    station=STATION,
)
def dilution_on_imbibition(dilution_on_cane: Values, imbibition_on_cane: Values) -> Values:
    """Share of the imbibition that is found again in mixed juice; 80 to 98 is usual.

    Above 105 the dry milling factor is too near to 1, or water leaks in (common practice).
    """
    return relation.dilution_on_imbibition(dilution_on_cane, imbibition_on_cane)
