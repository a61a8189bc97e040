"""Checks of the sugar account of a week, and of the evaporator over a day."""

from app.chemistry.density import sucrose_solution_density
from app.figures.sources import SJM
from app.plant.grains import DAY, WEEK
from app.reports.checks.declare import Band, compare, purity_of

_STRIKE = 65  # °C


@compare(
    "Recovery against the s-j-m rule",
    value="Recovery under what purities allow by",
    unit="% pol in mixed juice",
    decimals=2,
    concerns=("sugar", "sugar_pol", *purity_of("mixed_juice", "final_molasses"), "mixed_juice"),
    causes=(
        "stock in process was judged too high at the end, or too low at the beginning",
        "sugar bagged was counted twice, or its pol is high",
        "pol or weight of mixed juice is low",
        "where it is much under: loss by inversion or spills, or sugar that was not counted",
    ),
    grain=WEEK,
    source=SJM,
)
def recovery_under_sjm(boiling_house_recovery: float, sjm_recovery: float) -> Band:
    """No more sugar comes out than the purities of mixed juice, sugar and molasses allow; filter
    cake and undetermined loss keep the recovery up to 6 below that.
    """
    return Band(sjm_recovery - boiling_house_recovery, 0, 6)


@compare(
    "Undetermined loss and non-sucrose ratio both high",
    value="Undetermined loss",
    unit="per 100 pol in cane",
    decimals=2,
    concerns=("mixed_juice_pol", "mixed_juice_brix", "final_molasses", "final_molasses_brix"),
    causes=(
        "inversion: pol was lost and became non-sucrose; look at pH and at hours held hot",
        "the pol of mixed juice is read too high, or its brix too low",
    ),
    grain=WEEK,
)
def inversion(undetermined_loss: float, non_sucrose_ratio: float) -> Band | None:
    """Pol that inverts is missed in the account and found as non-sucrose: where more than 102 % of
    the non-sucrose of mixed juice comes out in molasses, an undetermined loss over 2 tells of it.
    """
    return Band(undetermined_loss, -2, 2) if non_sucrose_ratio > 102 else None


@compare(
    "Undetermined loss high, non-sucrose ratio low",
    value="Undetermined loss",
    unit="per 100 pol in cane",
    decimals=2,
    concerns=("cane", "mixed_juice", "final_molasses", "sugar", "final_molasses_brix"),
    causes=(
        "molasses or sugar was not weighed, or liquor was lost",
        "the weight of mixed juice is high",
    ),
    grain=WEEK,
)
def a_weight_lacks(undetermined_loss: float, non_sucrose_ratio: float) -> Band | None:
    """Where pol and non-sucrose are both missed, it is not inversion but a weight: an undetermined
    loss over 2 with less than 88 % of the non-sucrose found.
    """
    return Band(undetermined_loss, -2, 2) if non_sucrose_ratio < 88 else None


@compare(
    "Non-sucrose of C massecuite in molasses and C sugar",
    value="Found in final molasses",
    unit="% of what C massecuite left it",
    decimals=0,
    concerns=(
        "c_massecuite_volume", *purity_of("c_massecuite", "c_magma", "final_molasses"),
        "final_molasses",
    ),
    causes=(
        "a volume of C massecuite was not entered, or entered twice",
        "final molasses was not all weighed",
        "purity of C massecuite or of final molasses is wrong",
        "much went into the crystallizers, or came out of them",
    ),
    grain=WEEK,
)  # fmt: skip
def non_sucrose_of_c_massecuite(
    c_massecuite_brix_struck: float, c_massecuite_brix: float, c_massecuite_purity: float,
    c_massecuite_solids_to_sugar: float, c_magma_purity: float,
    non_sucrose_in_final_molasses: float,
) -> Band | None:  # fmt: skip
    """What is no sucrose in C massecuite goes to final molasses or, with the film on its grain, to
    C sugar. Volumes struck, with the density at 65 °C, are good for some 20 % of a week's.
    """
    solids = c_massecuite_brix_struck * float(
        sucrose_solution_density(c_massecuite_brix, _STRIKE) / 1000
    )
    to_sugar = solids * c_massecuite_solids_to_sugar / 100 * (1 - c_magma_purity / 100)
    left = solids * (1 - c_massecuite_purity / 100) - to_sugar
    return Band(100 * non_sucrose_in_final_molasses / left, 75, 125) if left > 0 else None


@compare(
    "Evaporation by steam",
    value="Water evaporated",
    unit="t by each tonne of steam",
    decimals=2,
    concerns=("clear_juice", "clear_juice_brix", "syrup_brix", "evaporator_steam"),
    causes=(
        "the steam meter reads low",
        "the brix of syrup is high, or the weight of clear juice",
    ),
    grain=DAY,
)
def evaporation_under_effects(
    water_evaporated: float, evaporator_steam: float, evaporator_effects: float
) -> Band | None:
    """Each effect evaporates at most about what came in as steam: the whole evaporator less than
    its number of effects.
    """
    if evaporator_steam <= 0:
        return None
    return Band(water_evaporated / evaporator_steam, 0.5, evaporator_effects)
