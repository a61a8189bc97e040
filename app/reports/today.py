"""Today: the shift that runs, what it still owes, and yesterday in five numbers."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from app.plant.measures import Measure
from app.plant.streams import STATIONS
from app.reports.gaps import Gap, gaps
from app.reports.lines import Line, line
from app.reports.season_books import SeasonBooks

FIVE = ("cane", "pol_extraction", "boiling_house_recovery", "overall_recovery", "undetermined_loss")


# A station, and the results it owes: name of the measure, and words.
Owed = tuple[str, tuple[tuple[str, str], ...]]


@dataclass(frozen=True)
class Today:
    """Everything the first page prints; `yesterday` is empty before the season's second day."""

    now: datetime
    day: date
    number: int
    begins: datetime
    ends: datetime
    entered: int
    due: int
    owed: tuple[Owed, ...]
    earlier_gaps: tuple[Gap, ...]
    yesterday: date | None
    five: tuple[Line, ...]


def yesterday_in_five(books: SeasonBooks, day: date, targets: dict[str, float]) -> tuple[Line, ...]:
    """Return the five numbers of a day and of the season to that day."""
    result = books.books.over([books.day(day), books.to(day)])
    return tuple(line(name, result, books, targets) for name in FIVE)


def gaps_of_day(books: SeasonBooks, day: date) -> tuple[Gap, ...]:
    """Return what lacks on the sheets of a day."""
    return gaps(books, books.day(day))


def owed(measures: Iterable[Measure]) -> tuple[Owed, ...]:
    """Return what a sheet still owes, by the stream or vessel it is of."""
    streams: dict[str, list[tuple[str, str]]] = {}
    for measure in measures:
        title, _, words = measure.title.rpartition(", ")
        streams.setdefault(title or STATIONS[measure.station], []).append((measure.name, words))
    return tuple((title, tuple(results)) for title, results in streams.items())
