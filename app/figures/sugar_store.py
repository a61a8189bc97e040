"""Sugar in the store: what was bagged and dispatched, against what was counted."""

from app.figures.declare import Values, figure
from app.figures.sources import DEFINITION

STATION = "drying_and_packing"


@figure(
    "Sugar dispatched", unit="t", decimals=1, formula="as entered", source=DEFINITION,
    station=STATION, kind="adds",
)  # fmt: skip
def sugar_dispatched(entered_sugar_dispatched: Values) -> Values:
    """Sugar that left the store, by the weighbridge."""
    return entered_sugar_dispatched


@figure(
    "Sugar in the store", unit="t", decimals=1, formula="as entered", source=DEFINITION,
    station=STATION, kind="level",
)  # fmt: skip
def sugar_in_store(entered_sugar_in_store: Values) -> Values:
    """Sugar counted in the store at the end; sugar bagged only, not what is in process."""
    return entered_sugar_in_store


@figure(
    "Sugar in the store by the books", unit="t", decimals=1,
    formula="sugar counted at the opening + sugar bagged - sugar dispatched", source=DEFINITION,
    station=STATION,
)  # fmt: skip
def sugar_in_store_by_books(
    opening_sugar_in_store: Values, sugar: Values, sugar_dispatched: Values
) -> Values:
    """What the store should hold, from the count before."""
    return opening_sugar_in_store + sugar - sugar_dispatched


@figure(
    "Sugar counted above the books", unit="t", decimals=1,
    formula="sugar in the store - sugar in the store by the books", source=DEFINITION,
    station=STATION,
)  # fmt: skip
def sugar_store_difference(sugar_in_store: Values, sugar_in_store_by_books: Values) -> Values:
    """Above zero more was counted than the books say: a count, a weight, or a load not written.

    Sugar that gained or lost moisture, and swept or reprocessed sugar, is in it too.
    """
    return sugar_in_store - sugar_in_store_by_books
