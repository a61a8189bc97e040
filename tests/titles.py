"""The words that are kept as data and printed: titles, notes, formulas, causes, units."""

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import fields, is_dataclass
from importlib import import_module
from pkgutil import iter_modules
from typing import Any

import app.main
import app.web
from app.web.api_document import document, operations
from app.web.api_examples import EXAMPLES, FILES

# module: what of it holds words; of a declared thing, the fields below
CONSTANTS = {
    "app.exports.columns": ("COLUMNS", "BEFORE_FIELDS", "AFTER_FIELDS"),
    "app.figures": ("FIGURES", "CONVENTIONS"),
    "app.figures.left_out": ("LEFT_OUT",),
    "app.figures.of_records": ("FOLLOWING",),
    "app.figures.readings": ("RESULTS",),
    "app.figures.sources": ("BY_DEFINITION", "COMMON", "READ"),
    "app.figures.uncertainties": ("STATED", "EXACT"),
    "app.imports.columns": ("TITLES",),
    "app.ledger.book": ("CORRECTS", "NOTES"),
    "app.ledger.choosing": ("TAKEN", "TOO_OFTEN", "TOO_OFTEN_LATER"),
    "app.ledger.incoming_records": ("LATE", "COMPLETED"),
    "app.ledger.mills": ("AS_SET_UP",),
    "app.ledger.passwords": ("_BECAUSE", "_COMMON"),
    "app.ledger.people": ("ROLES", "INSTRUMENT"),
    "app.ledger.soundness": ("CANNOT",),
    "app.ledger.uncertainty": ("A_NUMBER", "NO_DAY", "RANDOM_WRONG", "SYSTEMATIC_WRONG"),
    "app.web.failures": ("_COULD_NOT", "_SAYS"),
    "app.plant.books": ("BOOKS",),
    "app.plant.grains": ("SHIFT", "DAY", "WEEK"),
    "app.plant.measures": ("MEASURES", "PROPERTIES"),
    "app.plant.plan": ("DUE", "NOT_ALWAYS", "NOT_TAKEN"),
    "app.plant.readings": ("KINDS",),
    "app.plant.samples": ("MEAN", "SUM", "LAST", "RULES"),
    "app.plant.streams": ("STATIONS", "STREAMS"),
    "app.plant.typed": ("STATES", "VOID", "LEFT_OUT"),
    "app.plant.vessels": ("VESSELS",),
    "app.reports.balance": (
        "ACCOUNT",
        "BALANCES",
        "POL_IN_CANE",
        "UNDETERMINED",
        "WOULD_GIVE",
    ),
    "app.reports.checks": ("CHECKS", "HOLDS"),
    "app.reports.checks.declare": ("COMPARISONS",),
    "app.reports.comparison": ("REST",),
    "app.reports.conversions": ("CONVERSIONS", "TITLES"),
    "app.chemistry.run_rules": ("RULES", "NELSON", "WESTERN_ELECTRIC", "BOTH"),
    "app.reports.control": ("SENTENCES",),
    "app.reports.time_weeks": ("PARTS",),
    "app.reports.day": ("COLUMNS", "ACCOUNT", "ANALYSES_TITLE", "STOCK_TITLE", "BOOKS_TITLE"),
    "app.reports.evaporator": ("ROWS",),
    "app.reports.grid": ("TITLES", "HEADS", "ROWS", "TIME", "STREAM"),
    "app.reports.growers": ("AVERAGED",),
    "app.reports.lines": ("NOT_ANALYSED", "NOTHING"),
    "app.reports.manual": ("KINDS",),
    "app.reports.pasted": ("NO_COLUMN", "NO_ROW"),
    "app.reports.places": ("_TESTS",),
    "app.reports.plant": (
        "LABELS",
        "NOT_HERE",
        "OFTEN",
        "ONE_SAMPLE",
        "SHOWS",
        "STATION_OFF",
        "SWITCHED_OFF",
    ),
    "app.reports.points": ("KINDS",),
    "app.reports.pol_flow": ("WAYS", "COLUMNS"),
    "app.reports.season_return": ("NOT_KEPT",),
    "app.reports.stations": ("HEADINGS",),
    "app.reports.wishes": ("OTHERS",),
    "app.reports.table": ("SHORT",),
    "app.reports.tabled": ("SHORT", "SHARES", "TONNES"),
    "app.reports.suspects": ("CHECK_ELSE", "CHECK_FIRST"),
    "app.reports.uncertainty": ("GUESS", "OF_VALUE", "THE_MILL"),
    "app.web.account": ("NOT_ALIKE", "NOT_YOURS", "WRONG_CODE", "_DONE"),
    "app.web.api_document": ("ABOUT", "REFUSED"),
    "app.web.approval": ("_DONE",),
    "app.web.bench": ("_DONE",),
    "app.web.import_pages": ("ORDERS", "SHIFT_SHEET"),
    "app.web.instruments": ("_DONE",),
    "app.web.manual": ("OTHERS",),
    "app.web.notes": ("CHANGED",),
    "app.web.people": ("_DONE",),
    "app.web.plant_subjects": ("A_NUMBER", "_SWITCHED_OFF"),
    "app.web.points": ("AGAINST",),
    "app.web.reports": ("_COLUMNS",),
    "app.web.retests": ("_DONE",),
    "app.web.roles": ("PUBLIC", "MAY"),
    "app.web.shift_page": ("REASONS", "OTHER"),
    "app.web.sign_in": ("WRONG", "_DONE"),
    "app.web.signing": ("NOT_CONFIRMED", "NOT_TYPED", "_DONE"),
    "app.web.status": ("NOT_KNOWN", "NOT_WELL", "WELL"),
    "app.web.told": ("DONE", "EACH", "WAS_HERE"),
    "app.web.uncertainty": ("_DONE",),
    "app.web.uncertainty_page": ("_FIELDS",),
    "app.web.unlock": ("NOT_THEIRS", "WRONG"),
}

