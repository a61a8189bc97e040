"""The book of stops, which makes the time account."""

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from typing import Any

from app.language import _
from app.plant.books.declare import SUM, Book, Gives, Value, Worked, choice, text, time
from app.plant.streams import STATIONS
from app.plant.utilities import CAUSES

CRUSHING = {"stopped": "Crushing stopped", "slowed": "Crushing slowed", "no": "Crushing went on"}
STOPPED = {"crushing": ("stopped",)}
TIMES = ("begins", "ends")


def hours(begins: datetime, ends: datetime) -> float:
    """How long it lasted."""
    return (ends - begins).total_seconds() / 3600


Span = tuple[datetime, datetime]


def begun_before(records: Sequence[Mapping[str, Any]]) -> list[dict[str, Any]]:
    """Return for each stop of crushing when others stood that began before it.

    Of those that began at once the one that is written first comes first.
    """
    stands = [
        n for n, r in enumerate(records) if r.get("crushing") == "stopped" and {*TIMES} <= r.keys()
    ]
    order = sorted(stands, key=lambda n: records[n]["begins"])
    spans = {n: (records[n]["begins"], records[n]["ends"]) for n in order}
    before = {n: [spans[other] for other in order[:place]] for place, n in enumerate(order)}
    return [{"earlier": before.get(n, [])} for n in range(len(records))]


def counted(
    begins: datetime, ends: datetime, crushing: str, earlier: Sequence[Span] = ()
) -> float | None:
    """How long crushing stood by this stop alone: each minute belongs to the stop that began first.

    `earlier` are in the order in which they began, none of them after this one.
    """
    if crushing != "stopped":
        return None
    covered = max((other_ends for _begins, other_ends in earlier), default=begins)
    return max(ends - max(begins, covered), timedelta()).total_seconds() / 3600


def ended_before(values: Mapping[str, Value]) -> dict[str, str]:
    """Refuse a stop that ended before it began."""
    begins, ends = values.get("begins"), values.get("ends")
    if isinstance(begins, datetime) and isinstance(ends, datetime) and ends < begins:
        return {"ends": _("It ended before it began")}
    return {}


BOOK = Book(
    "stops",
    "Stops",
    "stop",
    "time",
    "Each stop of the mill with its cause. Where crushing stood still, its hours are those of the "
    "time account. A stop that lasts beyond the shift is written up to its end, and the rest on "
    "the next shift: the report counts both as one stop. While a stop has no end, its cause has "
    "no hours. Where stops overlap, each minute counts once, for the stop that began first. A "
    "shift without a stop needs no record; where hours crushing follow from this book, 0 is "
    "entered for stops of every cause.",
    (
        time("begins", "Began", needed=True),
        time("ends", "Ended", hint="blank while it lasts; at most the end of the shift"),
        choice("cause", "Cause", CAUSES, needed=True),
        choice("crushing", "Crushing", CRUSHING, needed=True),
        choice("station", "Station", STATIONS),
        text("place", "Machine"),
        text("what", "What happened"),
    ),
    worked=(
        Worked("hours", "Lasted", "h", 2, "ended - began", hours),
        Worked(
            "counted",
            "Counted",
            "h",
            2,
            "hours in which crushing stood, less what a stop that began before it covers",
            counted,
        ),
    ),
    gives=(
        Gives("{cause}_hours", "counted", SUM, where=STOPPED),
        Gives("stopped_hours", "counted", SUM, where=STOPPED),
    ),
    rules=(ended_before,),
    beside=begun_before,
    caution="Nobody works on a stopped machine that is not locked out: local rules and the "
    "permits of the mill come first.",
)
