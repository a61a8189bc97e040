"""The laboratory's other books, by name, in the order of the factory."""

from collections.abc import Mapping
from itertools import product

from app.plant.books import (
    boiling,
    cane,
    centrifugals,
    juice,
    laboratory,
    mill_survey,
    refinery,
    stock,
    stops,
    sugar,
    utilities,
)
from app.plant.books.declare import Book, Gives
from app.plant.measures import MEASURES

_IN_ORDER = (
    cane.BOOK,
    mill_survey.BOOK,
    juice.CLARIFIER,
    juice.DOSING,
    juice.FILTERS,
    juice.EVAPORATOR,
    boiling.STRIKES,
    boiling.CRYSTALLIZERS,
    centrifugals.BOOK,
    sugar.BAGGING,
    sugar.DISPATCH,
    refinery.BOOK,
    stops.BOOK,
    utilities.BOILERS,
    utilities.METERS,
    utilities.WATER,
    utilities.EFFLUENT,
    stock.CALIBRATIONS,
    stock.DIPS,
    laboratory.STANDARD_CHECKS,
    laboratory.REAGENTS,
)
BOOKS: Mapping[str, Book] = {book.name: book for book in _IN_ORDER}


def measures_of(book: Book, gives: Gives) -> list[str]:
    """Return the measures that a rule of a book may give."""
    named = [field for field in book.fields if f"{{{field.name}}}" in gives.measure]
    chosen = product(*(field.choices for field in named))
    names = (
        gives.measure.format(**dict(zip((f.name for f in named), values, strict=True)))
        for values in chosen
    )
    return [name for name in names if name in MEASURES]


# what each record is due to tell, such as each lot its pol: the rest of them was not analysed
DUE_OF_EACH = frozenset(
    measure
    for book in BOOKS.values()
    for gives in book.gives
    if gives.each
    for measure in measures_of(book, gives)
)

# measure: the book whose records may give it
GIVEN_BY: Mapping[str, Book] = {
    measure: book
    for book in BOOKS.values()
    for gives in book.gives
    for measure in measures_of(book, gives)
}
