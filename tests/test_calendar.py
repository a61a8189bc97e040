"""Factory days, shifts and weeks on a mill's own clock."""

from datetime import UTC, date, datetime, time, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.plant.calendar import Clock, days_of_week, week_name, week_of

SIX = time(6)

# day, zone: hours of the factory day that begins then at 06:00 local; from the zone rules of 2026
LENGTHS = [
    ("2026-03-07", "America/Chicago", 23),
    ("2026-10-31", "America/Chicago", 25),
    ("2026-03-08", "America/Chicago", 24),
    ("2026-04-23", "Africa/Cairo", 23),
    ("2026-10-29", "Africa/Cairo", 25),
    ("2026-04-04", "Australia/Sydney", 25),
    ("2026-10-03", "Australia/Sydney", 23),
    ("2026-03-07", "Africa/Johannesburg", 24),
    ("2026-10-31", "Asia/Kolkata", 24),
]


def hours(clock, day, number):
    begins, ends = clock.shift_bounds(day, number)
    return (ends - begins) / timedelta(hours=1)


@pytest.mark.parametrize("shifts_a_day", [2, 3])
@pytest.mark.parametrize(("day", "zone", "length"), LENGTHS)
def test_a_day_has_the_hours_its_zone_gives_it(day, zone, length, shifts_a_day):
    clock = Clock(zone, SIX, shifts_a_day)
    each = [hours(clock, date.fromisoformat(day), n + 1) for n in range(shifts_a_day)]
    assert sum(each) == length
    assert sorted(each)[1] == 24 / shifts_a_day or shifts_a_day == 2


def test_the_night_shift_takes_the_hour_that_a_clock_gains_or_loses():
    clock = Clock("America/Chicago", SIX, 3)
    assert [hours(clock, date(2026, 3, 7), n) for n in (1, 2, 3)] == [8, 8, 7]
    assert [hours(clock, date(2026, 10, 31), n) for n in (1, 2, 3)] == [8, 8, 9]


def test_bounds_are_instants():
    begins, ends = Clock("America/Chicago", SIX, 3).shift_bounds(date(2026, 7, 14), 3)
    assert begins == datetime(2026, 7, 15, 3, tzinfo=UTC)
    assert ends == datetime(2026, 7, 15, 11, tzinfo=UTC)


@pytest.mark.parametrize("number", [0, 4, -1])
def test_a_shift_the_mill_does_not_have_is_refused(number):
    with pytest.raises(ValueError, match="numbered 1 to 3"):
        Clock("America/Chicago", SIX, 3).shift_bounds(date(2026, 7, 14), number)


CLOCKS = st.builds(
    Clock,
    st.sampled_from(["America/Chicago", "Africa/Cairo", "Australia/Sydney", "Asia/Kolkata"]),
    st.sampled_from([time(0), time(5), SIX, time(7, 30), time(18)]),
    st.sampled_from([2, 3]),
)


@given(CLOCKS, st.datetimes(datetime(2025, 1, 1), datetime(2027, 1, 1), timezones=st.just(UTC)))  # noqa: DTZ001
def test_every_instant_is_in_the_shift_that_is_running(clock, instant):
    begins, ends = clock.shift_bounds(*clock.shift_at(instant))
    assert begins <= instant < ends


@given(CLOCKS, st.dates(date(2025, 1, 1), date(2027, 1, 1)))
def test_shifts_follow_each_other_without_gap(clock, day):
    last = clock.shift_bounds(day, clock.shifts_a_day)
    assert last[1] == clock.shift_bounds(day + timedelta(days=1), 1)[0]
    for number in range(1, clock.shifts_a_day):
        assert clock.shift_bounds(day, number)[1] == clock.shift_bounds(day, number + 1)[0]


def test_before_the_day_starts_it_is_still_yesterday():
    clock = Clock("America/Chicago", SIX, 3)
    assert clock.shift_at(datetime(2026, 7, 14, 10, 59, tzinfo=UTC)) == (date(2026, 7, 13), 3)
    assert clock.shift_at(datetime(2026, 7, 14, 11, tzinfo=UTC)) == (date(2026, 7, 14), 1)


def test_an_instant_is_shown_on_the_mill_s_clock():
    shown = Clock("America/Chicago", SIX, 3).local(datetime(2026, 7, 14, 11, tzinfo=UTC))
    assert shown.strftime("%Y-%m-%d %H:%M") == "2026-07-14 06:00"


def test_a_week_is_named_by_the_year_of_its_thursday():
    assert week_of(date(2027, 1, 1)) == (2026, 53)
    assert week_name(date(2027, 1, 1)) == "2026-W53"
    assert week_name(date(2026, 7, 14)) == "2026-W29"


@given(st.dates(date(2000, 1, 1), date(2100, 1, 1)))
def test_a_day_is_in_the_week_named_after_it(day):
    days = days_of_week(week_name(day))
    assert day in days
    assert [d.isoweekday() for d in days] == list(range(1, 8))


@pytest.mark.parametrize("name", ["2026-W54", "2026", "2026-29", "W29", "2026-Wxx"])
def test_a_week_that_is_none_is_refused(name):
    with pytest.raises(ValueError, match=r"."):
        days_of_week(name)
