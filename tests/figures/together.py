"""Figures of one sheet, and of several sheets together, as plain numbers by name."""

import numpy as np

from app.figures.evaluate import in_force
from app.figures.periods import Books
from app.figures.sheets import Period, Sheets
from app.plant.measures import CARRIERS
from tests.figures.mills import figures_of

# Floating point alone parts the two sides: some operations on numbers of up to some thousands.
EXACT = {"abs": 1e-9, "rel": 1e-9}
NONE = float("nan")


def found_in(entered: dict[str, float], **conventions: object) -> dict[str, float]:
    return {name: float(column[0]) for name, column in figures_of(entered, **conventions).items()}


def shifts(entered: dict[str, list[float]], days: list[int], **chosen: object) -> dict[str, float]:
    """Figures of all these sheets together."""
    columns = {name: np.array(column, dtype=float) for name, column in entered.items()}
    day = np.array(days)
    sheets = Sheets(columns, in_force(chosen, len(days)), day, day // 7, CARRIERS)
    values = Books(sheets).over([Period(0, len(days))]).values
    return {name: float(column[0]) for name, column in values.items()}
