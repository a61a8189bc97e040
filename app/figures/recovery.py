"""How well the boiling house and the whole factory recovered the pol that came in."""

from app.chemistry import recovery as relation
from app.figures.declare import Values, figure
from app.figures.sources import (
    COMMON,
    FROM_MEMORY,
    GUNDU_RAO,
    ISSCT,
    SASTA,
    SJM,
    WINTER_CARP,
    Source,
)

STATION = "account"
PERFORMANCE = Source("recovery over the s-j-m rule; the name", FROM_MEMORY)
BESIDE_SUGAR = Source("by algebra from the s-j-m rule", FROM_MEMORY)
NOEL_DEERR = Source("one of two rules printed under Noel Deerr's name", FROM_MEMORY)


@figure(
    "Boiling house recovery",
    unit="% pol in mixed juice",
    decimals=2,
    formula="100 × pol in sugar ÷ pol in mixed juice",
    source=SASTA,
    station=STATION,
)
def boiling_house_recovery(pol_in_sugar: Values, pol_in_mixed_juice: Values) -> Values:
    """Pol of mixed juice that became sugar; 84 to 91 is usual."""
    return 100 * pol_in_sugar / pol_in_mixed_juice


@figure(
    "Overall recovery",
    unit="% pol in cane",
    decimals=2,
    formula="100 × pol in sugar ÷ pol in cane",
    source=ISSCT,
    station=STATION,
)
def overall_recovery(pol_in_sugar: Values, pol_in_cane: Values) -> Values:
    """Pol of cane that became sugar: pol extraction times boiling house recovery."""
    return 100 * pol_in_sugar / pol_in_cane


@overall_recovery.otherwise("pol extraction × boiling house recovery ÷ 100")
def _from_both(pol_extraction: Values, boiling_house_recovery: Values) -> Values:
    return pol_extraction * boiling_house_recovery / 100


@figure(
    "Recovery by the S-J-M rule",
    unit="% pol in mixed juice",
    decimals=2,
    formula="100 × S(J - M) ÷ (J(S - M)), purities of sugar S, mixed juice J, final molasses M",
    source=SJM,
    station=STATION,
)
def sjm_recovery(
    mixed_juice_purity: Values, sugar_purity: Values, final_molasses_purity: Values
) -> Values:
    """What the three purities allow when nothing else is lost. Recovery above it is an error."""
    return relation.sjm_recovery(mixed_juice_purity, sugar_purity, final_molasses_purity)


@figure(
    "Boiling house performance",
    unit="% S-J-M recovery",
    decimals=2,
    formula="100 × boiling house recovery ÷ recovery by the S-J-M rule",
    source=PERFORMANCE,
    station=STATION,
)
def boiling_house_performance(boiling_house_recovery: Values, sjm_recovery: Values) -> Values:
    """Recovery against what the three purities allow; 96 to 99 is usual (common practice).

    Above 100 a purity, the stock or a weight is wrong.
    """
    return 100 * boiling_house_recovery / sjm_recovery


@figure(
    "Sugar solids % brix in mixed juice, by the S-J-M rule",
    unit="% brix",
    decimals=2,
    formula="100 × (J - M) ÷ (S - M), purities of sugar S, mixed juice J, final molasses M",
    source=SJM,
    station=STATION,
)
def sjm_solids_to_sugar(
    mixed_juice_purity: Values, sugar_purity: Values, final_molasses_purity: Values
) -> Values:
    """Part of the solids of mixed juice that can become sugar; the rest becomes molasses."""
    return 100 * relation.sugar_solids_share(
        mixed_juice_purity, sugar_purity, final_molasses_purity
    )


@figure(
    "Pure sugar obtainable from mixed juice (Winter-Carp)",
    unit="t",
    decimals=1,
    formula="pol in mixed juice - 0.4 × (brix - pol) in mixed juice",
    source=WINTER_CARP,
    station=STATION,
)
def winter_carp_sugar(pol_in_mixed_juice: Values, brix_in_mixed_juice: Values) -> Values:
    """Pure sugar when every unit of non-pol holds back 0.4 of pol, in molasses of 28.57 purity."""
    non_pol = brix_in_mixed_juice - pol_in_mixed_juice
    return relation.recoverable_pol(pol_in_mixed_juice, non_pol, 200 / 7)


@figure(
    "Basic boiling house recovery (Winter-Carp)",
    unit="% pol in mixed juice",
    decimals=2,
    formula="140 - 4000 ÷ J",
    source=WINTER_CARP,
    station=STATION,
)
def basic_boiling_house_recovery(mixed_juice_purity: Values) -> Values:
    """Recovery of pure sugar from juice of purity J when molasses is of 28.57 purity."""
    return relation.winter_carp_recovery(mixed_juice_purity)


@figure(
    "Equivalent standard granulated in sugar",
    unit="t",
    decimals=2,
    formula="1.4 × pol - 0.4 × solids, of sugar bagged",
    source=ISSCT,
    station=STATION,
    when={"sugar_accounted": ("bagged",)},
)
def esg_in_sugar(pol_in_sugar_bagged: Values, sugar: Values, water_in_sugar: Values) -> Values:
    """Tonnes of pure sugar obtainable from the sugar of the account."""
    return 1.4 * pol_in_sugar_bagged - 0.4 * (sugar - water_in_sugar)


