"""The book of stops, which makes the time account."""

from datetime import datetime

from app.plant.books.declare import SUM, Book, Gives, Worked, choice, text, time
from app.plant.utilities import CAUSES

CRUSHING = {"stopped": "Crushing stopped", "slowed": "Crushing slowed", "no": "Crushing went on"}


def hours(begins: datetime, ends: datetime) -> float:
    """How long it lasted."""
    return (ends - begins).total_seconds() / 3600


BOOK = Book(
    "stops",
    "Stops",
    "stop",
    "time",
    "Each stop of the mill with its cause. Where crushing stood still, its hours are those of the "
    "time account. A stop that lasts beyond the shift is written up to its end, and the rest on "
    "the next shift.",
    (
        time("begins", "Began", needed=True),
        time("ends", "Ended", hint="blank while it lasts"),
        choice("cause", "Cause", CAUSES, needed=True),
        choice("crushing", "Crushing", CRUSHING, needed=True),
        text("place", "Where", hint="station or machine"),
        text("what", "What happened"),
    ),
    worked=(Worked("hours", "Lasted", "h", 2, "ended - began", hours),),
    gives=(Gives("{cause}_hours", "hours", SUM, where={"crushing": ("stopped",)}),),
    caution="Nobody works on a stopped machine that is not locked out: local rules and the "
    "permits of the mill come first.",
)
