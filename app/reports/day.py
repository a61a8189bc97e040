"""The morning report: a day, its week and its season to date, against target."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from app.figures import FIGURES
from app.figures.periods import Result
from app.language import _
from app.reports.gaps import Gap, gaps, never_entered
from app.reports.lines import Line, Section, line, mean_lines, sections
from app.reports.numbers import plus_minus, printed, significance
from app.reports.season_books import InForce, SeasonBooks

COLUMNS = ("Day", "Week to date", "Season to date")

PLAN = {
    "Cane and hours": (
        "cane", "crushing_hours", "stopped_hours", "time_efficiency", "crushing_rate",
        "fibre_rate", "cane_pol", "cane_fibre",
    ),
    "Milling": (
        "pol_extraction", "reduced_extraction", "brix_extraction", "imbibition_on_fibre",
        "mixed_juice_on_cane", "bagasse_on_cane", "bagasse_fibre", "milling_loss",
        "lost_absolute_juice", "mixed_juice_purity_drop", "java_ratio",
    ),
    "Clarification and evaporation": (
        "mixed_juice_purity", "clear_juice_purity", "clarification_purity_rise", "syrup_purity",
        "filter_cake_on_cane", "lime_on_cane", "evaporation_on_clear_juice",
    ),
    "Boiling house": (
        "boiling_house_recovery", "overall_recovery", "sjm_recovery", "boiling_house_efficiency",
        "reduced_boiling_house_recovery", "virtual_molasses_purity", "a_massecuite_exhaustion",
        "b_massecuite_exhaustion", "c_massecuite_exhaustion", "final_molasses_purity",
        "final_molasses_target_purity", "target_purity_difference", "final_molasses_on_cane",
        "non_sucrose_ratio",
    ),
    "Sugar": (
        "sugar", "sugar_made_and_estimated", "sugar_on_cane", "cane_per_sugar", "sugar_purity",
        "safety_factor",
    ),
    "Steam and power": ("steam_on_cane", "power_on_cane"),
}  # fmt: skip

# told where a mill keeps the book that they follow from
BOOKS_TITLE = "Cane received and sugar dispatched"
OF_BOOKS = (
    "cane_received", "cane_received_difference", "sugar_dispatched", "sugar_store_difference",
)  # fmt: skip

# means by the weight that carries the sample
ANALYSES = (
    "prepared_cane_open_cells", "first_expressed_juice_brix", "imbibition_temperature",
    "bagasse_pol", "bagasse_moisture", "mixed_juice_brix", "mixed_juice_pol", "mixed_juice_ph",
    "mixed_juice_suspended_solids", "limed_juice_ph", "clear_juice_ph", "filter_cake_pol",
    "filter_cake_moisture", "syrup_brix", "syrup_ph", "a_massecuite_brix", "b_massecuite_brix",
    "c_massecuite_brix", "sugar_pol", "sugar_moisture", "sugar_colour", "sugar_temperature",
    "final_molasses_brix", "feed_water_ph", "feed_water_sugar_trace",
)  # fmt: skip

STOCK = ("sugar_in_stock", "molasses_in_stock", "pol_in_stock")

STOCK_TITLE, ANALYSES_TITLE = "Stock in process, at the end", "Analyses, weighted means"

# where the pol of cane went: title, tonnes, and per 100 pol in cane
ACCOUNT = (
    ("Sugar", "pol_in_sugar", "overall_recovery"),
    ("Bagasse", "pol_in_bagasse", "bagasse_loss"),
    ("Filter cake", "pol_in_filter_cake", "filter_cake_loss"),
    ("Final molasses", "pol_in_final_molasses", "final_molasses_loss"),
    ("Undetermined", "undetermined_pol", "undetermined_loss"),
)


PRINTED = frozenset(
    (
        "pol_in_cane", *STOCK, *OF_BOOKS, *(name for names in PLAN.values() for name in names),
        *(name for _, *names in ACCOUNT for name in names),
        *(name for name in ANALYSES if name in FIGURES),
    )
)  # fmt: skip


@dataclass(frozen=True)
class AccountRow:
    """One place where pol went: tonnes and share in each period, and the share aimed at."""

    title: str
    tonnes: Line
    share: Line


@dataclass(frozen=True)
class Account:
    """The sugar account of several periods; its rows add to the pol in cane.

    `doubts` says of each period whether its undetermined loss is more than measuring can tell.
    """

    pol_in_cane: Line
    rows: tuple[AccountRow, ...]
    doubts: tuple[str, ...]


@dataclass(frozen=True)
class DayReport:
    """Everything the morning report of a day prints."""

    day: date
    columns: tuple[str, ...]
    account: Account
    sections: tuple[Section, ...]
    stock: Section
    analyses: Section
    gaps: tuple[Gap, ...]
    never: tuple[str, ...]
    conventions: tuple[InForce, ...]


def day_report(books: SeasonBooks, day: date, targets: Mapping[str, float]) -> DayReport:
    """Return the morning report of `day`, which the season must hold."""
    books.need(PRINTED)
    result = result_of_day(books, day)
    return report_of(books, day, targets, result)


def result_of_day(books: SeasonBooks, day: date) -> Result:
    """Return the figures of a day, of its week and of its season to date."""
    return books.books.over([books.day(day), books.week_to(day), books.to(day)])


def report_of(
    books: SeasonBooks, day: date, targets: Mapping[str, float], result: Result
) -> DayReport:
    """Return the morning report of a day whose figures are worked out."""
    periods = result.periods
    return DayReport(
        day,
        tuple(map(_, COLUMNS)),
        account(result, books, targets),
        (*sections(PLAN, result, books, targets), *_of_books(result, books, targets)),
        sections({STOCK_TITLE: STOCK}, result, books)[0],
        Section(ANALYSES_TITLE, mean_lines(ANALYSES, result, books)),
        gaps(books, periods[0]),
        never_entered(books),
        tuple(books.in_force_for(PRINTED, day)),
    )


def _of_books(
    result: Result, books: SeasonBooks, targets: Mapping[str, float]
) -> tuple[Section, ...]:
    """Return what the other books tell of the day; nothing of those that are not kept."""
    (section,) = sections({BOOKS_TITLE: OF_BOOKS}, result, books, targets)
    told = tuple(line for line in section.lines if line.cells[0].value is not None)
    return (Section(section.title, told),) if told else ()


def account(result: Result, books: SeasonBooks, targets: Mapping[str, float]) -> Account:
    """Return the sugar account over the periods of `result`."""
    rows = (
        AccountRow(title, line(tonnes, result, books, targets), line(share, result, books, targets))
        for title, tonnes, share in ACCOUNT
    )
    doubts = (undetermined_doubt(result, index) for index in range(len(result.periods)))
    return Account(line("pol_in_cane", result, books), tuple(rows), tuple(doubts))


def undetermined_doubt(result: Result, index: int) -> str:
    """Say whether the undetermined loss of a period stands out of its own uncertainty."""
    name = "undetermined_loss"
    value, standard = float(result.values[name][index]), result.certainty.standard(name, index)
    doubt = plus_minus(standard, FIGURES[name].decimals)
    if not doubt:
        return ""
    said = f"{printed(value, FIGURES[name].decimals)} {doubt}: {significance(value, standard)}"
    if result.conventions["sugar_accounted"][index] != "bagged":
        return said
    return _("{said}; but the change of stock in process hides in it", said=said)