@esg_in_sugar.otherwise(
    "that of sugar bagged + change of recoverable pol × (1.4 - 40 ÷ standing purity)",
    when={"sugar_accounted": ("made and estimated",)},
)
def _esg_made(
    pol_in_sugar_bagged: Values,
    sugar: Values,
    water_in_sugar: Values,
    change_of_recoverable_pol_in_stock: Values,
    standing_sugar_purity: Values,
) -> Values:
    bagged = 1.4 * pol_in_sugar_bagged - 0.4 * (sugar - water_in_sugar)
    return bagged + change_of_recoverable_pol_in_stock * (1.4 - 40 / standing_sugar_purity)


@figure(
    "Boiling house recovery, as ESG",
    unit="% pol in mixed juice",
    decimals=2,
    formula="100 × equivalent standard granulated ÷ pol in mixed juice",
    source=ISSCT,
    station=STATION,
)
def boiling_house_recovery_esg(esg_in_sugar: Values, pol_in_mixed_juice: Values) -> Values:
    """Recovery with the sugar counted as the pure sugar obtainable from it."""
    return 100 * esg_in_sugar / pol_in_mixed_juice


@figure(
    "Boiling house efficiency",
    unit="% basic recovery",
    decimals=2,
    formula="100 × recovery as ESG ÷ basic recovery",
    source=ISSCT,
    station=STATION,
)
def boiling_house_efficiency(
    boiling_house_recovery_esg: Values, basic_boiling_house_recovery: Values
) -> Values:
    """Recovery, as ESG, against the Winter-Carp basic recovery; above 101 is an error."""
    return 100 * boiling_house_recovery_esg / basic_boiling_house_recovery


@figure(
    "Virtual purity of final molasses",
    unit="%",
    decimals=2,
    formula="100 × J(100 - R) ÷ (10 000 - J × R), juice purity J, recovery as ESG R",
    source=GUNDU_RAO,
    station=STATION,
)
def virtual_molasses_purity(
    mixed_juice_purity: Values, boiling_house_recovery_esg: Values
) -> Values:
    """Molasses purity that would explain every loss of the boiling house, on ESG."""
    return relation.virtual_molasses_purity(mixed_juice_purity, boiling_house_recovery_esg)


@figure(
    "Reduced boiling house recovery (85 purity, virtual purity held)",
    unit="% pol in mixed juice",
    decimals=2,
    formula="10 000 × (85 - V) ÷ (85 × (100 - V)), virtual purity V",
    source=GUNDU_RAO,
    station=STATION,
    when={"reduced_recovery_rule": ("virtual purity held",)},
)
def reduced_boiling_house_recovery(virtual_molasses_purity: Values) -> Values:
    """Recovery as it would be from juice of 85 purity, by the rule of the convention in force."""
    return relation.recovery_at_standard_juice(virtual_molasses_purity)


@reduced_boiling_house_recovery.otherwise(
    "efficiency × basic recovery at 85 ÷ 100", when={"reduced_recovery_rule": ("efficiency held",)}
)
def _efficiency_held(boiling_house_efficiency: Values) -> Values:
    return relation.recovery_at_constant_efficiency(boiling_house_efficiency)


@figure(
    "Virtual purity of final molasses, beside real sugar",
    unit="%",
    decimals=2,
    formula="J × S × (100 - R) ÷ (100 × S - J × R), juice J, sugar S, recovery of pol R",
    source=BESIDE_SUGAR,
    station=STATION,
)
def virtual_molasses_purity_beside_sugar(
    mixed_juice_purity: Values, boiling_house_recovery: Values, sugar_purity: Values
) -> Values:
    """Molasses purity that would explain every loss, on pol and with sugar of its real purity.

    It lies a little above the one on ESG: state which. It exceeds the real purity by what cake and
    undetermined take.
    """
    return relation.virtual_molasses_purity_beside_sugar(
        mixed_juice_purity, boiling_house_recovery, sugar_purity
    )


@figure(
    "Reduced boiling house recovery, virtual purity held",
    unit="% pol in mixed juice",
    decimals=2,
    formula="10 000 × (85 - V) ÷ (85 × (100 - V)), virtual purity V",
    source=GUNDU_RAO,
    station=STATION,
)
def reduced_recovery_virtual_purity_held(virtual_molasses_purity: Values) -> Values:
    """Recovery at 85 purity by this rule, whichever convention is in force."""
    return relation.recovery_at_standard_juice(virtual_molasses_purity)


@figure(
    "Reduced boiling house recovery, efficiency held",
    unit="% pol in mixed juice",
    decimals=2,
    formula="efficiency × basic recovery at 85 ÷ 100",
    source=NOEL_DEERR,
    station=STATION,
)
def reduced_recovery_efficiency_held(boiling_house_efficiency: Values) -> Values:
    """Recovery at 85 purity by this rule, whichever convention is in force.

    The two rules agree at 85 purity. From juice of 82 and 88 % recovered they part by 0.7, from
    juice of 78 and 84.5 % by 1.8.
    """
    return relation.recovery_at_constant_efficiency(boiling_house_efficiency)


@figure(
    "Reduced overall recovery",
    unit="% pol in cane",
    decimals=2,
    formula="reduced extraction × reduced boiling house recovery ÷ 100",
    source=COMMON,
    station=STATION,
)
def reduced_overall_recovery(
    reduced_extraction: Values, reduced_boiling_house_recovery: Values
) -> Values:
    """Overall recovery at 12.5 % fibre and 85 purity, by the two rules in force."""
    return reduced_extraction * reduced_boiling_house_recovery / 100
