"""Every figure worked out, by station, and the small machinery that orders and evaluates them."""

from app.figures import (  # noqa: F401  each module declares its figures when imported
    account,
    bagasse,
    boiling,
    clarification,
    extraction,
    molasses,
    recovery,
    stock,
    streams,
    sugar,
    throughput,
    weights,
)
from app.figures.conventions import CONVENTIONS
from app.figures.declare import FIGURES

__all__ = ["CONVENTIONS", "FIGURES"]
