"""The words that are kept as data and printed: titles, notes, formulas, causes, units."""

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import fields, is_dataclass
from importlib import import_module
from typing import Any

# module: what of it holds words; of a declared thing, the fields below
CONSTANTS = {
    "app.figures": ("FIGURES", "CONVENTIONS"),
    "app.figures.left_out": ("LEFT_OUT",),
    "app.figures.readings": ("RESULTS",),
    "app.figures.sources": ("COMMON", "DEFINITION", "READ"),
    "app.figures.uncertainties": ("STATED", "EXACT"),
    "app.figures.of_records": ("FOLLOWING",),
    "app.ledger.people": ("ROLES", "INSTRUMENT"),
    "app.plant.books": ("BOOKS",),
    "app.plant.grains": ("SHIFT", "DAY", "WEEK"),
    "app.plant.measures": ("MEASURES", "PROPERTIES"),
    "app.plant.readings": ("KINDS",),
    "app.plant.samples": ("MEAN", "SUM", "LAST"),
    "app.plant.streams": ("STATIONS", "STREAMS"),
    "app.plant.typed": ("STATES", "VOID", "LEFT_OUT"),
    "app.plant.vessels": ("VESSELS",),
    "app.reports.checks": ("CHECKS",),
    "app.reports.checks.declare": ("COMPARISONS",),
    "app.reports.conversions": ("CONVERSIONS", "TITLES"),
    "app.reports.day": ("COLUMNS",),
    "app.reports.manual": ("KINDS",),
    "app.reports.stations": ("HEADINGS",),
    "app.web.roles": ("PUBLIC", "MAY"),
    "app.web.shift_page": ("REASONS",),
}

# module: mappings whose keys are words
HEADINGS = {"app.reports.day": "PLAN", "app.reports.shift": "PLAN"}

WORDS = frozenset({
    "about", "caution", "causes", "choices", "formula", "hint", "label", "mark", "note", "one",
    "optional_words", "title", "unit", "value", "words", "grain", "how",
})  # fmt: skip

_ONE_WORD = re.compile(r"[^\W\d_]{3}")  # a symbol of a unit is no word, and has no more letters


def titles() -> dict[str, str]:
    """Return the words kept as data, with the module that holds them."""
    held = [
        (module, getattr(import_module(module), name))
        for module, names in CONSTANTS.items()
        for name in names
    ]
    held += [
        (module, list(getattr(import_module(module), name))) for module, name in HEADINGS.items()
    ]
    return {
        words: module
        for module, thing in held
        for words in _within(thing)
        if _ONE_WORD.search(words)
    }


def _within(thing: Any, said: bool = True) -> Iterator[str]:
    """Yield the words of a thing: where it is declared, of the fields that hold words."""
    if isinstance(thing, str):
        if said:
            yield thing
    elif is_dataclass(thing):
        for field in fields(thing):
            yield from _within(getattr(thing, field.name), field.name in WORDS)
    elif isinstance(thing, Mapping):
        yield from _within(thing.values(), said)
    elif isinstance(thing, Iterable) and not isinstance(thing, bytes):
        for each in thing:
            yield from _within(each, said)
