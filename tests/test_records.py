"""Records of the other books: written, corrected, taken out, and what they give."""

from datetime import timedelta

import pytest
from sqlalchemy import event

from app.database import reading, writing
from app.exports.following import values_of
from app.ledger import people, signing, soundness
from app.ledger.book import Closed
from app.ledger.booked import differences
from app.ledger.recording import Draft, Faulty, Stale, write_records
from app.ledger.records import records_of, trail_of
from app.ledger.shifts import shift_table
from app.ledger.signed import signed_shift
from app.ledger.signing import Gaps
from app.plant.books import BOOKS
from tests.bench import NOON, PASSWORD

pytestmark = pytest.mark.both_engines

STOP = {"begins": "07:00", "ends": "07:45", "cause": "mechanical_stop", "crushing": "stopped"}


def write(bench, typed, *, at=NOON, by=None, number=1, **more):
    with writing(bench.engine) as connection:
        draft = Draft("stops", bench.day, number, typed, **more)
        return write_records(connection, bench.season, [draft], by=by or bench.ann, at=at)[0]


def hours(bench, measure="mechanical_stop_hours"):
    with reading(bench.engine) as connection:
        return shift_table(connection, bench.mill, bench.season).measures[measure].tolist()


def test_the_stops_of_a_shift_make_its_hours_of_each_cause(bench):
    write(bench, STOP)
    write(bench, STOP | {"begins": "0900", "ends": "9.30"})
    write(bench, STOP | {"begins": "10:00", "ends": "10:30", "cause": "process_stop"})
    assert hours(bench)[0] == 1.25
    assert hours(bench, "process_stop_hours")[0] == 0.5


def test_a_stop_that_did_not_stop_crushing_is_no_time_lost(bench):
    write(bench, STOP | {"crushing": "slowed"})
    assert hours(bench)[0] != hours(bench)[0]


def test_a_sum_of_which_a_record_lacks_is_no_number(bench):
    write(bench, STOP)
    key = write(bench, STOP | {"begins": "08:00", "ends": ""})
    assert hours(bench)[0] != hours(bench)[0]
    write(bench, STOP | {"begins": "08:00", "ends": "08:30"}, based_on=key)
    assert hours(bench)[0] == 1.25


def test_a_blank_is_filled_without_a_reason_and_what_was_said_is_changed_with_one(bench):
    key = write(bench, STOP | {"ends": ""})
    key = write(bench, STOP, based_on=key)
    with pytest.raises(Faulty) as faulty:
        write(bench, STOP | {"ends": "07:50"}, based_on=key)
    assert faulty.value.wrong == {"reason": "Say why it is corrected"}
    write(bench, STOP | {"ends": "07:50"}, based_on=key, reason="clock read wrongly")
    with reading(bench.engine) as connection:
        (stands,) = records_of(connection, bench.season, bench.day, bench.day, BOOKS["stops"])
        versions = trail_of(connection, stands)
    assert [v.fields.get("ends") for v in versions] == [None, "07:45", "07:50"]
    assert [v.reason for v in versions] == [None, None, "clock read wrongly"]


def test_a_record_taken_out_stays_to_be_seen_and_gives_nothing(bench):
    key = write(bench, STOP)
    write(bench, {}, based_on=key, void=True, reason="of the shift before")
    assert hours(bench)[0] != hours(bench)[0]
    with reading(bench.engine) as connection:
        (record,) = records_of(connection, bench.season, bench.day, bench.day)
        assert record.state == "void"
        assert record.fields == STOP


def test_what_somebody_else_corrected_meanwhile_is_not_written_over(bench):
    key = write(bench, STOP | {"ends": ""})
    write(bench, STOP, based_on=key)
    with pytest.raises(Stale, match="Ann"):
        write(bench, STOP | {"ends": "07:20"}, based_on=key, reason="why")


def test_what_is_wrong_is_said_of_its_field_and_nothing_is_written(bench):
    with pytest.raises(Faulty) as faulty:
        write(bench, {"begins": "23:00", "ends": "soon", "cause": "rain", "crushing": ""})
    assert set(faulty.value.wrong) == {"begins", "ends", "cause", "crushing"}
    assert faulty.value.wrong["begins"] == "It lies outside this shift, 06:00 to 14:00"
    with reading(bench.engine) as connection:
        assert not records_of(connection, bench.season, bench.day, bench.day)


