"""What cane is worth in sugar: commercial cane sugar, recoverable value, non-sucrose.

Payment for cane follows the local agreement, with its own samples, constants and rounding; these
figures stand for the cane of the mill as a whole.
"""

from app.chemistry import cane_quality as relation
from app.figures.conventions import Convention, convention
from app.figures.declare import Values, figure
from app.figures.sources import DEFINITION, READ, Source

STATION = "cane_receiving"
AUSTRALIA = Source(
    "Engelke, Sugarcane: measuring commercial quality, Western Australia, Agdex 712/25", READ
)
SOUTH_AFRICA = Source("South African Sugar Association, Cane Testing Service", READ)

for _letter, _default, _what, _high in (("d", 0.4, "non-sucrose", 1.0), ("c", 0.02, "fibre", 0.1)):
    convention(
        Convention(
            f"recoverable_value_{_letter}",
            f"Recoverable value, {_letter}: sugar lost by {_what}",
            _default,
            "",
            SOUTH_AFRICA,
            f"Published as about {_default:g} and set anew for each season.",
            high=_high,
        )
    )


@figure(
    "Pol % cane, from first expressed juice (Australia)",
    unit="% cane",
    decimals=2,
    formula="pol % first expressed juice × (100 - (fibre % cane + 5)) ÷ 100",
    source=AUSTRALIA,
    station=STATION,
)
def cane_pol_from_first_juice(
    first_expressed_juice_pol_carried: Values, cane: Values, cane_fibre: Values
) -> Values:
    """Pol of cane inferred from the juice of the first two rollers, by the Australian rule.

    The rule belongs to first expressed juice alone: of primary or of press juice it is wrong.
    """
    pol = 100 * first_expressed_juice_pol_carried / cane
    return relation.pol_in_cane_from_first_juice(pol, cane_fibre)


@cane_pol_from_first_juice.otherwise(
    "pol % first expressed juice × (100 - (fibre % cane + 5)) ÷ 100, of a sample"
)
def _pol_of_a_sample(entered_first_expressed_juice_pol: Values, cane_fibre: Values) -> Values:
    return relation.pol_in_cane_from_first_juice(entered_first_expressed_juice_pol, cane_fibre)


@figure(
    "Commercial cane sugar (CCS)",
    unit="% cane",
    decimals=2,
    formula="3 ÷ 2 × pol × (1 - (fibre % cane + 5) ÷ 100)"
    " - 1 ÷ 2 × brix × (1 - (fibre % cane + 3) ÷ 100), of first expressed juice",
    source=AUSTRALIA,
    station=STATION,
)
def commercial_cane_sugar(
    first_expressed_juice_pol_carried: Values,
    first_expressed_juice_brix_carried: Values,
    cane: Values,
    cane_fibre: Values,
) -> Values:
    """Pol of cane less half its impurities, as Australia infers them from first expressed juice.

    11 to 16 is usual (common practice). Payment follows the local agreement.
    """
    pol = 100 * first_expressed_juice_pol_carried / cane
    brix = 100 * first_expressed_juice_brix_carried / cane
    return relation.commercial_cane_sugar(pol, brix, cane_fibre)


@commercial_cane_sugar.otherwise(
    "3 ÷ 2 × pol × (1 - (fibre % cane + 5) ÷ 100)"
    " - 1 ÷ 2 × brix × (1 - (fibre % cane + 3) ÷ 100), of a sample of first expressed juice"
)
def _commercial_sugar_of_a_sample(
    entered_first_expressed_juice_pol: Values,
    entered_first_expressed_juice_brix: Values,
    cane_fibre: Values,
) -> Values:
    return relation.commercial_cane_sugar(
        entered_first_expressed_juice_pol, entered_first_expressed_juice_brix, cane_fibre
    )


@figure(
    "Sucrose % cane",
    unit="% cane",
    decimals=2,
    formula="100 × sucrose in cane ÷ cane",
    source=DEFINITION,
    station=STATION,
)
def cane_sucrose(sucrose_in_cane: Values, cane: Values) -> Values:
    """True sucrose of cane by balance, where juice and bagasse are analysed for it.

    Where sucrose is accounted in place of pol, it is what stands as pol % cane.
    """
    return 100 * sucrose_in_cane / cane


@cane_sucrose.otherwise(
    "pol % cane, which is sucrose by convention", when={"pol_basis": ("sucrose",)}
)
def _sucrose_accounted(cane_pol: Values) -> Values:
    return cane_pol


@figure(
    "Non-sucrose % cane",
    unit="% cane",
    decimals=2,
    formula="brix % cane - sucrose % cane",
    source=DEFINITION,
    station=STATION,
)
def cane_non_sucrose(cane_brix: Values, cane_sucrose: Values) -> Values:
    """Dissolved solids of cane that are not true sucrose."""
    return cane_brix - cane_sucrose


@figure(
    "Non-pol % cane",
    unit="% cane",
    decimals=2,
    formula="brix % cane - pol % cane",
    source=DEFINITION,
    station=STATION,
)
def cane_non_pol(cane_brix: Values, cane_pol: Values) -> Values:
    """Dissolved solids of cane that are not pol; most of them end in final molasses."""
    return cane_brix - cane_pol


@figure(
    "Recoverable value (RV)",
    unit="% cane",
    decimals=2,
    formula="sucrose % cane - d × non-sucrose % cane - c × fibre % cane",
    source=SOUTH_AFRICA,
    station=STATION,
)
def recoverable_value(
    cane_sucrose: Values,
    cane_brix: Values,
    cane_fibre: Values,
    recoverable_value_d: Values,
    recoverable_value_c: Values,
) -> Values:
    """Sugar that South African cane is paid by: of true sucrose, not of pol.

    10.5 to 13.5 is usual (common practice). Payment follows the local agreement, and the constants
    are those of its season.
    """
    return relation.recoverable_value(
        cane_sucrose, cane_brix, cane_fibre, recoverable_value_d, recoverable_value_c
    )
