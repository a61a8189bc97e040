"""The other books of the invented mill: kept from a day on, record by record, by who is on duty.

What a book gives is no longer typed on the sheet from that day on: its records make it, so that
they are made of the very texts that would have been typed there.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta

import numpy as np

SINCE = date(2026, 10, 26)

# minutes after the shift began, and what was written then, by field
Written = tuple[float, Mapping[str, str]]
Texts = Mapping[str, str]


@dataclass(frozen=True)
class Shift:
    """A shift as its records are made: its number in the season, its times, and what it holds.

    `texts` has, by measure, what stands on the sheet or would; `random` is the shift's own.
    """

    number: int
    day: date
    of_day: int
    begins: datetime
    ends: datetime
    texts: Texts
    random: np.random.Generator

    def clock(self, minutes: float) -> str:
        """Return the clock time so many minutes after the shift began, as it is typed."""
        return f"{(self.begins + timedelta(minutes=minutes)):%H:%M}"


@dataclass(frozen=True)
class Kept:
    """A book that the mill keeps: which measures it gives in place of the sheet, and its records.

    `make` yields each record with the minute of the shift at which it was written down.
    """

    book: str
    make: Callable[[Shift], Iterable[Written]]
    gives: frozenset[str] = frozenset()


@dataclass(frozen=True)
class RecordRow:
    """One record as it was typed, by whom, and when."""

    book: str
    day: date
    number: int
    typed: Mapping[str, str]
    username: str
    recorded_at: datetime
