"""What instruments send: which shift and sample it belongs to, tests of one sample, records."""

import json
from datetime import UTC, date, datetime, timedelta

import pytest

from app.database import reading, writing
from app.ledger import instruments, signing
from app.ledger.incoming_records import take_records
from app.ledger.incoming_results import take_results
from app.ledger.recording import Draft, write_records
from app.ledger.records import records_of
from app.ledger.sent import (
    CONFLICT,
    FORBIDDEN,
    NOWHERE,
    UNFIT,
    NotTaken,
    SentRecord,
    SentResult,
    read_json,
)
from app.ledger.shifts import shift_table
from tests.archives import take
from tests.bench import NOON

pytestmark = pytest.mark.both_engines

STOP = {"begins": "07:00", "ends": "07:45", "cause": "mechanical_stop", "crushing": "stopped"}
PH = {"measure": "clear_juice_ph", "typed": "7.1"}
MAY = ("clear_juice_ph", "cane", "mixed_juice_brix", "mixed_juice", "sugar_colour")


@pytest.fixture
def historian(bench):
    with writing(bench.engine) as connection:
        return instruments.add_instrument(
            connection, name="Historian", measures=MAY, books=["stops"], by=bench.ann, at=NOON
        )[0]


@pytest.fixture
def send(bench, historian):
    def send(*sent, at=NOON, by=historian, book=False):
        body = json.dumps(sent[0] if len(sent) == 1 else sent).encode()
        take, kind = (take_records, SentRecord) if book else (take_results, SentResult)
        with writing(bench.engine) as connection:
            return take(connection, by, read_json(body, kind), at)

    return send


def refused(send, *sent, **more):
    with pytest.raises(NotTaken) as why:
        send(*sent, **more)
    return why.value.kind, " ".join(why.value.said())


def stop(**changed):
    place = {"day": "2026-06-03", "shift": 1, "book": "stops"}
    place |= {name: changed.pop(name) for name in (*place, "at") if name in changed}
    return {name: value for name, value in place.items() if value is not None} | {
        "fields": STOP | changed
    }


@pytest.mark.parametrize(
    ("at", "sample"),
    [
        ("2026-06-03T06:00:00-05:00", 1),
        ("2026-06-03T08:00:00-05:00", 2),
        ("2026-06-03T09:59:59-05:00", 2),
        ("2026-06-03T15:30:00Z", 3),
        ("2026-06-03T10:30", 3),  # by the mill’s own clock, five hours behind UTC in June
    ],
)
def test_a_result_belongs_to_the_last_sample_that_was_due(bench, send, at, sample):
    take(bench, "clear_juice_ph", every=2)
    (written,) = send(PH | {"at": at})
    assert written[:4] == (date(2026, 6, 3), 1, "clear_juice_ph", sample)
    (entry,) = bench.trail("clear_juice_ph")
    begins = bench.mill.clock.shift_bounds(bench.day, 1)[0]
    assert entry.observed_at == begins + timedelta(hours=2 * (sample - 1))


def test_a_moment_before_midnight_is_of_the_night_shift_of_its_factory_day(send):
    (written,) = send({"measure": "cane", "typed": "1800", "at": "2026-06-03T02:00-05:00"})
    assert written[:2] == (date(2026, 6, 2), 3)


def test_a_moment_of_what_is_taken_once_a_day_is_of_that_day_s_last_shift(bench, send):
    take(bench, "sugar_colour", date(2026, 6, 1), grain="day")
    colour = {"measure": "sugar_colour", "typed": "900", "at": "2026-06-02T09:00-05:00"}
    (written,) = send(colour)
    assert written[:2] == (date(2026, 6, 2), 3)
    (again,) = send(colour | {"day": "2026-06-02", "shift": 3})
    assert again == written
    kind, words = refused(send, colour | {"at": "2026-06-03T09:00-05:00"})
    assert (kind, words) == (NOWHERE, "shift 3 of 2026-06-03 has not begun")


def test_a_named_sample_is_that_sample_and_a_sample_by_the_hour_says_which(bench, send):
    take(bench, "clear_juice_ph", every=2)
    shift = {"day": "2026-06-03", "shift": 1}
    assert send(PH | shift | {"sample": 4})[0].sample == 4
    assert refused(send, PH | shift)[1].startswith("sample: clear_juice_ph is sampled several")
    kind, words = refused(send, PH | shift | {"sample": 5})
    assert (kind, words) == (UNFIT, "sample: this shift has samples 1 to 4 of it")
    cane = {"measure": "cane", "typed": "1", "sample": 2}
    assert "has samples 1 to 1" in refused(send, cane | shift)[1]


@pytest.mark.parametrize(
    ("at", "kind", "words"),
    [
        ("2026-06-03T13:00-05:00", UNFIT, "at: it lies ahead of the ledger’s clock"),
        ("2026-05-20T13:00-05:00", NOWHERE, "2026-05-20 is in no season of this mill"),
        ("0002-01-01T00:00Z", NOWHERE, "no season of this mill"),
    ],
)
def test_a_moment_that_no_shift_holds_is_refused(send, at, kind, words):
    found = refused(send, PH | {"at": at})
    assert found[0] == kind
    assert words in found[1]


def test_a_sender_s_clock_may_be_a_little_ahead(send):
    assert send(PH | {"at": "2026-06-03T12:04-05:00"})[0].shift == 1


def test_an_hour_that_comes_twice_needs_its_offset(send):
    at = datetime(2026, 11, 2, 12, tzinfo=UTC)
    twice = PH | {"at": "2026-11-01T01:30"}
    assert "write its offset from UTC" in refused(send, twice, at=at)[1]
    assert send(twice | {"at": "2026-11-01T01:30-06:00"}, at=at)[0].day == date(2026, 10, 31)