def test_a_record_that_comes_long_after_its_shift_says_why(bench):
    late = NOON + timedelta(days=1)
    with pytest.raises(Faulty) as faulty:
        write(bench, STOP, at=late)
    assert set(faulty.value.wrong) == {"late_reason"}
    write(bench, STOP, at=late, late_reason="the book lay at the mill")
    with reading(bench.engine) as connection:
        (record,) = records_of(connection, bench.season, bench.day, bench.day)
    assert (record.late, record.reason) == (True, "the book lay at the mill")


def test_a_result_typed_on_the_sheet_stands_over_what_a_book_gives(bench):
    write(bench, STOP)
    bench.write("mechanical_stop_hours", "2")
    assert hours(bench)[0] == 2


def test_the_reading_side_says_what_the_records_say(bench):
    write(bench, STOP)
    with reading(bench.engine) as connection:
        assert not differences(connection, [bench.season])
        assert not soundness.faults(connection)
    with writing(bench.engine) as connection:
        connection.exec_driver_sql("UPDATE booked SET value = 7")
    with reading(bench.engine) as connection:
        assert [str(fault) for fault in soundness.faults(connection)] == [
            "What pages read of the book stops on shift 1 is not what its records give"
        ]


def test_a_shift_is_not_signed_while_a_record_lacks_what_a_sum_needs(bench):
    key = write(bench, STOP | {"ends": ""})
    later = NOON + timedelta(hours=3)
    with writing(bench.engine) as connection, pytest.raises(Gaps) as gaps:
        sign(connection, bench, later)
    assert [record.id for record in gaps.value.unfinished] == [key]
    write(bench, STOP, based_on=key)
    with writing(bench.engine) as connection:
        assert sign(connection, bench, later)
    with reading(bench.engine) as connection:
        assert not soundness.faults(connection)


def test_after_signing_a_record_is_corrected_by_the_chief_chemist_alone(bench):
    key = write(bench, STOP)
    with writing(bench.engine) as connection:
        sign(connection, bench, NOON)
    with pytest.raises(Closed):
        write(bench, STOP | {"ends": "08:00"}, based_on=key, reason="why")
    with reading(bench.engine) as connection:
        assert signed_shift(connection, bench.season, bench.day, 1).whole
    with writing(bench.engine) as connection:
        chief = people.add_person(
            connection, username="cora", printed_name="Cora Chief", role="chief chemist",
            password=PASSWORD, at=NOON,
        )  # fmt: skip
    write(bench, STOP | {"ends": "08:00"}, based_on=key, reason="the log says so", by=chief)
    with reading(bench.engine) as connection:
        assert signed_shift(connection, bench.season, bench.day, 1).since == 1
        assert not soundness.faults(connection)


def sign(connection, bench, at):
    return signing.sign_shift(
        connection, bench.season, bench.day, 1, blank=(), remarks={}, by=bench.ann, at=at
    )


def test_records_of_many_shifts_are_read_in_as_many_questions_as_those_of_one(bench):
    asked = []
    event.listen(bench.engine, "before_cursor_execute", lambda *said: asked.append(said))
    counts = []
    for number in (1, 2, 3):
        at = f"{8 * number - 1:02d}:00"
        strike = {"strike": f"C{number}", "grade": "c", "pan": "P1", "dropped": at}
        filling = {"strike": f"C{number}", "crystallizer": "K1", "emptied": at}
        drafts = [
            Draft(book, bench.day, number, typed, late_reason="typed later")
            for book, typed in (("strikes", strike), ("crystallizers", filling))
        ]
        with writing(bench.engine) as connection:
            at = NOON + timedelta(hours=20)
            write_records(connection, bench.season, drafts, by=bench.ann, at=at)
        asked.clear()
        with reading(bench.engine) as connection:
            found = values_of(
                connection, bench.mill, bench.season, BOOKS["crystallizers"], bench.day, bench.day
            )
        assert [said["grade"] for _record, said in found] == ["c"] * number
        counts.append(len(asked))
    assert len(set(counts)) == 1
