"""Clocks that step, days that are longer or shorter, leap days, and samples near midnight."""

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from sqlalchemy import select

from app.database import reading, writing
from app.exports.csv import period_csv
from app.keeping import watch
from app.keeping.watch import Watch
from app.ledger import book, chain, mills, people, signing, soundness, tables
from app.ledger.shifts import entries_of, shift_table
from app.plant.books import BOOKS
from app.plant.books.declare import time as time_field
from app.plant.books.reading import Span, Unfit, moment, read_record
from app.plant.calendar import Clock
from app.reports.season_books import SeasonBooks
from tests.bench import NOON, PASSWORD, Bench

# day, zone: hours of the factory day that begins then at 06:00, and of each of its shifts
LONG_AND_SHORT = [
    ("2026-03-07", "America/Chicago", 23, (8, 8, 7)),
    ("2026-10-31", "America/Chicago", 25, (8, 8, 9)),
    ("2026-04-23", "Africa/Cairo", 23, (8, 8, 7)),
    ("2026-10-29", "Africa/Cairo", 25, (8, 8, 9)),
    ("2026-04-04", "Australia/Sydney", 25, (8, 8, 9)),
    ("2026-10-03", "Australia/Sydney", 23, (8, 8, 7)),
    ("2026-02-14", "Africa/Casablanca", 25, (8, 8, 9)),
    ("2026-03-21", "Africa/Casablanca", 23, (8, 8, 7)),
    ("2026-03-07", "Africa/Johannesburg", 24, (8, 8, 8)),
]


def new_mill(engine, zone, first_day, last_day=None):
    """A bench at a mill of `zone`, in a season of its own."""
    with writing(engine) as connection:
        mill = mills.add_mill(
            connection, name="Willow Bend", place="Willow Bend", zone=zone, day_starts="06:00",
            shifts_a_day=3, extraction_plant="tandem", mills=5, at=NOON,
        )  # fmt: skip
        season = mills.add_season(
            connection, mill, name="2026", first_day=first_day, last_day=last_day, at=NOON
        )
        ann = people.add_person(
            connection, username="ann", printed_name="Ann Field", role="chemist",
            password=PASSWORD, at=NOON,
        )  # fmt: skip
    return Bench(engine, mill, season, ann, ann)


def write(bench, day, number, measure, typed, at=None):
    """Enter one result within its shift, unless it is said when."""
    with writing(bench.engine) as connection:
        failures = book.record_sheet(
            connection, season=bench.season, day=day, number=number, by=bench.ann,
            at=at or bench.mill.clock.shift_bounds(day, number)[0],
            cells=[book.Typed(measure, typed, late_reason="typed later")],
        )  # fmt: skip
    assert failures == {}


def books(bench):
    with reading(bench.engine) as connection:
        table = shift_table(connection, bench.mill, bench.season)
        return SeasonBooks(table, mills.convention_rows(connection, bench.mill))


def figure(books, period, name):
    books.need([name])
    return float(books.over(period).values[name][0])


@pytest.mark.both_engines
@pytest.mark.parametrize(("day", "zone", "hours", "each"), LONG_AND_SHORT)
def test_a_rate_is_of_the_hours_that_a_day_really_has(engine, day, zone, hours, each):
    """A-51, F-23, M9: 100 t an hour on every shift is 100 t an hour over the day."""
    day = date.fromisoformat(day)
    bench = new_mill(engine, zone, day - timedelta(days=1))
    for number, long in enumerate(each, 1):
        write(bench, day, number, "cane", f"{100 * long}")
    with reading(engine) as connection:
        stored = connection.execute(select(tables.shift).order_by(tables.shift.c.number)).all()
    assert [(s.ends_at - s.begins_at) / timedelta(hours=1) for s in stored] == list(each)
    assert {s.zone for s in stored} == {zone}
    kept = books(bench)
    assert figure(kept, kept.day(day), "gross_hours") == hours
    assert figure(kept, kept.day(day), "cane") == 100 * hours
    for period in (kept.day(day), *(kept.shift(day, number) for number in (1, 2, 3))):
        assert figure(kept, period, "throughput") == pytest.approx(100, rel=1e-12)


CHICAGO = ZoneInfo("America/Chicago")


