"""The unit that a heading names, which may be another than that of the measure it seems to be."""

import re
import unicodedata
from functools import cache

from app.plant.books import BOOKS
from app.plant.measures import MEASURES

# how else people write units, each list beginning with the one that the others mean
_ALIKE = (
    ("t", "tonne", "tonnes", "ton", "tons", "tm", "tonelada", "toneladas"),
    ("kg", "kgs", "kilos"),
    ("%", "°bx", "bx", "brix", "°brix", "% cane", "pct", "% m/m"),
    ("°c", "c", "celsius"),
    ("m3", "m^3", "cbm"),
    ("l", "litre", "litres", "liter", "litros"),
    ("h", "hr", "hrs", "hours", "horas", "heures"),
    ("s", "sec", "seconds"),
    ("mg/kg", "ppm"),
    ("mg/l", "ppm"),
    ("iu", "icumsa", "ui"),
    ("rev/min", "rpm", "tr/min", "rot/min"),
    ("rev/h", "tr/h", "rot/h"),
    ("us/cm", "microsiemens/cm"),
    ("°z", "°s"),
)
_OTHERS = (
    "lb", "lbs", "klb", "g", "mg", "q", "st", "oz", "°f", "f", "k", "kwh", "wh", "gwh", "kw",
    "mw", "w", "j", "kj", "mj", "gj", "hl", "ml", "gal", "ft3", "ft", "in", "cm", "km", "pa",
    "mpa", "psi", "mbar", "mmhg", "inhg", "kg/cm2", "ppb", "g/l", "g/kg", "min", "d", "kg/h",
    "t/h", "t/d", "m3/h", "l/h", "l/s", "lb/h", "ms/cm", "°be",
)  # fmt: skip


def alike(one: str, other: str) -> bool:
    """Tell whether two units are one, however each is written."""
    first, second = _plain(one), _plain(other)
    return first == second or any({first, second} <= set(group) for group in _ALIKE)


def is_unit(words: str) -> bool:
    """Tell whether words of a heading are a unit."""
    return _plain(words) in _known()


def parted(heading: str) -> list[tuple[str, str]]:
    """Return how a heading may be parted in a name and a unit: brackets, a comma, or a blank."""
    found = []
    if bracketed := re.fullmatch(r"(.*?)\s*[(\[]([^()\[\]]*)[)\]]\s*", heading):
        found.append((bracketed[1], bracketed[2]))
    for sign in ", ":
        name, between, unit = heading.rpartition(sign)
        if between:
            found.append((name, unit.strip()))
    return found


@cache
def _known() -> frozenset[str]:
    units = {measure.unit for measure in MEASURES.values()}
    units |= {field.unit for book in BOOKS.values() for field in book.fields}
    written = {_plain(unit) for unit in units} | set(_OTHERS)
    return frozenset(written.union(*_ALIKE) - {""})


def _plain(unit: str) -> str:
    """Return a unit without capitals and blanks round it, its powers as digits."""
    parted = unicodedata.normalize("NFKC", unit.replace("º", "°")).casefold()
    return parted.replace("μ", "u").strip().strip(".")
