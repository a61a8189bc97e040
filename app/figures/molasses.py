"""Final molasses: target purity, and what it carries out of the house."""

import numpy as np

from app.chemistry import molasses as relation
from app.figures.declare import Values, figure
from app.figures.sources import (
    COMMON,
    DEFINITION,
    FROM_MEMORY,
    MOLASSES_TRADE,
    SMRI,
    Source,
)

STATION = "final_molasses"
SMRI_1995 = {"target_purity_rule": ("SMRI 1995",)}
REIN_SMITH_1981 = {"target_purity_rule": ("Rein and Smith 1981",)}
QUEENSLAND = {"target_purity_rule": ("Queensland",)}
JAVA = {"target_purity_rule": ("Java",)}
REIN_AND_SMITH = Source("Rein and Smith 1981", FROM_MEMORY)
BROADFOOT = Source("Queensland: Broadfoot, Miller and others", FROM_MEMORY)
DOUWES_DEKKER = Source("Java: Douwes Dekker", FROM_MEMORY)


@figure(
    "Reducing sugars in final molasses",
    unit="t",
    decimals=2,
    formula="final molasses × reducing sugars ÷ 100",
    source=DEFINITION,
    station=STATION,
    kind="adds",
)
def reducing_sugars_in_final_molasses(
    final_molasses: Values, entered_final_molasses_reducing_sugars: Values
) -> Values:
    """Tonnes of reducing sugars in the final molasses weighed."""
    return final_molasses * entered_final_molasses_reducing_sugars / 100


@figure(
    "Ash in final molasses",
    unit="t",
    decimals=2,
    formula="final molasses × ash ÷ 100",
    source=DEFINITION,
    station=STATION,
    kind="adds",
)
def ash_in_final_molasses(final_molasses: Values, entered_final_molasses_ash: Values) -> Values:
    """Tonnes of ash in the final molasses weighed."""
    return final_molasses * entered_final_molasses_ash / 100


@figure(
    "Reducing sugars over ash",
    unit="",
    decimals=2,
    formula="reducing sugars ÷ ash",
    source=DEFINITION,
    station=STATION,
)
def reducing_sugars_over_ash(
    reducing_sugars_in_final_molasses: Values, ash_in_final_molasses: Values
) -> Values:
    """Ratio that decides how far molasses can be exhausted; 0.8 to 1.8 is usual (common practice).

    Chromatography and copper methods differ, and so do sulphated and conductivity ash. Copper
    reagents are caustic, and sulphuric acid burns: local codes and licensed practice rule.
    """
    return reducing_sugars_in_final_molasses / ash_in_final_molasses


@reducing_sugars_over_ash.otherwise("reducing sugars ÷ ash")
def _ratio_of_a_sample(
    entered_final_molasses_reducing_sugars: Values, entered_final_molasses_ash: Values
) -> Values:
    return entered_final_molasses_reducing_sugars / entered_final_molasses_ash


@figure(
    "Final molasses target purity",
    unit="%",
    decimals=2,
    formula="33.9 - 13.4 × log₁₀(reducing sugars ÷ ash), SMRI 1995",
    source=SMRI,
    station=STATION,
    when=SMRI_1995,
)
def final_molasses_target_purity(reducing_sugars_over_ash: Values) -> Values:
    """True purity to which molasses of this composition is expected to be exhausted, by the rule.

    The convention chooses the rule, and the formula names it. Over a period it is taken at the
    period's ratio, which lies a little below the mean of the samples' own targets. The rules expect
    unlike things: SMRI 1995 agrees within 0.06 to 0.31 with printed targets of Louisiana, Rein and
    Smith 1981 reads 3.8 above them and Queensland 6.7.
    """
    return relation.target_purity_smri_1995(reducing_sugars_over_ash)


@final_molasses_target_purity.otherwise(
    "37.7 - 17.6 × log₁₀(reducing sugars ÷ ash), Rein and Smith 1981",
    when=REIN_SMITH_1981,
    source=REIN_AND_SMITH,
)
def _rein_and_smith(reducing_sugars_over_ash: Values) -> Values:
    return relation.target_purity_rein_smith_1981(reducing_sugars_over_ash)


@final_molasses_target_purity.otherwise(
    "40.67 - 17.80 × log₁₀(reducing sugars ÷ ash), Queensland",
    when=QUEENSLAND,
    source=BROADFOOT,
)
def _queensland(reducing_sugars_over_ash: Values) -> Values:
    return relation.target_purity_queensland(reducing_sugars_over_ash)


