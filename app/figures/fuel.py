"""Bagasse as fuel: its calorific value, the heat in it, and what is left over.

Bagasse dust and flue gas are dangerous: local codes and licensed practice rule.
"""

from app.chemistry import fuel as relation
from app.figures.conventions import Convention, convention
from app.figures.declare import Values, figure
from app.figures.sources import COMMON, DEFINITION, FROM_MEMORY, HUGOT, READ, Source

STATION = "boilers"
MEGAJOULES_IN_MEGAWATT_HOUR = 3600
DON = Source("Don, Mellet, Ravno and Bodger, Proc. SASTA 1977; also in the SASTA manual", READ)
DON_NET = Source(
    "worked out from the gross value of Don 1977 with 5.91 % hydrogen in dry bagasse; the net "
    "equation of the paper was not seen",
    FROM_MEMORY,
)
BY_DON = {"calorific_value_rule": ("Don 1977",)}
BY_HUGOT = {"calorific_value_rule": ("Hugot",)}

for _declared in (
    Convention(
        "calorific_value_rule", "Rule of the calorific value of bagasse", "Don 1977", "", DON,
        "Don's counts ash. Hugot's does not, and is some 2 % too high where ash is 1.8 %.",
        choices=("Don 1977", "Hugot"),
    ),
    Convention(
        "standing_bagasse_ash", "Standing ash of bagasse, where none was analysed", 2.5,
        "% bagasse", COMMON,
        "1.5 to 4 is usual (common practice); more when cane comes in with soil.", high=20.0,
    ),
    Convention(
        "bagasse_fired", "Bagasse taken as burnt", "weighed", "", COMMON,
        "All bagasse: what goes to store, is sold or leaves as bagacillo then counts as burnt. "
        "Steam from all bagasse is then steam raised, and efficiency is of all bagasse made.",
        choices=("weighed", "weighed, else all bagasse", "all bagasse"),
    ),
):  # fmt: skip
    convention(_declared)


@figure(
    "Ash of bagasse, as fuel", unit="% bagasse", decimals=2, formula="ash % bagasse",
    source=DEFINITION, station=STATION,
)  # fmt: skip
def fuel_ash(bagasse_ash: Values) -> Values:
    """Ash by which heat is reckoned: as analysed, else a standing value that is a convention.

    1.5 to 4 is usual (common practice).
    """
    return bagasse_ash


@fuel_ash.otherwise("standing ash of bagasse, where its moisture is known", source=COMMON)
def _standing_ash(standing_bagasse_ash: Values, bagasse_moisture: Values) -> Values:
    return standing_bagasse_ash + 0 * bagasse_moisture


def _percent(part: Values, whole: Values) -> Values:
    return 100 * part / whole


@figure(
    "Brix of bagasse, as fuel", unit="% bagasse", decimals=2,
    formula="100 × brix in bagasse ÷ bagasse", source=DEFINITION, station=STATION, internal=True,
)  # fmt: skip
def fuel_brix(brix_in_bagasse: Values, bagasse: Values) -> Values:
    """Dissolved solids of bagasse: as measured, else from its pol."""
    return _percent(brix_in_bagasse, bagasse)


@fuel_brix.otherwise("as entered")
def _brix_as_entered(entered_bagasse_brix: Values) -> Values:
    return entered_bagasse_brix


@fuel_brix.otherwise("100 × pol ÷ purity of the juice left in it")
def _brix_from_pol(entered_bagasse_pol: Values, residual_juice_purity: Values) -> Values:
    return _percent(entered_bagasse_pol, residual_juice_purity)


@figure(
    "Gross calorific value of bagasse", unit="kJ/kg", decimals=0,
    formula="19605 - 196.05 × moisture - 196.05 × ash - 31.14 × brix, Don 1977",
    source=DON, station=STATION, when=BY_DON,
)  # fmt: skip
def gross_calorific_value(bagasse_moisture: Values, fuel_ash: Values, fuel_brix: Values) -> Values:
    """Heat of bagasse when all its water condenses; 9000 to 9800 is usual (common practice).

    Brix, not pol, belongs in Don's rule. Hugot's knows no ash.
    """
    return relation.don_gross_calorific_value(bagasse_moisture, fuel_ash, fuel_brix)


@gross_calorific_value.otherwise(
    "4.1868 × (4600 - 12 × pol - 46 × moisture), Hugot", when=BY_HUGOT, source=HUGOT
)  # fmt: skip
def _gross_by_hugot(bagasse_moisture: Values, bagasse_pol: Values) -> Values:
    return relation.hugot_gross_calorific_value(bagasse_moisture, bagasse_pol)


