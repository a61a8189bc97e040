"""The book of stops: hours by cause, stops over a change of shift, and time between stops."""

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.compute import compute
from app.plant.books import BOOKS
from app.plant.books.giving import giving, with_worked
from app.plant.books.reading import Span, read_record
from app.plant.utilities import CAUSES
from app.reports.marks import marks_of
from app.reports.stops import joined, stops_report

BOOK = BOOKS["stops"]
SHIFT = Span("UTC", datetime(2026, 6, 3, 6, tzinfo=UTC), datetime(2026, 6, 3, 14, tzinfo=UTC))
STOP = {"begins": "07:00", "ends": "07:45", "cause": "mechanical_stop", "crushing": "stopped"}


def read(typed):
    values, wrong = read_record(BOOK, typed, SHIFT)
    return with_worked(BOOK, values, {}), wrong


def stop(begins, ends, cause="process_stop", station="milling", crushing="stopped"):
    found = {"cause": cause, "station": station, "crushing": crushing}
    hours = {"begins": begins, "ends": ends}
    found |= {
        name: datetime(2026, 6, 3 + int(h // 24), int(h % 24), round(h % 1 * 60), tzinfo=UTC)
        for name, h in hours.items()
        if h is not None
    }
    return with_worked(BOOK, found, {})


def test_a_stop_is_not_over_before_it_began():
    assert read(STOP | {"ends": "06:59"})[1] == {"ends": "It ended before it began"}


def test_a_station_is_chosen_from_the_stations_of_the_factory():
    assert read(STOP | {"station": "Milling"})[0]["station"] == "milling"
    assert set(read(STOP | {"station": "garden"})[1]) == {"station"}


def test_hours_of_every_cause_are_those_in_which_crushing_stood():
    records = [
        read(STOP)[0],
        read(STOP | {"begins": "08:00", "ends": "08:30", "cause": "no_cane"})[0],
        read(STOP | {"begins": "09:00", "ends": "10:00", "crushing": "slowed"})[0],
    ]
    made = giving(BOOK, records).given
    assert made["stopped_hours"].value == 1.25
    assert made["mechanical_stop_hours"].value == 0.75
    assert made["no_cane_hours"].value == 0.5


def test_a_stop_without_an_end_leaves_the_hours_of_its_cause_and_of_all_unsaid():
    made = giving(BOOK, [read(STOP)[0], read(STOP | {"ends": ""})[0]])
    assert made.lacking == {"mechanical_stop_hours": (1,), "stopped_hours": (1,)}


def test_a_stop_written_on_two_shifts_is_one():
    (whole,) = joined([stop(13.5, 14), stop(14, 15.5)])
    assert whole.hours == 2.0


def test_stops_that_touch_are_two_where_cause_or_station_differ():
    assert len(joined([stop(13, 14), stop(14, 15, cause="no_cane")])) == 2
    assert len(joined([stop(13, 14), stop(14, 15, station="boilers")])) == 2
    assert len(joined([stop(13, 14), stop(14.5, 15)])) == 2


# The mill ran from 8 to 10 and from 12 to 18: 4 hours on average. A stop within another leaves
# nothing between.
def test_the_mill_ran_from_the_end_of_one_stop_to_the_beginning_of_the_next():
    records = [
        stop(7, 8), stop(10, 12, cause="no_cane"), stop(18, 18.5),
        stop(9, 9.5, crushing="slowed"), stop(20, None),
    ]  # fmt: skip
    report = stops_report(records)
    assert report.running == "4.00"
    assert (report.whole.count, report.whole.hours, report.whole.longest) == (3, "3.50", "2.00")
    assert (report.unfinished, report.others) == (1, 1)
    assert [(g.title, g.count, g.hours) for g in report.causes] == [
        ("Lack of cane", 1, "2.00"), ("Process stops", 2, "1.50"),
    ]  # fmt: skip
    assert [(g.title, g.count) for g in report.stations] == [("Milling", 3)]


def test_one_stop_or_none_has_no_time_between():
    assert stops_report([stop(7, 8)]).running == ""
    assert stops_report([]).whole.count == 0


def together(*records):
    """Stops of one shift, each knowing what began before it."""
    return [
        with_worked(BOOK, each, others)
        for each, others in zip(records, BOOK.beside(records), strict=True)
    ]


def hours_of(stops):
    return {name: each.value for name, each in giving(BOOK, stops).given.items()}


# The roller stopped at 7, the drive at 7:30 and 7:45; the cane was gone from 8:30 to 10.
def test_each_minute_of_stops_that_overlap_belongs_to_the_one_that_began_first():
    stops = together(
        stop(7, 9, cause="mechanical_stop"), stop(7.5, 8, cause="electrical_stop"),
        stop(7.75, 9.25, cause="electrical_stop"), stop(8.5, 10, cause="no_cane"),
        stop(7, 12, crushing="slowed"),
    )  # fmt: skip
    assert [each.get("counted") for each in stops] == [2, 0, 0.25, 0.75, None]
    assert hours_of(stops) == {
        "mechanical_stop_hours": 2, "electrical_stop_hours": 0.25, "no_cane_hours": 0.75,
        "stopped_hours": 3,
    }  # fmt: skip
    report = stops_report(stops)
    assert report.whole.hours == "3.00"
    assert [(group.title, group.hours) for group in report.causes] == [
        ("Mechanical stops", "2.00"), ("Lack of cane", "0.75"), ("Electrical stops", "0.25"),
    ]  # fmt: skip


MINUTES = st.tuples(
    st.integers(0, 470), st.integers(1, 300), st.sampled_from(sorted(CAUSES))
)  # fmt: skip


@settings(max_examples=40, deadline=None)
@given(st.lists(MINUTES, max_size=8))
def test_stops_and_crushing_are_never_more_hours_than_the_shift_has(told):
    """A mill crushed in each minute of which no stop tells."""
    spans = [(began, min(began + lasted, 480), cause) for began, lasted, cause in told]
    records = [
        {"begins": SHIFT.begins + timedelta(minutes=b), "ends": SHIFT.begins + timedelta(minutes=e),
         "cause": cause, "crushing": "stopped"}
        for b, e, cause in spans
    ]  # fmt: skip
    stood = {minute for b, e, _cause in spans for minute in range(b, e)}
    crushing = (480 - len(stood)) / 60
    hours = hours_of(together(*(with_worked(BOOK, each, {}) for each in records)))
    by_cause = sum(each for name, each in hours.items() if name != "stopped_hours")
    assert hours.get("stopped_hours", 0) == pytest.approx(len(stood) / 60, abs=1e-6)
    assert by_cause == pytest.approx(len(stood) / 60, abs=1e-6)
    measures = {"gross_hours": 8, "crushing_hours": crushing, **hours}
    account = compute({"measures": measures})["figures"]
    assert account["unaccounted_stop_hours"]["value"] == pytest.approx(0, abs=1e-6)


def test_stops_that_overlap_name_each_other_and_what_of_them_counts():
    stops = together(stop(7, 9), stop(8.5, 10, cause="no_cane"), stop(10, 11), stop(12, None))
    assert marks_of(BOOK, stops, "UTC") == {
        0: "overlaps the stop 08:30 to 10:00, Lack of cane",
        1: "overlaps the stop 07:00 to 09:00, Process stops, which began first: 1.00 h count here",
    }