@final_molasses_target_purity.otherwise(
    "35.886 - 0.08088 × r + 0.26047 × a, Java; reducing sugars r and ash a in % of dry solids that "
    "are not sucrose",
    when=JAVA,
    source=DOUWES_DEKKER,
)
def _java(
    reducing_sugars_in_final_molasses: Values,
    ash_in_final_molasses: Values,
    sucrose_in_final_molasses: Values,
    brix_in_final_molasses_weighed: Values,
) -> Values:
    solids = brix_in_final_molasses_weighed
    sucrose = 100 * sucrose_in_final_molasses / solids
    reducing_sugars, ash = (
        relation.on_non_sucrose(100 * part / solids, sucrose, np.asarray(100.0))
        for part in (reducing_sugars_in_final_molasses, ash_in_final_molasses)
    )
    return relation.target_purity_java(reducing_sugars, ash)


@figure(
    "Sucrose in final molasses weighed",
    unit="t",
    decimals=2,
    formula="final molasses × brix × true purity ÷ 10 000",
    source=DEFINITION,
    station=STATION,
    kind="adds",
)
def sucrose_in_final_molasses(
    final_molasses: Values,
    entered_final_molasses_brix: Values,
    entered_final_molasses_true_purity: Values,
) -> Values:
    """Tonnes of true sucrose in the final molasses weighed."""
    return final_molasses * entered_final_molasses_brix * entered_final_molasses_true_purity / 10000


@sucrose_in_final_molasses.otherwise("final molasses × sucrose ÷ 100")
def _by_sucrose(final_molasses: Values, entered_final_molasses_sucrose: Values) -> Values:
    return final_molasses * entered_final_molasses_sucrose / 100


@figure(
    "Final molasses true purity",
    unit="%",
    decimals=2,
    formula="100 × sucrose ÷ dry solids",
    source=DEFINITION,
    station=STATION,
)
def final_molasses_true_purity(
    sucrose_in_final_molasses: Values, brix_in_final_molasses_weighed: Values
) -> Values:
    """True sucrose in 100 of dry solids; 3 to 6 above apparent purity (common practice).

    36 to 45 is usual (common practice). The laboratory enters it, or sucrose by chromatography;
    brix stands for dry solids then. Where the mill accounts on sucrose, the pol box holds sucrose.
    """
    return 100 * sucrose_in_final_molasses / brix_in_final_molasses_weighed


@final_molasses_true_purity.otherwise("as entered")
def _true_purity_as_entered(entered_final_molasses_true_purity: Values) -> Values:
    return entered_final_molasses_true_purity


@final_molasses_true_purity.otherwise(
    "final molasses purity, the pol box holding sucrose", when={"pol_basis": ("sucrose",)}
)
def _accounted_on_sucrose(final_molasses_purity: Values) -> Values:
    return final_molasses_purity


@figure(
    "Target purity difference",
    unit="units",
    decimals=1,
    formula="apparent purity - target purity",
    source=COMMON,
    station=STATION,
    when={"molasses_purity_compared": ("apparent",)},
)
def target_purity_difference(
    final_molasses_purity: Values, final_molasses_target_purity: Values
) -> Values:
    """Final molasses purity less its target.

    Of true purity 3 to 8 is usual, and -1 to 15 is seen (common practice). The target is a true
    purity: an apparent purity compared with it understates the difference by 4 to 8 units. The
    convention says which purity is compared.
    """
    return final_molasses_purity - final_molasses_target_purity


@target_purity_difference.otherwise(
    "true purity - target purity", when={"molasses_purity_compared": ("true",)}
)
def _true_difference(
    final_molasses_true_purity: Values, final_molasses_target_purity: Values
) -> Values:
    return final_molasses_true_purity - final_molasses_target_purity


@figure(
    "Final molasses % cane, at standard brix",
    unit="% cane",
    decimals=2,
    formula="10 000 × brix in final molasses ÷ (standard brix × cane)",
    source=MOLASSES_TRADE,
    station=STATION,
)
def final_molasses_on_cane(
    brix_in_final_molasses: Values, cane: Values, standard_molasses_brix: Values
) -> Values:
    """Final molasses per 100 of cane, as if all of it were of the standard brix.

    2.8 to 4.8 is usual (common practice).
    """
    return 100 * brix_in_final_molasses / (standard_molasses_brix / 100) / cane


@figure(
    "Non-sucrose ratio (brix - pol)",
    unit="%",
    decimals=1,
    formula="100 × (brix in final molasses - pol in final molasses) "
    "÷ (brix in mixed juice - pol in mixed juice)",
    source=COMMON,
    station=STATION,
)
def non_sucrose_ratio(
    brix_in_final_molasses: Values,
    pol_in_final_molasses: Values,
    brix_in_mixed_juice: Values,
    pol_in_mixed_juice: Values,
) -> Values:
    """Non-sucrose, brix less pol, found again in molasses; 88 to 102 is usual (common practice).

    With molasses as weighed, the change of stock is not in it. High together with high undetermined
    points to inversion; opposite signs point to a weight.
    """
    return (
        100
        * (brix_in_final_molasses - pol_in_final_molasses)
        / (brix_in_mixed_juice - pol_in_mixed_juice)
    )
