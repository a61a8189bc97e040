"""The sheet as it is laid out: samples by the hour, what they make, and what follows from them."""

from dataclasses import replace
from datetime import UTC, date, datetime, time

from app.plant.calendar import Clock
from app.plant.measures import MEASURES
from app.reports.sheet import Filling, sheet_of
from tests.reports.test_due import BOUNDS, CLOCK, Written


def taken(name, every, **otherwise):
    return replace(MEASURES[name], every=every, **otherwise)


def filled(measures, **typed):
    results = {key.replace("__", "-"): Written(text) for key, text in typed.items()}
    return sheet_of(measures, Filling(CLOCK, BOUNDS, results))


def test_purity_follows_from_the_means_of_the_shift_and_not_from_its_first_sample():
    """100 × (12 + 12.5) ÷ (14 + 15) = 84.48; the first sample alone has 85.71."""
    measures = [taken("mixed_juice_brix", 4), taken("mixed_juice_pol", 4)]
    sheet = filled(
        [*measures, MEASURES["mixed_juice_purity"]],
        mixed_juice_brix="14.0", mixed_juice_brix__2="15.0",
        mixed_juice_pol="12.0", mixed_juice_pol__2="12.5",
    )  # fmt: skip
    assert sheet.cells["mixed_juice_purity"].derived == "84.48"
    assert sheet.made["mixed_juice_brix"].value == "14.50"


def test_a_sum_of_which_an_hour_lacks_is_not_shown():
    cane = taken("cane", 4)
    assert filled([cane], cane="700").made["cane"].value == ""
    assert filled([cane], cane="700", cane__2="650").made["cane"].value == "1350.0"


def test_in_the_night_of_the_clock_change_each_sample_has_a_row_of_its_own():
    clock = Clock("America/Chicago", time(6), 3)
    bounds = clock.shift_bounds(date(2026, 10, 31), 3)
    sheet = sheet_of([taken("clear_juice_ph", 1)], Filling(clock, bounds, {}))
    (table, *_) = sheet.tables
    rows = table.groups[0].rows
    assert len(rows) == len(sheet.cells) == 9
    twice = [row.title for row in rows if row.title.startswith("01:00")]
    assert twice == ["01:00 CDT", "01:00 CST"]
    assert len({cell.label for cell in sheet.cells.values()}) == 9


def test_of_two_tests_of_which_none_counts_the_box_is_that_of_the_first():
    left_out = replace(Written("7.6", id=2), state="left out")
    empty = replace(Written("", id=1), state="void")
    results = {"clear_juice_ph": empty, "clear_juice_ph-1-2": left_out}
    filling = Filling(CLOCK, BOUNDS, results)
    cell = sheet_of([MEASURES["clear_juice_ph"]], filling).cells["clear_juice_ph"]
    assert (cell.tests, cell.derived, cell.result.id) == ((0, 2), "", 1)
    assert not cell.filled


def test_a_moment_is_written_without_its_zone_where_it_comes_once():
    at = datetime(2026, 6, 3, 6, tzinfo=UTC)
    assert filled([taken("clear_juice_ph", 4)]).cells["clear_juice_ph"].due_at == at
    assert filled([taken("clear_juice_ph", 4)]).cells["clear_juice_ph"].at == "06:00"
