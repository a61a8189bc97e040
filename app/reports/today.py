"""Today: the shift that runs, what it still owes, and yesterday in five numbers."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from app.language import _
from app.plant.measures import title_of_stream, words_of_property
from app.reports.cells import Cell
from app.reports.due import Due
from app.reports.gaps import Gap, gaps
from app.reports.lines import Line, line, measure_title
from app.reports.season_books import SeasonBooks

FIVE = ("cane", "pol_extraction", "boiling_house_recovery", "overall_recovery", "undetermined_loss")


# A group of results that are owed: its title, and of each the key of its place and words.
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
    named: int
    owed: tuple[Owed, ...]
    earlier_gaps: tuple[Gap, ...]
    yesterday: date | None
    five: tuple[Line, ...]
    progress: Due


def yesterday_in_five(books: SeasonBooks, day: date, targets: dict[str, float]) -> tuple[Line, ...]:
    """Return the five numbers of a day and of the season to that day."""
    books.need(FIVE)
    result = books.books.over([books.day(day), books.to(day)])
    return tuple(line(name, result, books, targets) for name in FIVE)


def gaps_of_day(books: SeasonBooks, day: date) -> tuple[Gap, ...]:
    """Return what lacks on the sheets of a day."""
    return gaps(books, books.day(day))


def owed(cells: Iterable[Cell]) -> tuple[Owed, ...]:
    """Return what a sheet still owes: weights and hours, then analyses by stream or vessel."""
    groups: dict[str, list[tuple[str, str]]] = {}
    for cell in cells:
        measure = cell.measure
        if measure.prop in ("weight", "hours"):
            stream, words = _("Weights and hours"), measure_title(measure.name)
        else:
            stream, words = _(title_of_stream(measure)), _(words_of_property(measure))
        groups.setdefault(stream, []).append((cell.key, f"{words} {cell.at}".strip()))
    return tuple((title, tuple(results)) for title, results in groups.items())
