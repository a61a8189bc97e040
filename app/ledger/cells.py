"""What may stand in a cell: a readable text, within hard limits, pol not above brix."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from app.plant.measures import MEASURES, Measure
from app.plant.streams import STREAMS
from app.plant.typed import VOID, Unreadable, both_readings, read

LONGEST_TEXT = 40
LONGEST_REASON = 500
_JOINERS = str.maketrans("", "", "\u200c\u200d")  # which Indian and Persian words are spelt with


class Refused(ValueError):
    """What was typed cannot be kept; the message says why."""


@dataclass(frozen=True)
class Change:
    """A cell understood and allowed: what is to be written."""

    measure: str
    typed: str
    state: str
    value: Decimal | None
    reason: str | None = None
    supersedes_id: int | None = None
    late: bool = False
    observed_by: str | None = None
    instrument: str = "none"


def understand(measure: str, typed: str, *, unreadable: str = "") -> Change:
    """Return what `typed` says of `measure`, an empty text voiding it; Refused where it cannot.

    `unreadable` is said of a text that cannot be read, in place of the advice for a sheet.
    """
    known = MEASURES.get(measure)
    if known is None:
        raise Refused(f"There is no measure called {measure}")
    if not typed.strip():
        return Change(measure, typed, VOID, None)
    if len(typed) > LONGEST_TEXT:
        raise Refused(f"Write at most {LONGEST_TEXT} characters")
    try:
        state, value = read(typed)
    except Unreadable as why:
        raise Refused(unreadable or str(why)) from None
    if value is not None:
        _refuse_two_meanings(known, typed)
        _refuse_outside(known, value)
    return Change(measure, typed, state, value)


def _refuse_two_meanings(measure: Measure, typed: str) -> None:
    """Refuse "1,250" where 1250 could be meant: never where only 1.25 can be that measure."""
    readings = both_readings(typed) if measure.decimals < 3 else None
    if readings and _within(measure, Decimal(readings[0])):
        raise Refused(f"{typed.strip()}: write {' or '.join(readings)}")


def _within(measure: Measure, value: Decimal) -> bool:
    low, high = (Decimal(str(limit)) for limit in measure.hard)  # 0.1 as written, not as a float is
    return low <= value <= high


def _refuse_outside(measure: Measure, value: Decimal) -> None:
    low, high = measure.hard
    if not _within(measure, value):
        unit = "" if measure.prop == "ph" else f" {measure.unit}"
        raise Refused(f"{measure.title} lies between {low:g} and {high:g}{unit}; {value} was typed")


def readable_reason(reason: str | None) -> str:
    """Return `reason` on one line; Refused for one too long or with signs nobody can read."""
    words = " ".join((reason or "").split())
    if len(words) > LONGEST_REASON or not readable(words):
        raise Refused(f"Give the reason in words, at most {LONGEST_REASON} characters")
    return words


def readable(words: str) -> bool:
    """Tell whether all of `words` can be seen: no controls, nothing that turns a line round."""
    return words.translate(_JOINERS).isprintable()


def pol_above_brix(measure: str, values: Mapping[str, Decimal | None]) -> str:
    """Say so where the pol that `measure` belongs to is above its brix; else nothing."""
    stream = MEASURES[measure].stream
    if measure not in (f"{stream}_pol", f"{stream}_brix"):
        return ""
    pol, brix = values.get(f"{stream}_pol"), values.get(f"{stream}_brix")
    if pol is None or brix is None or pol <= brix:
        return ""
    return f"{STREAMS[stream].title} pol {pol} is above its brix {brix}: check both"


def usual(measure: str, value: Decimal | float) -> str:
    """Say on which side of the usual range `value` lies; nothing where it lies within."""
    low, high = MEASURES[measure].usual
    if float(value) > high:
        return f"above the usual {high:g}"
    return f"below the usual {low:g}" if float(value) < low else ""