@pytest.mark.parametrize(
    ("sampled", "day", "number"),
    [
        ("2026-06-04 00:00", "2026-06-03", 3),
        ("2026-06-04 05:59", "2026-06-03", 3),
        ("2026-06-04 06:00", "2026-06-04", 1),
        ("2026-06-04 23:59", "2026-06-04", 3),
        ("2026-06-05 02:00", "2026-06-04", 3),
    ],
)
def test_a_sample_of_the_night_belongs_to_the_day_that_began_before(bench, sampled, day, number):
    """A-55: exports give the factory day and the instant, whose date is another."""
    at = datetime.fromisoformat(sampled).replace(tzinfo=CHICAGO).astimezone(UTC)
    assert bench.mill.clock.shift_at(at) == (date.fromisoformat(day), number)
    write(bench, date.fromisoformat(day), number, "cane", "1250", at=at)
    kept = books(bench)
    with reading(bench.engine) as connection:
        entries = entries_of(connection, bench.season, date(2026, 6, 1), date(2026, 6, 9))
    text = period_csv(kept, kept.day(date.fromisoformat(day)), "days", entries)
    (row,) = [line for line in text.splitlines() if line.startswith("entry,")]
    assert f",{day},{number},1,1,,cane," in row
    assert f",{at.isoformat()}," in row
    local = at.astimezone(CHICAGO)
    assert f"{local:%Y-%m-%d %H:%M}" == sampled


def test_a_leap_day_and_a_season_over_new_year_have_all_their_days(engine):
    """F-25: right days, right totals, by week and month."""
    first, last = date(2027, 12, 20), date(2028, 3, 5)
    bench = new_mill(engine, "America/Chicago", first, last)
    days = [first + timedelta(days=n) for n in range((last - first).days + 1)]
    assert date(2028, 2, 29) in days
    for day in days:
        for number, typed in ((1, "400"), (2, "300"), (3, "300")):
            write(bench, day, number, "cane", typed)
    kept = books(bench)
    assert sorted(set(kept.days)) == days
    assert len(days) == 77
    assert figure(kept, kept.to(last), "cane") == 77_000
    leap = date(2028, 2, 29)
    assert figure(kept, kept.day(leap), "cane") == 1000
    february = kept.between(date(2028, 2, 1), date(2028, 2, 29))
    assert figure(kept, february, "cane") == 29_000
    over = kept.between(date(2027, 12, 27), date(2028, 1, 2))
    assert figure(kept, over, "cane") == 7000


class Stepping:
    """A clock that a test sets, and steady seconds beside it."""

    now, steady = NOON, 0.0

    def __call__(self):
        return self.now


@pytest.fixture
def clock(monkeypatch):
    clock = Stepping()
    monkeypatch.setattr(watch, "_steady", lambda: clock.steady)
    return clock


STEPS = {
    "three hours back": timedelta(hours=-3),
    "two days forward": timedelta(days=2),
    "to 1970": datetime(1970, 1, 1, 0, 5, tzinfo=UTC) - NOON,
}


@pytest.mark.both_engines
@pytest.mark.parametrize("step", STEPS)
def test_a_clock_that_steps_neither_stops_work_nor_changes_the_order(bench, clock, step):
    """F-22, F-24, A-54: entries go on, numbers give the order, a notice says that it stepped."""
    kept = Watch(bench.engine, clock)
    first = bench.write("cane", "1250", at=clock.now)
    kept.look_around()
    clock.now += STEPS[step]
    kept.look_around()
    told = kept.notices("chemist")
    assert len(told) == 1
    assert told[0].startswith("The clock was changed by")
    late = {"late_reason": "the clock stepped", "at": clock.now}
    second = bench.write("cane", "1205", based_on=first.id, reason="swapped", **late)
    bench.write("lime", "1", **late)
    with writing(bench.engine) as connection:
        signing.sign_shift(
            connection, bench.season, bench.day, 1, blank=(), remarks={}, by=bench.ann,
            at=clock.now,
        )  # fmt: skip
    assert [entry.id for entry in bench.trail("cane")] == [first.id, second.id]
    assert bench.trail("cane")[-1].typed == "1205"
    with reading(bench.engine) as connection:
        events = connection.execute(select(tables.event).order_by(tables.event.c.number)).all()
    assert [event.number for event in events] == list(range(1, len(events) + 1))
    assert [event.at for event in events][-1] == clock.now
    assert bench.read(soundness.faults) == []
    assert bench.read(chain.head).number == len(events)


def test_a_clock_at_1970_is_told_of_at_the_start(bench, clock):
    """F-24: the battery of the clock is empty, and the ledger starts."""
    bench.write("cane", "1250")
    clock.now = datetime(1970, 1, 1, 0, 5, tzinfo=UTC)
    assert any("behind the last event" in told for told in Watch(bench.engine, clock).notices(""))


def test_two_shifts_never_share_an_instant_in_the_night_that_is_longer():
    """A-52: what the clock says twice belongs to one shift, for shifts are bounded by instants."""
    clock = Clock("America/Chicago", datetime(2026, 1, 1, 6).time(), 3)  # noqa: DTZ001
    twice = [datetime(2026, 11, 1, hour, 30, tzinfo=UTC) for hour in (6, 7)]
    assert {f"{clock.local(at):%H:%M}" for at in twice} == {"01:30"}
    assert [clock.shift_at(at) for at in twice] == [(date(2026, 10, 31), 3)] * 2
    begins, ends = clock.shift_bounds(date(2026, 10, 31), 3)
    assert (ends - begins) == timedelta(hours=9)
    assert all(begins <= at < ends for at in twice)


