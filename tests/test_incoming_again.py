"""What an instrument sends once more: otherwise written, completed, or of a shift long over."""

import json
from datetime import timedelta

import pytest

from app.database import writing
from app.ledger import instruments
from app.ledger.incoming_records import take_records
from app.ledger.incoming_results import take_results
from app.ledger.records import records_of
from app.ledger.sent import (
    CONFLICT,
    FORBIDDEN,
    UNFIT,
    NotTaken,
    SentRecord,
    SentResult,
    read_json,
)
from tests.bench import NOON

pytestmark = pytest.mark.both_engines

BRIX = {"day": "2026-06-03", "shift": 1, "measure": "mixed_juice_brix"}
LOAD = {"ticket": "T-17", "weighed": "07:10", "grower": "12", "gross": "40.2"}


@pytest.fixture
def scale(bench):
    with writing(bench.engine) as connection:
        return instruments.add_instrument(
            connection, name="Scale", measures=["mixed_juice_brix"],
            books=["consignments", "strikes"], by=bench.ann, at=NOON,
        )[0]  # fmt: skip


@pytest.fixture
def send(bench, scale):
    def send(sent, at=NOON, by=scale, **more):
        take, kind = take_results, SentResult
        if "book" in sent:
            take, kind = take_records, SentRecord
        with writing(bench.engine) as connection:
            return take(connection, by, read_json(json.dumps(sent).encode(), kind), at, **more)

    return send


def refused(send, sent, **more):
    with pytest.raises(NotTaken) as why:
        send(sent, **more)
    return why.value.kind, " ".join(why.value.said())


def load(**fields):
    return {"day": "2026-06-03", "shift": 1, "book": "consignments", "fields": fields}


def standing(bench):
    (record,) = bench.read(records_of, bench.season, bench.day, bench.day)
    return record


@pytest.mark.parametrize("again", ["11,87", "11.870", " 11.87"])
def test_a_number_otherwise_written_is_the_same_result(send, again):
    first = send(BRIX | {"typed": "11.87"})
    assert send(BRIX | {"typed": again}) == first


def test_another_number_names_what_the_instrument_itself_has_sent(send):
    send(BRIX | {"typed": "11.87"})
    kind, words = refused(send, BRIX | {"typed": "11.9"})
    assert kind == CONFLICT
    assert words == "mixed_juice_brix: Scale has already sent 11.87 here"


def test_a_load_weighed_empty_later_is_completed_and_says_by_whom(bench, send):
    (first,) = send(load(**LOAD))
    (second,) = send(load(ticket="t-17", tare="12.1"))
    record = standing(bench)
    assert (record.id, record.supersedes_id) == (second.record, first.record)
    assert (record.fields["gross"], record.fields["tare"]) == ("40.2", "12.1")
    assert (record.fields["ticket"], record.completes) == ("T-17", True)
    assert record.reason == "completed by the instrument"
    assert send(load(ticket="T-17", tare="12,1")) == [second]


def test_a_strike_that_an_instrument_began_is_completed_on_its_shift(bench, send):
    begun = {"strike": "A1", "grade": "a", "pan": "P1", "started": "07:00"}
    strike = load(**begun) | {"book": "strikes"}
    send(strike)
    send(strike | {"fields": begun | {"dropped": "11:00", "volume": "60"}})
    record = standing(bench)
    assert (record.fields["dropped"], record.completes) == ("11:00", True)
    ahead = begun | {"strike": "A2", "started": "11:00", "dropped": "13:00"}
    kind, words = refused(send, strike | {"fields": ahead})
    assert (kind, words) == (
        UNFIT, "fields.dropped: It is 12:00 now: write it once it has happened"
    )  # fmt: skip


def test_a_later_record_fills_blanks_and_changes_nothing(bench, send):
    send(load(**LOAD))
    kind, words = refused(send, load(ticket="T-17", gross="41.0", tare="12.1"))
    assert kind == CONFLICT
    assert "Scale wrote T-17 already" in words
    assert "tare" not in standing(bench).fields


def test_what_another_wrote_is_completed_by_no_instrument(bench, send):
    with writing(bench.engine) as connection:
        other = instruments.add_instrument(
            connection, name="Gate", measures=[], books=["consignments"], by=bench.ann, at=NOON
        )[0]
    send(load(**LOAD))
    assert refused(send, load(ticket="T-17", tare="12.1"), by=other)[0] == CONFLICT


def test_a_wrong_clock_fills_no_old_books(bench, send):
    later = NOON + timedelta(days=8)
    for sent in (BRIX | {"typed": "11.87"}, load(**LOAD)):
        kind, words = refused(send, sent, at=later)
        assert kind == FORBIDDEN
        assert "shift 1 of 2026-06-03 was over at 2026-06-03 14:00" in words
        assert "it is 2026-06-11 12:00: an instrument writes for 7 days after" in words
    assert bench.read(records_of, bench.season, bench.day, bench.day) == []
    assert send(BRIX | {"typed": "11.87"}, at=later, back=timedelta(days=30))


def test_what_was_sent_in_time_is_answered_for_ever(send):
    first = send(BRIX | {"typed": "11.87"})
    assert send(BRIX | {"typed": "11.87"}, at=NOON + timedelta(days=40)) == first


def test_all_that_is_wrong_with_several_results_is_told_at_once(send):
    sent = [
        BRIX | {"typed": "11.87", "measure": "nothing"},
        BRIX | {"typed": "unreadable"},
    ]
    with pytest.raises(NotTaken) as why:
        send(sent)
    assert [problem.item for problem in why.value.problems] == [0, 1]
