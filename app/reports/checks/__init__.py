"""What a sheet is asked: checks of single results and between results, with likely causes."""

from app.reports.checks import account, balances, purities
from app.reports.checks.declare import CHECKS, COMPARISONS, Check, title_of_check
from app.reports.checks.doubted import STANDARD_CHECK_FAILED, in_doubt
from app.reports.checks.filled import LOOKS_BACK
from app.reports.checks.holds import HOLDS
from app.reports.checks.raised import (
    FIGURES_ASKED,
    Concerned,
    Raised,
    figures_asked,
    periods_of,
    raised_on,
)

__all__ = [
    "CHECKS",
    "COMPARISONS",
    "FIGURES_ASKED",
    "HOLDS",
    "LOOKS_BACK",
    "STANDARD_CHECK_FAILED",
    "Check",
    "Concerned",
    "Raised",
    "account",
    "balances",
    "figures_asked",
    "in_doubt",
    "periods_of",
    "purities",
    "raised_on",
    "title_of_check",
]  # fmt: skip
