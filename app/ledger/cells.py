"""What may stand in a cell: a readable text, within the hard limits of the mill."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from app.language import _, either
from app.plant.measures import MEASURES, Measure
from app.plant.typed import VOID, Unreadable, both_readings, read

LONGEST_TEXT = 40
LONGEST_REASON = 500
LONGEST_NAME = 100
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
    sample: int = 1
    determination: int = 1
    observed_at: datetime | None = None
    carried: bool = False


def understand(
    measure: str,
    typed: str,
    *,
    unreadable: str = "",
    measures: Mapping[str, Measure] = MEASURES,
) -> Change:
    """Return what `typed` says of `measure`, an empty text voiding it; Refused where it cannot.

    `unreadable` is said of a text that cannot be read, in place of the advice for a sheet;
    `measures` have the limits that hold.
    """
    known = measures.get(measure)
    if known is None:
        raise Refused(_("There is no measure called {name}", name=measure))
    if not typed.strip():
        return Change(measure, typed, VOID, None)
    if len(typed) > LONGEST_TEXT:
        raise Refused(_("Write at most {count} characters", count=LONGEST_TEXT))
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
        raise Refused(
            _("{typed}: write {readings}", typed=typed.strip(), readings=either(readings))
        )


def _within(measure: Measure, value: Decimal) -> bool:
    low, high = (Decimal(str(limit)) for limit in measure.hard)  # 0.1 as written, not as a float is
    return low <= value <= high


def _refuse_outside(measure: Measure, value: Decimal) -> None:
    low, high = measure.hard
    if not _within(measure, value):
        unit = "" if measure.prop == "ph" else f" {_(measure.unit)}"
        raise Refused(
            _(
                "{title} lies between {low} and {high}{unit}; {value} was typed",
                title=_(measure.title),
                low=f"{low:g}",
                high=f"{high:g}",
                unit=unit,
                value=value,
            )
        )


def readable_reason(reason: str | None) -> str:
    """Return `reason` on one line; Refused for one too long or with signs nobody can read."""
    words = " ".join((reason or "").split())
    if len(words) > LONGEST_REASON or not readable(words):
        raise Refused(
            _("Give the reason in words, at most {count} characters", count=LONGEST_REASON)
        )
    return words


def readable_name(name: str) -> str:
    """Return the name of somebody on one line; Refused as for a reason."""
    words = " ".join(name.split())
    if len(words) > LONGEST_NAME:
        raise Refused(_("Write at most {count} characters", count=LONGEST_NAME))
    if not readable(words):
        raise Refused(_("There is a sign in it that cannot be seen: type it anew"))
    return words


def readable(words: str) -> bool:
    """Tell whether all of `words` can be seen: no controls, nothing that turns a line round."""
    return words.translate(_JOINERS).isprintable()
