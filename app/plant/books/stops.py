"""The book of stops, which makes the time account."""

from collections.abc import Mapping
from datetime import datetime

from app.language import _
from app.plant.books.declare import SUM, Book, Gives, Value, Worked, choice, text, time
from app.plant.streams import STATIONS
from app.plant.utilities import CAUSES

CRUSHING = {"stopped": "Crushing stopped", "slowed": "Crushing slowed", "no": "Crushing went on"}
STOPPED = {"crushing": ("stopped",)}


def hours(begins: datetime, ends: datetime) -> float:
    """How long it lasted."""
    return (ends - begins).total_seconds() / 3600


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
    "no hours. A shift without a stop needs no record; where hours crushing follow from this "
    "book, 0 is entered for stops of every cause.",
    (
        time("begins", "Began", needed=True),
        time("ends", "Ended", hint="blank while it lasts; at most the end of the shift"),
        choice("cause", "Cause", CAUSES, needed=True),
        choice("crushing", "Crushing", CRUSHING, needed=True),
        choice("station", "Station", STATIONS),
        text("place", "Machine"),
        text("what", "What happened"),
    ),
    worked=(Worked("hours", "Lasted", "h", 2, "ended - began", hours),),
    gives=(
        Gives("{cause}_hours", "hours", SUM, where=STOPPED),
        Gives("stopped_hours", "hours", SUM, where=STOPPED),
    ),
    rules=(ended_before,),
    caution="Nobody works on a stopped machine that is not locked out: local rules and the "
    "permits of the mill come first.",
)
