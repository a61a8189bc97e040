"""What figures of a season are worked out from: its sheets, and which rows make a period."""

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from app.figures.declare import ENTERED
from app.figures.evaluate import Conventions, Values
from app.figures.readings import Limits


@dataclass(frozen=True)
class Stated:
    """Standard uncertainties of one measure, a value a row: in its unit, or in % of the value."""

    random: Values
    systematic: Values
    relative: Values


@dataclass(frozen=True)
class Sheets:
    """What was entered, one row a shift, in order of time.

    `entered` maps a measure to its values, `given` a figure to values that need no working out.
    `day` and `week` number the days and weeks of the rows. `carriers` maps an analysis to the
    weight it is averaged by; `daily` tells of a measure taken once a day, on its last row, on
    which rows it is so; `asked` names those a laboratory is asked for, so that a gap is named by
    them; `stated` the uncertainties that a mill says of its own measures; `limits` what a result of
    readings lies within; `shares` of a measure, what part of it on each row was really analysed.
    `starts_empty` tells that there was no stock before the first row.
    """

    entered: Mapping[str, Values]
    conventions: Conventions
    day: NDArray[np.int64]
    week: NDArray[np.int64]
    carriers: Mapping[str, str]
    daily: Mapping[str, NDArray[np.bool_]] = field(default_factory=dict)
    asked: frozenset[str] = frozenset()
    given: Mapping[str, Values] = field(default_factory=dict)
    stated: Mapping[str, Stated] = field(default_factory=dict)
    limits: Limits = field(default_factory=dict)
    shares: Mapping[str, Values] = field(default_factory=dict)
    starts_empty: bool = True

    def known(self, entered: Mapping[str, Values]) -> dict[str, Values]:
        """Return `entered`, and what was given, under the names that figures ask for."""
        return {ENTERED + name: column for name, column in entered.items()} | dict(self.given)


@dataclass(frozen=True)
class Period:
    """Rows `first` to `last` (not included) of the sheets."""

    first: int
    last: int