TWICE = "2026-11-01 01:30-05:00 or 2026-11-01 01:30-06:00"  # clocks go back from two to one


@pytest.mark.parametrize(
    ("typed", "at"),
    [
        ("01:30", None),
        ("2026-11-01 01:30", None),
        ("01:30-05:00", datetime(2026, 11, 1, 6, 30, tzinfo=UTC)),
        ("2026-11-01 01:30 -06:00", datetime(2026, 11, 1, 7, 30, tzinfo=UTC)),
        ("07:30Z", datetime(2026, 11, 1, 7, 30, tzinfo=UTC)),
        ("00:59", datetime(2026, 11, 1, 5, 59, tzinfo=UTC)),
        ("02:00", datetime(2026, 11, 1, 8, 0, tzinfo=UTC)),
    ],
)
def test_a_time_that_comes_twice_says_which_it_is(typed, at):
    """By IANA's zones: Chicago's clocks read 01:30 twice on 2026-11-01."""
    day = date(2026, 10, 31)
    span = Span("America/Chicago", *Clock("America/Chicago", time(6), 3).shift_bounds(day, 3))
    field = time_field("at", "At")
    if at is None:
        with pytest.raises(Unfit, match=f"Clocks change at that time: write {TWICE}") as why:
            moment(field, typed, span)
        assert why.value.kept == datetime(2026, 11, 1, 6, 30, tzinfo=UTC)
    else:
        assert moment(field, typed, span) == at


def test_a_time_that_comes_twice_may_be_of_one_shift_alone():
    """A shift that ends between the two has the first of them."""
    ends = datetime(2026, 11, 1, 7, 0, tzinfo=UTC)
    span = Span("America/Chicago", ends - timedelta(hours=8), ends)
    assert moment(time_field("at", "At"), "01:30", span) == ends - timedelta(minutes=30)


@pytest.mark.parametrize("typed", ["02:30", "2026-03-08 02:59"])
def test_a_time_that_the_clock_skips_is_none(typed):
    """By IANA's zones: Chicago's clocks go from 02:00 to 03:00 on 2026-03-08."""
    span = Span("America/Chicago", *Clock("America/Chicago", time(6), 3).shift_bounds(
        date(2026, 3, 7), 3))  # fmt: skip
    with pytest.raises(Unfit, match="Clocks are put forward on that day: there is no 02:"):
        moment(time_field("at", "At"), typed, span)
    stop = {"begins": "02:30", "ends": "03:30", "cause": "no_cane", "crushing": "stopped"}
    values, wrong = read_record(BOOKS["stops"], stop, span)
    assert set(wrong) == {"begins"}
    assert values["begins"] == values["ends"]  # as it was read where it was kept of old
    assert moment(time_field("at", "At"), "02:30-06:00", span) == values["ends"]


@pytest.mark.parametrize("typed", ["9999-12-31 23:00", "9999-12-31 24:00", "0001-01-01 00:30"])
@pytest.mark.parametrize("zone", ["America/Chicago", "Asia/Kolkata"])
def test_a_time_at_either_end_of_the_calendar_is_refused(typed, zone):
    field = time_field("at", "At", earlier=True)
    with pytest.raises(Unfit):
        moment(field, typed, Span(zone, NOON, NOON + timedelta(hours=8)))


def test_what_began_before_its_shift_began_within_thirty_days_of_it():
    field = time_field("at", "At", earlier=True)
    begins = datetime(2026, 6, 3, 6, tzinfo=UTC)
    span = Span("UTC", begins, begins + timedelta(hours=8))
    assert moment(field, "2026-05-04 06:00", span) == begins - timedelta(days=30)
    for early in ("2026-05-04 05:59", "1926-06-01 07:00"):
        with pytest.raises(Unfit, match="It lies more than 30 days before this shift") as why:
            moment(field, early, span)
        assert why.value.kept == datetime.fromisoformat(early).replace(tzinfo=UTC)


def test_no_clock_is_a_day_from_utc():
    span = Span("America/Chicago", NOON, NOON + timedelta(hours=8))
    with pytest.raises(Unfit, match="No clock is so far from UTC"):
        moment(time_field("at", "At"), "12:30+23:00", span)


def test_a_record_kept_before_that_was_asked_is_read_as_it_was():
    span = Span("America/Chicago", *(datetime(2026, 11, 1, h, tzinfo=UTC) for h in (3, 12)))
    stop = {"begins": "01:30", "ends": "02:30", "cause": "no_cane", "crushing": "stopped"}
    values, wrong = read_record(BOOKS["stops"], stop, span)
    assert values["begins"] == datetime(2026, 11, 1, 6, 30, tzinfo=UTC)
    assert set(wrong) == {"begins"}
