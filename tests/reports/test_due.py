"""What a sheet owes, at three times of a day: done, due next, late."""

from dataclasses import dataclass, replace
from datetime import UTC, datetime, time
from decimal import Decimal

import pytest

from app.plant.calendar import Clock
from app.plant.measures import MEASURES
from app.reports.due import due_of
from app.reports.sheet import Filling, sheet_of

CLOCK = Clock("UTC", time(6), 3)
BOUNDS = tuple(datetime(2026, 6, 3, hour, tzinfo=UTC) for hour in (6, 14))
PH = replace(MEASURES["clear_juice_ph"], every=2)
MEASURED = (MEASURES["cane"], PH, MEASURES["clear_juice_brix"])


@dataclass(frozen=True)
class Written:
    """A number that stands."""

    typed: str
    id: int = 1
    state: str = "number"
    supersedes_id: int | None = None
    recorded_name: str = "Ann Field"
    recorded_at: datetime = BOUNDS[0]
    carried: bool = False

    @property
    def value(self) -> Decimal | None:
        return Decimal(self.typed) if self.state == "number" else None


def due_at(hour, minute=0, **typed):
    now = datetime(2026, 6, 3, hour, minute, tzinfo=UTC)
    results = {key: Written(text) for key, text in typed.items()}
    return due_of(sheet_of(MEASURED, Filling(CLOCK, BOUNDS, results)), now, CLOCK)


def hour(at):
    return f"{CLOCK.local(BOUNDS[0].replace(hour=at)):%H:%M}"


@pytest.mark.parametrize(
    ("now", "first", "late", "due_next"),
    [
        ((6, 5), "clear_juice_ph", [], 6),
        ((9, 30), "clear_juice_ph", ["clear_juice_ph", "clear_juice_ph-2"], 10),
        ((14, 30), "clear_juice_ph", [f"clear_juice_ph{n}" for n in ("", "-2", "-3", "-4")], 14),
    ],
)
def test_what_is_late_and_what_is_due_next(now, first, late, due_next):
    """C-14: a sample of several is due at its time, late an hour after it; else at the end."""
    due = due_at(*now)
    assert due.missing[0].key == first
    assert [cell.key for cell in due.late] == late
    assert f"0 of 6 done, next due {hour(due_next)}" in due.words
    assert due.words_of_late == (f"{len(late)} late" if late else "")


def test_a_sample_is_late_only_once_an_hour_is_over():
    assert due_at(7, 0).late == ()
    assert [cell.key for cell in due_at(7, 1).late] == ["clear_juice_ph"]


def test_the_sheet_begins_with_what_is_due_first_and_empty():
    assert due_at(8, clear_juice_ph="7.1").missing[0].key == "clear_juice_ph-2"
    taken = {"clear_juice_ph": "7.1"} | {f"clear_juice_ph-{n}": "7.1" for n in (2, 3, 4)}
    assert due_at(8, **taken).missing[0].key == "cane"
    assert due_at(8, **taken).words == f"4 of 6 done, next due {hour(14)} Cane crushed and 1 more"


def test_long_after_the_shift_all_that_lacks_is_late():
    due = due_at(15, 1, cane="1200")
    assert len(due.late) == 5
    assert due.next == ()
    assert due.words == "1 of 6 done"


def test_a_sheet_that_owes_nothing_says_so():
    taken = {"cane": "0"} | {f"clear_juice_ph{n}": "7" for n in ("", "-2", "-3", "-4")}
    due = due_at(20, **taken, clear_juice_brix="14")
    assert (due.missing, due.late, due.next) == ([], (), ())
    assert due.words == f"{due.of} of {due.of} done"
