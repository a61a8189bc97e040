"""The season-end return: what the published system of factory control lists, month by month.

Listed after the System of Cane Sugar Factory Control (ISSCT), whose groups and names are from
memory: no copy was at hand, so that something it lists may lack here.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from app.figures import FIGURES
from app.figures.certainty import Certainty
from app.figures.periods import Result
from app.figures.sheets import Period
from app.figures.sources import ISSCT, Source
from app.language import _
from app.reports.dates import month_name
from app.reports.gaps import gaps
from app.reports.lines import Line, Section, line, mean_lines
from app.reports.numbers import plus_minus, printed
from app.reports.season_books import InForce, SeasonBooks

SOURCE: Source = ISSCT
LISTED: dict[str, tuple[str, ...]] = {
    "Cane": ("cane", "cane_pol", "cane_brix", "cane_fibre", "cane_purity"),
    "Milling": (
        "imbibition", "imbibition_on_cane", "imbibition_on_fibre", "pol_extraction",
        "brix_extraction", "reduced_extraction", "lost_absolute_juice", "milling_loss",
        "java_ratio", "primary_extraction", "last_mill_extraction",
    ),
    "Juices": (
        "first_expressed_juice_brix", "first_expressed_juice_pol",
        "first_expressed_juice_purity", "last_expressed_juice_brix", "last_expressed_juice_pol",
        "last_expressed_juice_purity", "absolute_juice_brix", "absolute_juice_pol",
        "undiluted_juice_brix", "mixed_juice", "mixed_juice_on_cane", "mixed_juice_brix",
        "mixed_juice_pol", "mixed_juice_purity", "mixed_juice_suspended_solids",
        "mixed_juice_reducing_sugars_on_brix", "clear_juice_brix", "clear_juice_pol",
        "clear_juice_purity", "clear_juice_ph", "clear_juice_reducing_sugars_on_brix",
    ),
    "Bagasse": (
        "bagasse", "bagasse_on_cane", "bagasse_pol", "bagasse_moisture", "bagasse_fibre",
    ),
    "Lime and sulphur": ("lime", "lime_on_cane", "sulphur", "sulphur_on_cane"),
    "Filter cake": (
        "filter_cake", "filter_cake_on_cane", "filter_cake_pol", "filter_cake_moisture",
    ),
    "Syrup": ("syrup_brix", "syrup_purity", "water_evaporated"),
    "Massecuites and molasses of their curing": tuple(
        name
        for grade in "abc"
        for name in (
            f"{grade}_massecuite_volume", f"{grade}_massecuite_on_brix",
            f"{grade}_massecuite_brix", f"{grade}_massecuite_purity",
            f"{grade}_massecuite_crystal", f"{grade}_massecuite_exhaustion",
            *([f"{grade}_molasses_brix", f"{grade}_molasses_purity"] if grade != "c" else ()),
        )
    ),
    "Final molasses": (
        "final_molasses", "final_molasses_on_cane", "final_molasses_brix", "final_molasses_pol",
        "final_molasses_purity", "final_molasses_true_purity", "final_molasses_reducing_sugars",
        "final_molasses_ash", "reducing_sugars_over_ash", "final_molasses_target_purity",
        "target_purity_difference", "non_sucrose_ratio",
    ),
    "Sugar": (
        "sugar", "sugar_made_and_estimated", "sugar_on_cane", "sugar_pol", "sugar_moisture",
        "sugar_purity", "safety_factor", "dilution_indicator", "cane_per_sugar",
        "sugar_at_96_pol", "cane_per_sugar_at_96_pol",
    ),
    "Pol, tonnes": (
        "pol_in_cane", "pol_in_mixed_juice", "pol_in_sugar", "pol_in_bagasse",
        "pol_in_filter_cake", "pol_in_final_molasses", "undetermined_pol",
    ),
    "Pol lost": (
        "bagasse_loss", "filter_cake_loss", "final_molasses_loss", "undetermined_loss",
        "total_loss", "pol_in_bagasse_on_cane", "filter_cake_loss_on_cane",
        "final_molasses_loss_on_cane", "undetermined_loss_on_cane", "total_loss_on_cane",
    ),
    "Recovery": (
        "boiling_house_recovery", "overall_recovery", "basic_boiling_house_recovery",
        "boiling_house_recovery_esg", "boiling_house_efficiency", "virtual_molasses_purity",
        "reduced_boiling_house_recovery", "reduced_overall_recovery", "sjm_recovery",
    ),
    "Time": (
        "gross_hours", "available_hours", "crushing_hours", "no_cane_hours",
        "scheduled_stop_hours", "foreign_matter_hours", "mechanical_stop_hours",
        "electrical_stop_hours", "process_stop_hours", "unaccounted_stop_hours",
        "force_majeure_hours", "overall_time_efficiency", "lost_time", "crushing_rate",
        "fibre_rate", "cane_per_day",
    ),
    "Fuel, steam and power": (
        "bagasse_burnt", "bagasse_not_burnt", "steam", "steam_on_cane", "steam_on_fibre", "power",
        "power_on_cane",
    ),
}  # fmt: skip
NOT_KEPT = (
    "Fuel besides bagasse: wood, oil, coal",
    "Purities by gravity, of dry substance instead of brix",
)
"""What it lists and the ledger keeps no measure of."""


@dataclass(frozen=True)
class ReturnLine:
    """A line with what is known of the season's number: ± and, in %, how much was analysed."""

    line: Line
    doubt: str
    coverage: str


