"""The time account week by week: crushing, each cause of stops, and hours that nobody told."""

from collections.abc import Sequence
from dataclasses import dataclass

from app.figures.time_account import CAUSES
from app.language import _
from app.pictures.sizes import Drawn
from app.pictures.stacked import Part, stacked_bars
from app.reports.numbers import printed
from app.reports.season_books import SeasonBooks
from app.reports.series import Place, figures_over

PARTS = {
    "crushing_hours": "Crushing",
    **{f"{cause}_hours": title for cause, title in CAUSES.items()},
    "unaccounted_stop_hours": "Not accounted for",
}
WHOLE, DECIMALS = "gross_hours", 2


@dataclass(frozen=True)
class TimeRow:
    """One week: its words and address, the hours of each part as printed, and all hours."""

    title: str
    address: str
    hours: tuple[str, ...]
    whole: str
    below: bool


@dataclass(frozen=True)
class TimeWeeks:
    """The parts by name, a row a week, and the picture of both."""

    parts: dict[str, str]
    rows: tuple[TimeRow, ...]
    picture: Drawn


def time_weeks(books: SeasonBooks, weeks: Sequence[Place]) -> TimeWeeks:
    """Return the time account of some weeks; its parts add to all the hours there were.

    A cause that no week has is left out of both picture and table.
    """
    hours = figures_over(books, (*PARTS, WHOLE), [week.period for week in weeks])
    found = {
        name: [None if value is None else round(value, DECIMALS) for value in hours[name]]
        for name in PARTS
    }
    whole = hours[WHOLE]
    kept = {name: title for name, title in PARTS.items() if any(found[name])}
    rows = tuple(
        TimeRow(
            week.title, week.address,
            tuple(printed(found[name][n], DECIMALS) for name in kept),
            printed(whole[n], DECIMALS),
            any((found[name][n] or 0) < 0 for name in kept),
        )
        for n, week in enumerate(weeks)
    )  # fmt: skip
    parts = [Part(_(title), found[name]) for name, title in kept.items()]
    return TimeWeeks(kept, rows, stacked_bars([week.title for week in weeks], parts, _("h")))
