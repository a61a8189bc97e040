"""Checks of balances on a sheet: water, fibre, cake, pH and hours."""

from app.figures.sources import DEFINITION
from app.plant.utilities import CAUSES
from app.reports.checks.declare import Band, compare, purity_of

_WEIGHTS = ("cane", "imbibition", "mixed_juice", "bagasse")
_JUICES = ("mixed_juice_brix", "mixed_juice_pol", "mixed_juice_suspended_solids")
_BAGASSE = ("bagasse_pol", "bagasse_moisture", "bagasse_brix")
_A_WEIGHT = "a weight is wrong: read the totals of cane, imbibition and mixed juice again"


@compare(
    "Water and cane against juice and bagasse",
    value="Came in and did not go out",
    unit="% of what came in",
    decimals=2,
    concerns=_WEIGHTS,
    causes=(
        _A_WEIGHT,
        "the tare of bagasse, or its belt scale, is off",
        "water was returned or used for washing and not measured",
    ),
)
def water_balance(
    entered_cane: float, entered_imbibition: float, entered_mixed_juice: float,
    entered_bagasse: float,
) -> Band:  # fmt: skip
    """Cane and imbibition leave as mixed juice and bagasse, within 3 % of them: scales and meters
    are good for 1 %, and 0.5 to 1.5 % of cane evaporates. Without weighed bagasse it holds by
    construction.
    """
    came = entered_cane + entered_imbibition
    return Band(100 * (came - entered_mixed_juice - entered_bagasse) / came, -2, 3)


@compare(
    "Bagasse on cane",
    value="Bagasse",
    unit="% cane",
    decimals=2,
    concerns=_WEIGHTS,
    causes=(_A_WEIGHT, "imbibition was carried over from another shift", "cane of unusual fibre"),
)
def bagasse_of_the_cane(bagasse_on_cane: float) -> Band:
    """Cane leaves a fifth to two fifths of its weight as bagasse; where bagasse is not weighed, the
    three other weights decide it.
    """
    return Band(bagasse_on_cane, 20, 40)


@compare(
    "Dilution under what imbibition can give",
    value="Dilution",
    unit="% imbibition",
    decimals=1,
    concerns=(*_WEIGHTS, *_JUICES, *purity_of("first_expressed_juice")),
    causes=(
        "the brix of mixed juice is low: wash water, or read from the wrong line",
        "imbibition is read too low, or not all of its water passes the meter",
        "the weight of mixed juice is high",
    ),
)
def dilution_under_imbibition(dilution_on_imbibition: float) -> Band:
    """The water that juice is diluted by came with imbibition: 0 to 105 of each 100 of it."""
    return Band(dilution_on_imbibition, 0, 105)


@compare(
    "Brix extraction against pol extraction",
    value="Pol extraction above brix extraction by",
    unit="units",
    decimals=2,
    concerns=(*_JUICES, *_BAGASSE, *purity_of("last_expressed_juice")),
    causes=(
        "the pol of bagasse, or the purity of the juice left in it, is wrong",
        "brix and pol of mixed juice were exchanged or misread",
    ),
)
def brix_extraction_below_pol(pol_extraction: float, brix_extraction: float) -> Band:
    """The juice left in bagasse is poorer in pol than what was pressed out, so that less of the
    brix than of the pol is extracted: by up to 3 units.
    """
    return Band(pol_extraction - brix_extraction, 0, 3)


@compare(
    "Cane adds up",
    value="Moisture of cane, which fibre and brix leave",
    unit="% cane",
    decimals=2,
    concerns=(*_WEIGHTS, *_JUICES, *_BAGASSE),
    causes=(_A_WEIGHT, "moisture or pol of bagasse is wrong", "brix of mixed juice is wrong"),
)
def moisture_of_the_cane(cane_moisture: float) -> Band:
    """Fibre, brix and moisture of cane are 100 by construction; the moisture lies in 65 to 78."""
    return Band(cane_moisture, 65, 78)


