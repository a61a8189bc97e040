"""Sugar bagged counted as sugar of one standard: each scale by its name.

At 98 pol the three scales give 1.0208, 1.0350 and 1.0435: they agree at 96 pol and nowhere else.
"""

from collections.abc import Callable

from app.chemistry import sugar_value as relation
from app.figures.declare import Values, figure
from app.figures.sources import COMMON, FROM_MEMORY, Source

STATION = "drying_and_packing"
UNITED_STATES = Source("raw value of the customs rules of the United States", FROM_MEMORY)
EUROPE = Source(
    "Council Regulation (EC) 318/2006, Annex I: the yield of 92 read, the clause on cane sugar",
    FROM_MEMORY,
)


def _scale(
    name: str, title: str, formula: str, source: Source
) -> Callable[[Callable[..., Values]], object]:
    return figure(
        title, unit="t", decimals=1, formula=formula, source=source, station=STATION, name=name,
        inputs=("sugar", "sugar_pol"),
    )  # fmt: skip


@_scale("sugar_at_96_pol", "Sugar bagged at 96 pol, by pol", "sugar × pol ÷ 96", COMMON)
def _by_pol(sugar: Values, pol: Values) -> Values:
    """Sugar of 96 pol that would hold the same pol. "Tel quel" is sugar as made."""
    return relation.pol_ratio_to_96(sugar, pol)


@_scale(
    "sugar_united_states_raw_value",
    "Sugar bagged, raw value of the United States",
    "sugar × (1.07 - 0.0175 × (100 - pol)), not under 0.93 × sugar",
    UNITED_STATES,
)
def _united_states(sugar: Values, pol: Values) -> Values:
    """Raw value by the rule of the United States: 1 at 96 pol, 0.93 at 92 and below."""
    return relation.united_states_raw_value(sugar, pol)


@_scale(
    "sugar_european_raw_equivalent",
    "Sugar bagged, European raw equivalent",
    "sugar × (2 × pol - 100) ÷ 92",
    EUROPE,
)
def _european(sugar: Values, pol: Values) -> Values:
    """Raw sugar of the European standard quality, which yields 92 % white, by yield."""
    return relation.european_raw_equivalent(sugar, pol)


@figure(
    "Tonnes cane per tonne sugar bagged at 96 pol",
    unit="t/t",
    decimals=2,
    formula="cane ÷ sugar at 96 pol",
    source=COMMON,
    station=STATION,
)
def cane_per_sugar_at_96_pol(cane: Values, sugar_at_96_pol: Values) -> Values:
    """Cane for one tonne of sugar of 96 pol by pol; as made, the ratio differs by pol ÷ 96."""
    return cane / sugar_at_96_pol


@figure(
    "Sugar bagged at 96 pol % cane",
    unit="% cane",
    decimals=2,
    formula="100 × sugar at 96 pol ÷ cane",
    source=COMMON,
    station=STATION,
)
def sugar_at_96_pol_on_cane(sugar_at_96_pol: Values, cane: Values) -> Values:
    """Sugar of 96 pol by pol per 100 of cane."""
    return 100 * sugar_at_96_pol / cane