@figure(
    "Net calorific value of bagasse", unit="kJ/kg", decimals=0,
    formula="18309 - 207.63 × moisture - 196.05 × ash - 31.14 × brix, on Don 1977",
    source=DON_NET, station=STATION, when=BY_DON,
)  # fmt: skip
def net_calorific_value(bagasse_moisture: Values, fuel_ash: Values, fuel_brix: Values) -> Values:
    """Heat of bagasse while its water leaves as vapour; 7000 to 8000 is usual (common practice).

    One point of moisture changes it by 208, nearly 3 % at 50 % moisture. By Don, hydrogen is 5.91 %
    of dry bagasse, whatever the convention of the heat losses says.
    """
    return relation.don_net_calorific_value(bagasse_moisture, fuel_ash, fuel_brix)


@net_calorific_value.otherwise(
    "4.1868 × (4250 - 12 × pol - 48.5 × moisture), Hugot", when=BY_HUGOT, source=HUGOT
)  # fmt: skip
def _net_by_hugot(bagasse_moisture: Values, bagasse_pol: Values) -> Values:
    return relation.hugot_net_calorific_value(bagasse_moisture, bagasse_pol)


@figure(
    "Heat in bagasse", unit="MWh", decimals=0,
    formula="bagasse × gross calorific value ÷ 3600", source=DEFINITION, station=STATION,
)  # fmt: skip
def heat_in_bagasse(bagasse: Values, gross_calorific_value: Values) -> Values:
    """Gross heat of all bagasse made, by the calorific value of the period."""
    return bagasse * gross_calorific_value / MEGAJOULES_IN_MEGAWATT_HOUR


@figure(
    "Bagasse burnt", unit="t", decimals=1, formula="as weighed", source=COMMON, station=STATION,
    kind="adds", when={"bagasse_fired": ("weighed", "weighed, else all bagasse")},
)  # fmt: skip
def bagasse_burnt(entered_bagasse_burnt: Values) -> Values:
    """Bagasse that the boilers burnt: as weighed, or all that was made where a mill so chose.

    Taken as all bagasse it tells nothing of store, sale or bagacillo, nor does what follows.
    """
    return entered_bagasse_burnt


@bagasse_burnt.otherwise(
    "bagasse, all of it", when={"bagasse_fired": ("all bagasse", "weighed, else all bagasse")}
)
def _all_bagasse(bagasse: Values) -> Values:
    return bagasse


@figure(
    "Heat in bagasse burnt", unit="MWh", decimals=0,
    formula="bagasse burnt × gross calorific value ÷ 3600", source=DEFINITION, station=STATION,
)  # fmt: skip
def heat_burnt(bagasse_burnt: Values, gross_calorific_value: Values) -> Values:
    """Gross heat that was fed to the boilers; fuel other than bagasse is not in it.

    Where all bagasse counts as burnt, it is the heat of all bagasse made.
    """
    return bagasse_burnt * gross_calorific_value / MEGAJOULES_IN_MEGAWATT_HOUR


@figure(
    "Bagasse not burnt", unit="t", decimals=1, formula="bagasse - bagasse burnt as weighed",
    source=DEFINITION, station=STATION, kind="adds",
)  # fmt: skip
def bagasse_not_burnt(bagasse: Values, entered_bagasse_burnt: Values) -> Values:
    """Bagasse left over: to store, sold, or taken out as bagacillo; below zero, out of store.

    Only where the bagasse burnt is weighed. Errors of both weights are in it.
    """
    return bagasse - entered_bagasse_burnt


@figure(
    "Bagasse not burnt % bagasse", unit="% bagasse", decimals=2,
    formula="100 × bagasse not burnt ÷ bagasse", source=DEFINITION, station=STATION,
)  # fmt: skip
def surplus_bagasse(bagasse_not_burnt: Values, bagasse: Values) -> Values:
    """Surplus of bagasse per 100 made; 0 to 15 without export of power (common practice)."""
    return 100 * bagasse_not_burnt / bagasse


@figure(
    "Bagasse burnt % cane", unit="% cane", decimals=2, formula="100 × bagasse burnt ÷ cane",
    source=DEFINITION, station=STATION,
)  # fmt: skip
def bagasse_burnt_on_cane(bagasse_burnt: Values, cane: Values) -> Values:
    """Bagasse burnt per 100 of cane: at most bagasse % cane, 25 to 33 (common practice).

    Where all bagasse counts as burnt, it is bagasse % cane itself.
    """
    return 100 * bagasse_burnt / cane
