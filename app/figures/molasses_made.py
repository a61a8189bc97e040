"""Final molasses made: its analyses over a period, how much of it, and how much to expect."""

from app.chemistry.sugar_value import total_reducing_sugars
from app.figures.conventions import Convention, convention
from app.figures.declare import Values, figure
from app.figures.means import mean
from app.figures.seldom import seldom_mean
from app.figures.sources import COMMON, DEFINITION, FROM_MEMORY, Source

STATION = "final_molasses"
HYDROLYSIS = Source("sucrose splits into 360.31 ÷ 342.30 of reducing sugars, 1 ÷ 0.95", FROM_MEMORY)

convention(
    Convention(
        "season_non_sucrose_ratio",
        "Non-sucrose ratio expected",
        95.0,
        "%",
        COMMON,
        "Non-sucrose of mixed juice that comes out again in final molasses, 88 to 102. Each mill "
        "has its own, from seasons in which molasses was weighed.",
        low=50.0,
        high=150.0,
    )
)

mean(
    ("final_molasses_brix", "Final molasses brix", "°Bx", 2), STATION,
    "Brix of final molasses; 80 to 90 undiluted (common practice).",
    by="final_molasses", carried="brix_in_final_molasses_weighed",
)  # fmt: skip
mean(
    ("final_molasses_pol", "Final molasses pol", "%", 2), STATION,
    "Pol of final molasses. State the agent that clears it; lead salts are poisonous: local codes "
    "and licensed practice rule.",
    by="final_molasses", carried="pol_in_final_molasses_weighed",
)  # fmt: skip
mean(
    ("final_molasses_reducing_sugars", "Final molasses reducing sugars", "%", 2), STATION,
    "Reducing sugars of final molasses; chromatography and copper methods differ. Copper reagents "
    "are caustic and boil in the test: local codes and licensed practice rule.",
    by="final_molasses", carried="reducing_sugars_in_final_molasses",
)  # fmt: skip
mean(
    ("final_molasses_ash", "Final molasses ash", "%", 2), STATION,
    "Ash of final molasses, sulphated or by conductivity: a factor lies between. Hot sulphuric "
    "acid burns: local codes and licensed practice rule.",
    by="final_molasses", carried="ash_in_final_molasses",
)  # fmt: skip
seldom_mean(
    ("final_molasses_temperature", "Final molasses temperature", "°C", 1), STATION,
    "Temperature of final molasses as weighed; hot molasses in a tank may destroy itself "
    "(common practice).",
    by="final_molasses",
)  # fmt: skip


@figure(
    "True less apparent purity of final molasses",
    unit="units",
    decimals=2,
    formula="true purity - apparent purity",
    source=COMMON,
    station=STATION,
)
def true_less_apparent_purity(
    final_molasses_true_purity: Values, final_molasses_purity: Values
) -> Values:
    """How far pol reads sucrose low in final molasses; 3 to 6 units are usual (common practice).

    More where there is more fructose than glucose. Each factory fits its own.
    """
    return final_molasses_true_purity - final_molasses_purity


@figure(
    "Total sugars in final molasses, as invert",
    unit="t",
    decimals=2,
    formula="sucrose ÷ 0.95 + reducing sugars",
    source=HYDROLYSIS,
    station=STATION,
)
def total_sugars_in_final_molasses(
    sucrose_in_final_molasses: Values, reducing_sugars_in_final_molasses: Values
) -> Values:
    """Tonnes of sugars as invert, sucrose counted as what it splits into."""
    sucrose = sucrose_in_final_molasses * total_reducing_sugars(100.0) / 100
    return sucrose + reducing_sugars_in_final_molasses


@figure(
    "Total sugars % final molasses, as invert",
    unit="%",
    decimals=2,
    formula="100 × total sugars ÷ final molasses",
    source=HYDROLYSIS,
    station=STATION,
)
def final_molasses_total_sugars(
    total_sugars_in_final_molasses: Values, final_molasses: Values
) -> Values:
    """What molasses is sold by; 46 to 56 % is usual (common practice)."""
    return 100 * total_sugars_in_final_molasses / final_molasses


@figure(
    "Final molasses % cane, as weighed",
    unit="% cane",
    decimals=2,
    formula="100 × final molasses ÷ cane",
    source=DEFINITION,
    station=STATION,
)
def final_molasses_weighed_on_cane(final_molasses: Values, cane: Values) -> Values:
    """Molasses as it crossed the scale, whatever its brix, per 100 of cane."""
    return 100 * final_molasses / cane


@figure(
    "Final molasses per tonne sugar, at standard brix",
    unit="kg/t",
    decimals=0,
    formula="1000 × molasses % cane ÷ sugar % cane",
    source=COMMON,
    station=STATION,
)
def final_molasses_per_sugar(final_molasses_on_cane: Values, sugar_on_cane: Values) -> Values:
    """Molasses at standard brix per tonne of sugar, both of the account.

    250 to 400 in raw mills of mixed juice purity 80 to 86 (common practice).
    """
    return 1000 * final_molasses_on_cane / sugar_on_cane


def _expected(brix: Values, pol: Values, purity: Values, ratio: Values, standard: Values) -> Values:
    solids = (brix - pol) * ratio / 100 / (1 - purity / 100)
    return 100 * solids / standard


@figure(
    "Final molasses expected, at standard brix",
    unit="t",
    decimals=1,
    formula=(
        "100 × (brix in mixed juice - pol in mixed juice) × non-sucrose ratio expected "
        "÷ ((100 - molasses purity) × standard brix)"
    ),
    source=COMMON,
    station=STATION,
)
def final_molasses_expected(
    brix_in_mixed_juice: Values,
    pol_in_mixed_juice: Values,
    final_molasses_purity: Values,
    season_non_sucrose_ratio: Values,
    standard_molasses_brix: Values,
) -> Values:
    """Molasses that the non-sucrose of mixed juice would fill, by the season's ratio.

    For when molasses is not weighed, or against a scale that is doubted. Where its purity was not
    analysed the standing purity is taken.
    """
    return _expected(
        brix_in_mixed_juice, pol_in_mixed_juice, final_molasses_purity,
        season_non_sucrose_ratio, standard_molasses_brix,
    )  # fmt: skip


@final_molasses_expected.otherwise(
    "100 × (brix in mixed juice - pol in mixed juice) × non-sucrose ratio expected "
    "÷ ((100 - standing purity of final molasses) × standard brix)"
)
def _at_standing_purity(
    brix_in_mixed_juice: Values,
    pol_in_mixed_juice: Values,
    standing_molasses_purity: Values,
    season_non_sucrose_ratio: Values,
    standard_molasses_brix: Values,
) -> Values:
    return _expected(
        brix_in_mixed_juice, pol_in_mixed_juice, standing_molasses_purity,
        season_non_sucrose_ratio, standard_molasses_brix,
    )  # fmt: skip