# module: mappings whose keys are words
HEADINGS = {
    "app.reports.day": "PLAN", "app.reports.shift": "PLAN", "app.reports.season_return": "LISTED",
    "app.reports.comparison": "GROUPS",
}  # fmt: skip

# reasons that scripts have the ledger keep
OF_SCRIPTS = ("undone", "done again")

WORDS = frozenset({
    "about", "caution", "causes", "choices", "formula", "hint", "label", "mark", "note", "one",
    "title", "unit", "value", "words", "grain", "how",
})  # fmt: skip

_ONE_WORD = re.compile(r"[^\W\d_]{3}|^[Nn]o$|^IU$")  # other units have no more than two letters


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
    held += _routes()
    held += [("static/sheet/undo.js", OF_SCRIPTS)]
    held += [("app.web.api_document", words) for words in _of_programs()]
    return {
        words: module
        for module, thing in held
        for words in _within(thing)
        if _ONE_WORD.search(words) and "_" not in words  # which is a name, not a word
    }


def _routes() -> Iterator[tuple[str, str]]:
    """Yield what each route does, as the manual says it."""
    for module in iter_modules(app.web.__path__, "app.web."):
        router = getattr(import_module(module.name), "router", None)
        for route in router.routes if router else ():
            yield module.name, (route.endpoint.__doc__ or "").partition("\n")[0]
    yield app.main.__name__, (app.main.health.__doc__ or "").partition("\n")[0]


def _of_programs() -> Iterator[str]:
    """Yield what the manual says of the way in for programs."""
    for _path, _method, operation in operations(document()):
        yield from (operation["summary"], operation["description"])
    for schema in document()["components"]["schemas"].values():
        yield schema["description"]
        yield from (field["description"] for field in schema["properties"].values())
    yield from (example.title for example in EXAMPLES)
    yield from (title for title, _text in FILES)


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
