"""How well the boiling house and the whole factory recovered the pol that came in."""

from app.chemistry import recovery as relation
from app.figures.declare import Values, figure
from app.figures.sources import (
    FROM_MEMORY,
    ISSCT,
    SASTA,
    SJM,
    WINTER_CARP,
    Source,
)

STATION = "account"
PERFORMANCE = Source("recovery over the s-j-m rule; the name", FROM_MEMORY)


@figure(
    "Boiling house recovery",
    unit="% pol in mixed juice",
    decimals=2,
    formula="100 × pol in sugar ÷ pol in mixed juice",
    source=SASTA,
    station=STATION,
)
def boiling_house_recovery(pol_in_sugar: Values, pol_in_mixed_juice: Values) -> Values:
    """Pol of mixed juice that became sugar; 84 to 91 is usual (common practice).

    With sugar as bagged the change of stock is not in it: stock drawn down raises it, growth of
    stock lowers it. Also called retention, which means other things at filters and clarifiers, and
    in India boiling house extraction, shortened BHE as efficiency is.
    """
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
    """Pol of cane that became sugar: pol extraction times boiling house recovery.

    80 to 88 is usual (common practice). With sugar as bagged the change of stock is not in it. In
    India "recovery" is sugar % cane.
    """
    return 100 * pol_in_sugar / pol_in_cane


@overall_recovery.otherwise("pol extraction × boiling house recovery ÷ 100")
def _from_both(pol_extraction: Values, boiling_house_recovery: Values) -> Values:
    return pol_extraction * boiling_house_recovery / 100


@figure(
    "Recovery by the S-J-M rule",
    unit="% pol in mixed juice",
    decimals=2,
    formula="100 × S × (J - M) ÷ (J × (S - M)), purities of sugar S, mixed juice J and final "
    "molasses M",
    source=SJM,
    station=STATION,
)
def sjm_recovery(
    mixed_juice_purity: Values, sugar_purity: Values, final_molasses_purity: Values
) -> Values:
    """What the three purities allow when nothing else is lost; 86 to 93 is usual (common practice).

    Only where M is below J and J below S. Recovery above it is an error of a purity, the stock or a
    weight; of sugar as bagged it may also be stock drawn down.
    """
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

    Above 100 a purity, the stock or a weight is wrong; with sugar as bagged it may also be stock
    drawn down.
    """
    return 100 * boiling_house_recovery / sjm_recovery


@figure(
    "Sugar solids % brix in mixed juice, by the S-J-M rule",
    unit="% brix",
    decimals=2,
    formula="100 × (J - M) ÷ (S - M), purities of sugar S, mixed juice J and final molasses M; 0 "
    "from M down, 100 from S up",
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
    """Pure sugar when every unit of non-pol holds back 0.4 of pol, in molasses of 28.57 purity.

    Severe for a house whose molasses is less exhausted.
    """
    non_pol = brix_in_mixed_juice - pol_in_mixed_juice
    return relation.recoverable_pol(pol_in_mixed_juice, non_pol, 200 / 7)


@figure(
    "Basic boiling house recovery (Winter-Carp)",
    unit="% pol in mixed juice",
    decimals=2,
    formula="140 - 4000 ÷ J, purity of mixed juice J",
    source=WINTER_CARP,
    station=STATION,
)
def basic_boiling_house_recovery(mixed_juice_purity: Values) -> Values:
    """Recovery of pure sugar from juice of purity J when molasses is of 28.57 purity.

    86.67 from juice of 75, 92.94 of 85. Meant for juice above 60 purity.
    """
    return relation.winter_carp_recovery(mixed_juice_purity)


@figure(
    "Equivalent standard granulated in sugar",
    unit="t",
    decimals=2,
    formula="1.4 × pol in sugar bagged - 0.4 × (sugar bagged - water in sugar)",
    source=ISSCT,
    station=STATION,
    when={"sugar_accounted": ("bagged",)},
)
def esg_in_sugar(pol_in_sugar_bagged: Values, sugar: Values, water_in_sugar: Values) -> Values:
    """Tonnes of pure sugar obtainable from the sugar of the account."""
    return 1.4 * pol_in_sugar_bagged - 0.4 * (sugar - water_in_sugar)


@esg_in_sugar.otherwise(
    "1.4 × (pol in sugar bagged + change of recoverable pol in stock) "
    "- 0.4 × (sugar bagged - water in sugar + change of recoverable sugar solids in stock)",
    when={"sugar_accounted": ("made and estimated",)},
)
def _esg_made(
    pol_in_sugar_bagged: Values,
    sugar: Values,
    water_in_sugar: Values,
    change_of_recoverable_pol_in_stock: Values,
    change_of_recoverable_solids_in_stock: Values,
) -> Values:
    pol = pol_in_sugar_bagged + change_of_recoverable_pol_in_stock
    return 1.4 * pol - 0.4 * (sugar - water_in_sugar + change_of_recoverable_solids_in_stock)


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
    """Recovery, as ESG, against the Winter-Carp basic recovery.

    92 to 98 is usual (common practice). Above 101 is an error; with sugar as bagged it may also be
    stock drawn down. BHE for short, as boiling house extraction (recovery) is in India: say which.
    Pol in place of ESG on top reads 0.3 to 1 higher.
    """
    return 100 * boiling_house_recovery_esg / basic_boiling_house_recovery
