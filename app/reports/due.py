"""What a sheet owes and when: done, due next, and late."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from app.language import _, ngettext
from app.plant.calendar import LATE_AFTER, Clock
from app.reports.cells import Cell
from app.reports.sheet import Sheet


@dataclass(frozen=True)
class Due:
    """How far a sheet is, as one looks at it: `missing` in the order in which it is due.

    A sample of several is due at its time, what is taken once by the end of the shift; an hour
    after that it is late.
    """

    of: int
    missing: Sequence[Cell]
    now: datetime
    clock: Clock

    @property
    def done(self) -> int:
        """How many of the due results are there, or say why there is no number."""
        return self.of - len(self.missing)

    @property
    def late(self) -> tuple[Cell, ...]:
        """What is missing and was due over an hour ago."""
        return tuple(cell for cell in self.missing if self.now > cell.due_at + LATE_AFTER)

    def is_late(self, cell: Cell) -> bool:
        """Tell whether a box is empty that should long be filled."""
        return not cell.filled and self.now > cell.due_at + LATE_AFTER

    @property
    def next(self) -> tuple[Cell, ...]:
        """What is missing and not late: all that is due at the earliest time of those."""
        waited = [cell for cell in self.missing if not self.is_late(cell)]
        return tuple(cell for cell in waited if cell.due_at == waited[0].due_at)

    @property
    def words(self) -> str:
        """Say it in a line: "12 of 62 done, next due 14:00 Clear juice, pH and 3 more"."""
        said = _("{done} of {of} done", done=self.done, of=self.of)
        if not self.next:
            return said
        first = self.next[0]
        names = {
            "said": said, "when": f"{self.clock.local(first.due_at):%H:%M}",
            "title": _(first.measure.title),
        }  # fmt: skip
        if len(self.next) == 1:
            return _("{said}, next due {when} {title}", **names)
        return ngettext(
            "{said}, next due {when} {title} and {count} more",
            "{said}, next due {when} {title} and {count} more",
            len(self.next) - 1,
            **names,
        )

    @property
    def words_of_late(self) -> str:
        """Say how much is late; nothing where nothing is."""
        return ngettext("{count} late", "{count} late", len(self.late)) if self.late else ""


def due_of(sheet: Sheet, now: datetime, clock: Clock) -> Due:
    """Return what a sheet owes at `now`."""
    missing = sorted(sheet.missing, key=lambda cell: cell.due_at)  # stable: else as on the sheet
    return Due(len(sheet.due), missing, now, clock)
