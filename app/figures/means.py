"""Mean of an analysis over a period, by the weight that carries it.

A stream that nobody weighs is carried by the cane crushed while it was sampled.
"""

from app.figures.declare import ENTERED, Figure, Values, figure
from app.figures.sources import COMMON

Named = tuple[str, str, str, int]


def _carried(weight: Values, value: Values) -> Values:
    """The analysis times what carries it, so that a period has one sum over another."""
    return weight * value / 100


def by_weight(carried: Values, weight: Values) -> Values:
    """The mean that what was carried makes of a weight."""
    return 100 * carried / weight


def _same(value: Values) -> Values:
    return value


def mean(
    named: Named,
    station: str,
    note: str,
    *,
    of: str = "",
    by: str = "cane",
    carried: str = "",
    ending: str = ".",
) -> Figure:
    """Declare the mean of a measure, given as name, title, unit and decimals; `note` tells of it.

    The measure is `of`, or has the name of the figure. `by` names the weight that carries it, and
    `carried` the tonnes of weight × value ÷ 100 where a figure gives them already. A single sample
    stands for itself. `ending` ends what is told of a period.
    """
    name, title, unit, decimals = named
    of = of or name
    weight = by.replace("_", " ")
    if not carried:
        carried = f"{of}_carried"
        figure(
            f"{title}, carried by {weight}",
            unit="t",
            decimals=2,
            formula=f"{weight} × value ÷ 100",
            source=COMMON,
            station=station,
            kind="adds",
            name=carried,
            inputs=(by, ENTERED + of),
            internal=True,
        )(_carried)

    def mean_by_weight(carried: Values, weight: Values) -> Values:
        return by_weight(carried, weight)

    mean_by_weight.__doc__ = f"{note} Over a period, its mean by {weight}{ending}"
    declared = figure(
        title,
        unit=unit,
        decimals=decimals,
        formula=f"Σ({weight} × value) ÷ Σ({weight})",
        source=COMMON,
        station=station,
        name=name,
        inputs=(carried, by),
    )(mean_by_weight)
    declared.otherwise("as entered", inputs=(ENTERED + of,))(_same)
    return declared
