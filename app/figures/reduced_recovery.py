"""Recovery as it would be from juice of one standard purity, and the virtual purity behind it."""

from app.chemistry import recovery as relation
from app.figures.declare import Values, figure
from app.figures.sources import COMMON, FROM_MEMORY, GUNDU_RAO, Source

STATION = "account"
BESIDE_SUGAR = Source("by algebra from the s-j-m rule", FROM_MEMORY)
NOEL_DEERR = Source("one of two rules printed under Noel Deerr's name", FROM_MEMORY)


@figure(
    "Virtual purity of final molasses",
    unit="%",
    decimals=2,
    formula="100 × J × (100 - R) ÷ (10 000 - J × R), purity of mixed juice J, recovery as ESG R",
    source=GUNDU_RAO,
    station=STATION,
)
def virtual_molasses_purity(
    mixed_juice_purity: Values, boiling_house_recovery_esg: Values
) -> Values:
    """Molasses purity that would explain every loss of the boiling house, on ESG.

    33 to 42 is usual (common practice), above the real one by what cake and undetermined take.
    """
    return relation.virtual_molasses_purity(mixed_juice_purity, boiling_house_recovery_esg)


@figure(
    "Reduced boiling house recovery (85 purity)",
    unit="% pol in mixed juice",
    decimals=2,
    formula="10 000 × (85 - V) ÷ (85 × (100 - V)), virtual purity V held",
    source=GUNDU_RAO,
    station=STATION,
    when={"reduced_recovery_rule": ("virtual purity held",)},
)
def reduced_boiling_house_recovery(virtual_molasses_purity: Values) -> Values:
    """Recovery as it would be from juice of 85 purity, by the rule of the convention in force.

    The formula names the rule: two share this name, agree at 85 purity and part quickly away from
    it. 87 to 92 is usual (common practice).
    """
    return relation.recovery_at_standard_juice(virtual_molasses_purity)


@reduced_boiling_house_recovery.otherwise(
    "boiling house efficiency × (140 - 4000 ÷ 85) ÷ 100, efficiency held",
    when={"reduced_recovery_rule": ("efficiency held",)},
    source=NOEL_DEERR,
)
def _efficiency_held(boiling_house_efficiency: Values) -> Values:
    return relation.recovery_at_constant_efficiency(boiling_house_efficiency)


@figure(
    "Virtual purity of final molasses, beside real sugar",
    unit="%",
    decimals=2,
    formula="J × S × (100 - R) ÷ (100 × S - J × R), purities of mixed juice J and sugar S, "
    "recovery of pol R",
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
    formula="10 000 × (85 - V) ÷ (85 × (100 - V)), virtual purity V held",
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
    formula="boiling house efficiency × (140 - 4000 ÷ 85) ÷ 100, efficiency held",
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
    """Overall recovery at 12.5 % fibre and 85 purity, by the two rules in force.

    83 to 89 is usual (common practice).
    """
    return reduced_extraction * reduced_boiling_house_recovery / 100
