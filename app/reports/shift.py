"""The running account of one shift: what its sheet says so far."""

from datetime import date

from app.reports.lines import Section, sections
from app.reports.season_books import SeasonBooks

PLAN = {
    "Milling": (
        "cane", "crushing_rate", "mixed_juice_on_cane", "imbibition_on_fibre", "bagasse_fibre",
        "cane_fibre", "cane_pol", "pol_extraction", "reduced_extraction",
    ),
    "Sugar account of the shift": (
        "pol_in_cane", "pol_in_mixed_juice", "pol_in_bagasse", "pol_in_filter_cake",
        "pol_in_sugar_bagged", "bagasse_loss", "filter_cake_loss",
    ),
    "Boiling house": (
        "clarification_purity_rise", "evaporation_on_clear_juice", "a_massecuite_exhaustion",
        "b_massecuite_exhaustion", "safety_factor",
    ),
}  # fmt: skip


def running_account(books: SeasonBooks, day: date, number: int) -> tuple[Section, ...]:
    """Return the figures of one shift as far as its results go; empty before its first result."""
    books.need(name for names in PLAN.values() for name in names)
    period = books.shift(day, number)
    if period is None:
        return ()
    return sections(PLAN, books.books.over([period]), books)