@compare(
    "Fibre of bagasse",
    value="Fibre, which moisture and brix leave",
    unit="% bagasse",
    decimals=2,
    concerns=(*_BAGASSE, "bagasse_purity", *purity_of("last_expressed_juice")),
    causes=(
        "the moisture of bagasse is wrong: a dish, or not dried to constant weight",
        "the pol of bagasse is wrong",
    ),
)
def fibre_of_the_bagasse(bagasse_fibre: float) -> Band:
    """Moisture, brix and fibre of bagasse are 100 by construction; the fibre lies in 40 to 54."""
    return Band(bagasse_fibre, 40, 54)


@compare(
    "Filter cake on cane",
    value="Filter cake",
    unit="% cane",
    decimals=2,
    concerns=("filter_cake", "cane"),
    causes=(
        "the decimal point of a weight slipped",
        "trailers of another shift, or a ticket that lacks",
        "muddy cane",
    ),
)
def cake_of_the_cane(filter_cake_on_cane: float) -> Band:
    """Of each 100 of cane 1.5 to 10 leave as filter cake."""
    return Band(filter_cake_on_cane, 1.5, 10)


@compare(
    "Filter cake adds up",
    value="Dissolved matter other than pol, which is left",
    unit="% cake",
    decimals=2,
    concerns=("filter_cake_pol", "filter_cake_moisture", "filter_cake_suspended_solids"),
    causes=(
        "the moisture of cake, or its insoluble solids, is wrong",
        "the pol of cake is wrong, or of another sample",
    ),
)
def cake_adds_up(
    entered_filter_cake_pol: float, entered_filter_cake_moisture: float,
    entered_filter_cake_suspended_solids: float,
) -> Band:  # fmt: skip
    """Moisture, insoluble solids and pol leave room for some non-pol in 100 of cake: up to 6 %, and
    nothing less than what drying twice is unsure of, 1.5 %.
    """
    left = 100 - entered_filter_cake_moisture - entered_filter_cake_suspended_solids
    return Band(left - entered_filter_cake_pol, -1.5, 6)


_PH = ("the meter was not set, or its electrode is old", "samples were exchanged")


@compare(
    "Liming raises the pH",
    value="Limed juice above mixed juice by",
    unit="pH",
    decimals=2,
    concerns=("mixed_juice_ph", "limed_juice_ph"),
    causes=(*_PH, "lime was off"),
)
def ph_rises_with_lime(entered_mixed_juice_ph: float, entered_limed_juice_ph: float) -> Band:
    """Lime takes mixed juice up by 1 to 5 of pH."""
    return Band(entered_limed_juice_ph - entered_mixed_juice_ph, 1, 5)


@compare(
    "The pH falls in the clarifier",
    value="Limed juice above clear juice by",
    unit="pH",
    decimals=2,
    concerns=("limed_juice_ph", "clear_juice_ph"),
    causes=(*_PH, "juice was limed twice, or stood long and hot"),
)
def ph_falls_in_clarifier(entered_limed_juice_ph: float, entered_clear_juice_ph: float) -> Band:
    """Heat and settling take the pH down again, by up to 2."""
    return Band(entered_limed_juice_ph - entered_clear_juice_ph, -0.1, 2)


@compare(
    "The pH falls in the evaporators",
    value="Clear juice above syrup by",
    unit="pH",
    decimals=2,
    concerns=("clear_juice_ph", "syrup_ph"),
    causes=(*_PH, "soda or lime was added to the juice"),
)
def ph_falls_in_evaporators(evaporation_ph_drop: float) -> Band:
    """Juice turns more acid as it is boiled down, by up to 1.5 of pH."""
    return Band(evaporation_ph_drop, -0.2, 1.5)


@compare(
    "Hours add to those of the shift",
    value="Hours told for no cause",
    unit="h",
    decimals=2,
    concerns=("crushing_hours", *(f"{cause}_hours" for cause in CAUSES)),
    causes=(
        "a stop was not entered, or under no cause",
        "hours crushing are too many: a stop was counted as crushing",
        "a stop was entered in minutes",
    ),
    source=DEFINITION,
)
def hours_add_up(unaccounted_stop_hours: float) -> Band:
    """Hours crushing and hours stopped by cause are those of the shift, within a quarter hour."""
    return Band(unaccounted_stop_hours, -0.25, 0.25)
