"""Which other books the invented mill keeps, and every record of them."""

from collections.abc import Callable, Iterable, Iterator
from datetime import timedelta

from . import (
    cane_loads,
    mill_survey,
    pan_log,
    rounds,
    standards,
    stop_records,
    sugar_lots,
    vessels,
)
from .books import Kept, RecordRow, Shift

KEPT: tuple[Kept, ...] = (
    cane_loads.BOOK,
    mill_survey.BOOK,
    *rounds.ROUNDS,
    pan_log.STRIKES,
    pan_log.CRYSTALLIZED,
    pan_log.CENTRIFUGED,
    sugar_lots.BAGGING,
    sugar_lots.DISPATCH,
    stop_records.BOOK,
    vessels.CALIBRATIONS,
    vessels.DIPS,
    *standards.STANDARDS,
)


def given() -> frozenset[str]:
    """Return the measures that are not typed on the sheet once the books are kept."""
    return frozenset().union(*(kept.gives for kept in KEPT))


def record_rows(shifts: Iterable[Shift], on_duty: Callable[[int], str]) -> Iterator[RecordRow]:
    """Yield every record of some shifts, in order of time within each book."""
    for shift in shifts:
        for kept in KEPT:
            for minutes, typed in sorted(kept.make(shift), key=lambda written: written[0]):
                at = shift.begins + timedelta(minutes=minutes)
                yield RecordRow(
                    kept.book, shift.day, shift.of_day, typed, on_duty(shift.number), at
                )
