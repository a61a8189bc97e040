"""The first page of a morning report: what stands out, key figures, stops, last season's day."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from app.figures.periods import Result
from app.figures.time_account import CAUSES
from app.plant.streams import STATIONS
from app.reports.day import DayReport
from app.reports.findings import Told
from app.reports.lines import Cell, Line, Section, cell
from app.reports.numbers import printed
from app.reports.season_books import SeasonBooks
from app.reports.stops import Stop, joined

LONGEST = 3
KEY_FIGURES = {
    "Crushing": ("cane", "crushing_hours", "stopped_hours", "time_efficiency", "crushing_rate"),
    "Extraction": ("pol_extraction", "imbibition_on_fibre", "bagasse_fibre"),
    "Boiling house": (
        "mixed_juice_purity", "boiling_house_recovery", "final_molasses_purity",
        "target_purity_difference", "sugar_made_and_estimated", "sugar_purity", "cane_per_sugar",
    ),
}  # fmt: skip
HOURS = {f"{cause}_hours": title for cause, title in CAUSES.items()}
UNTOLD = "unaccounted_stop_hours"
NEEDED = (*HOURS, UNTOLD)


@dataclass(frozen=True)
class StopsOfDay:
    """Hours stopped by cause, and the longest stops of the book: when, what, where and how long."""

    causes: tuple[tuple[str, str], ...]
    longest: tuple[Stop, ...]

    @staticmethod
    def hours(stop: Stop) -> str:
        """Return how long a stop lasted, as printed."""
        return printed(stop.hours, 2)

    @staticmethod
    def cause(stop: Stop) -> str:
        """Return what a stop was for."""
        return CAUSES[stop.cause]

    @staticmethod
    def station(stop: Stop) -> str:
        """Return where a stop was, if that was said."""
        return STATIONS.get(stop.station, "")


@dataclass(frozen=True)
class LastSeason:
    """The same day of the season before: what it is called, its address, and its figures."""

    title: str
    address: str
    cells: Mapping[str, Cell]

    def of(self, name: str) -> Cell:
        """Return a figure of that day."""
        return self.cells.get(name) or Cell("", None)


@dataclass(frozen=True)
class FirstPage:
    """What the first page has beside the account of the report."""

    told: Told
    key: tuple[Section, ...]
    stops: StopsOfDay
    last_season: LastSeason | None


def first_page(
    page: DayReport,
    told: Told,
    result: Result,
    stops: Sequence[Mapping[str, Any]],
    last_season: LastSeason | None,
) -> FirstPage:
    """Return the first page of a report; `stops` are the records of that book."""
    return FirstPage(told, key_figures(page), stops_of_day(result, stops), last_season)


def key_figures(page: DayReport) -> tuple[Section, ...]:
    """Return the key figures out of all that the report prints."""
    lines: dict[str, Line] = {line.name: line for part in page.sections for line in part.lines}
    return tuple(
        Section(title, tuple(lines[name] for name in names)) for title, names in KEY_FIGURES.items()
    )


def stops_of_day(result: Result, records: Sequence[Mapping[str, Any]]) -> StopsOfDay:
    """Return the stops of a day: by cause as the time account has them, and the longest ones."""
    titles = {**HOURS, UNTOLD: "Not accounted for"}
    hours = {titles[name]: float(result.values[name][0]) for name in titles}
    causes = sorted(
        ((title, lasted) for title, lasted in hours.items() if round(lasted, 2) > 0),
        key=lambda pair: -pair[1],
    )
    stopped = [each for each in records if each["crushing"] == "stopped"]
    longest = sorted(joined(stopped), key=lambda stop: -stop.hours)[:LONGEST]
    return StopsOfDay(tuple((title, printed(h, 2)) for title, h in causes), tuple(longest))


def same_day(
    title: str, address: str, books: SeasonBooks, result: Result, names: Sequence[str]
) -> LastSeason:
    """Return figures of the same day of the season before."""
    return LastSeason(title, address, {name: cell(name, result, 0, books) for name in names})