@dataclass(frozen=True)
class ReturnReport:
    """Everything the return prints; `lacking` names what has no number, and for want of what."""

    title: str
    first: date
    last: date
    columns: tuple[str, ...]
    addresses: tuple[str, ...]
    periods: tuple[Period, ...]
    groups: tuple[tuple[str, tuple[ReturnLine, ...]], ...]
    lacking: tuple[tuple[str, str], ...]
    conventions: tuple[InForce, ...]
    gaps: int


def season_return(books: SeasonBooks, name: str, days: Sequence[date]) -> ReturnReport:
    """Return the return of a season over `days`: to date, and month by month."""
    firsts = sorted({day.replace(day=1) for day in days})
    figures = tuple(n for n in _names() if n in FIGURES)
    books.need(figures)
    periods = [books.between(days[0], days[-1]), *(_month(books, days, f) for f in firsts)]
    result, season = books.books.over(periods), books.over(periods[0])
    season.certainty.cover(figures)  # of the season alone, as months would take as long again
    groups = tuple(
        (title, tuple(_line(n, result, season.certainty, books) for n in names))
        for title, names in LISTED.items()
    )
    kept = tuple((title, lines) for title, group in groups if (lines := _told(group)))
    return ReturnReport(
        _("Return of season {name}", name=name), days[0], days[-1],
        (_("Season"), *(month_name(first) for first in firsts)),
        (f"/seasons/{name}", *(f"/months/{first:%Y-%m}" for first in firsts)),
        tuple(periods), kept,
        tuple(
            (line.title, line.cells[0].missing)
            for _title, group in groups for line in (each.line for each in group)
            if line.cells[0].value is None
        ),
        tuple(books.in_force_for(figures, days[-1])),
        len(gaps(books, periods[0])),
    )  # fmt: skip


def sections_of(page: ReturnReport) -> tuple[Section, ...]:
    """Return the groups of a return as sections of lines."""
    return tuple(Section(title, tuple(e.line for e in group)) for title, group in page.groups)


def _names() -> tuple[str, ...]:
    return tuple(dict.fromkeys(name for names in LISTED.values() for name in names))


def _month(books: SeasonBooks, days: Sequence[date], first: date) -> Period:
    held = [day for day in days if (day.year, day.month) == (first.year, first.month)]
    return books.between(held[0], held[-1])


def _line(name: str, result: Result, certainty: Certainty, books: SeasonBooks) -> ReturnLine:
    if name not in FIGURES:
        (mean,) = mean_lines((name,), result, books)
        return ReturnLine(mean, "", "")
    found = line(name, result, books)
    if found.cells[0].value is None:
        return ReturnLine(found, "", "")
    share = float(result.coverage[name][0])
    return ReturnLine(
        found, plus_minus(certainty.standard(name), FIGURES[name].decimals),
        printed(math.floor(1000 * share) / 10, 1) if share < 1 else "",
    )  # fmt: skip


def _told(group: tuple[ReturnLine, ...]) -> tuple[ReturnLine, ...]:
    """Leave out what no period has a number of: it is named apart."""
    return tuple(each for each in group if any(c.value is not None for c in each.line.cells))