def test_a_moment_and_a_shift_that_differ_are_refused(send):
    sent = PH | {"at": "2026-06-03T07:00-05:00", "day": "2026-06-03", "shift": 2}
    assert refused(send, sent) == (UNFIT, "at: it lies in shift 1 of 2026-06-03")


def test_tests_of_one_sample_make_its_mean_and_are_numbered_in_their_order(bench, send):
    brix = {"day": "2026-06-03", "shift": 1, "measure": "mixed_juice_brix"}
    second = brix | {"typed": "14.10", "determination": 2}
    assert refused(send, second) == (UNFIT, "determination: test 1 of this sample comes first")
    first, also = send(brix | {"typed": "14.00"}, second)
    assert (first.determination, also.determination) == (1, 2)
    assert send(second) == [also]
    with reading(bench.engine) as connection:
        table = shift_table(connection, bench.mill, bench.season)
    assert table.measures["mixed_juice_brix"][0] == pytest.approx(14.05, abs=1e-12)


def test_an_instrument_may_add_a_test_to_what_a_person_typed(bench, send):
    bench.write("mixed_juice_brix", "14.00")
    sent = {"day": "2026-06-03", "shift": 1, "measure": "mixed_juice_brix", "typed": "14.10"}
    assert refused(send, sent)[0] == CONFLICT
    assert send(sent | {"determination": 2})[0].determination == 2


def test_all_that_is_wrong_in_several_shifts_is_said_at_once(bench, send):
    cane = {"measure": "cane", "day": "2026-06-03", "shift": 1}
    bench.write("cane", "1500")
    kind, words = refused(
        send,
        cane | {"typed": "1800"},
        cane | {"typed": "1810", "day": "2026-06-02"},
        cane | {"typed": "much", "day": "2026-06-02", "shift": 2},
    )
    assert kind == CONFLICT
    assert "item 1, cane: Ann Field has meanwhile written 1500 here" in words
    assert "item 3, cane: Write a number" in words
    assert "item 2" not in words
    with reading(bench.engine) as connection:
        assert len(shift_table(connection, bench.mill, bench.season).shifts) == 1


def test_a_record_is_written_once_and_gives_its_hours(bench, send):
    (first,) = send(stop(), book=True)
    assert send(stop(), book=True) == [first]
    assert send(stop(day=None, shift=None, at="2026-06-03T07:45-05:00"), book=True) == [first]
    with reading(bench.engine) as connection:
        (record,) = records_of(connection, bench.season, bench.day, bench.day)
        table = shift_table(connection, bench.mill, bench.season)
    assert (record.instrument, record.recorded_name, record.late) == ("Historian",) * 2 + (False,)
    assert table.measures["mechanical_stop_hours"].tolist() == [0.75]


def test_a_record_sent_before_is_answered_as_then_though_it_was_corrected(bench, send):
    (first,) = send(stop(), book=True)
    with writing(bench.engine) as connection:
        draft = Draft(
            "stops", bench.day, 1, STOP | {"ends": "07:50"}, based_on=first.record, reason="log"
        )
        write_records(connection, bench.season, [draft], by=bench.ann, at=NOON)
    assert send(stop(), book=True) == [first]


def test_a_record_that_comes_late_says_that_an_instrument_sent_it(bench, send):
    send(stop(begins="2026-06-02 07:00", ends="2026-06-02 07:10", day="2026-06-02"), book=True)
    with reading(bench.engine) as connection:
        (record,) = records_of(connection, bench.season, date(2026, 6, 2), bench.day)
    assert (record.late, record.reason) == (True, "sent by an instrument")


@pytest.mark.parametrize(
    ("sent", "kind", "words"),
    [
        (stop(cause="bad luck"), UNFIT, "fields.cause: Choose one of"),
        (stop(begins="15:00"), UNFIT, "fields.begins: It lies outside this shift"),
        (stop(cause=""), UNFIT, "fields.cause: Cause is needed"),
        (stop(colour="red"), UNFIT, "fields.colour: the book stops has no such field"),
        (stop(book="novels"), UNFIT, "book: there is no book called novels"),
        (stop(shift=2), NOWHERE, "shift 2 of 2026-06-03 has not begun"),
        (stop(what="\u202eabc"), UNFIT, "fields.what: There is a sign in it"),
    ],
)
def test_what_is_no_record_is_refused(bench, send, sent, kind, words):
    found = refused(send, stop(begins="09:00", ends="09:10"), sent, book=True)
    assert found[0] == kind
    assert f"item 2, {words}" in found[1] or f"item 2: {words}" in found[1]
    with reading(bench.engine) as connection:
        assert records_of(connection, bench.season, bench.day, bench.day) == []


def test_the_same_record_twice_in_one_sending_is_refused(send):
    assert refused(send, stop(), stop(), book=True) == (UNFIT, "item 2: it is there twice")


def test_an_instrument_writes_in_its_own_books_alone(bench, send):
    with writing(bench.engine) as connection:
        scale, _token = instruments.add_instrument(
            connection, name="Scale", measures=["cane"], by=bench.ann, at=NOON
        )
    kind, words = refused(send, stop(), by=scale, book=True)
    assert (kind, words) == (FORBIDDEN, "book: this instrument may not write in the book stops")


def test_nothing_is_added_to_a_signed_shift_by_an_instrument(bench, send):
    bench.write("cane", "1800")
    later = NOON + timedelta(hours=3)
    with writing(bench.engine) as connection:
        signing.sign_shift(
            connection, bench.season, bench.day, 1, blank=(), remarks={}, by=bench.ann, at=later
        )
    kind, words = refused(send, stop(), book=True, at=later)
    assert kind == FORBIDDEN
    assert "signed by Ann Field" in words
