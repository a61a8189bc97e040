"""Records of what still goes on: written, counted nowhere, signed over, completed on its shift."""

import math

import pytest

from app.database import writing
from app.exports.archive import make_archive
from app.exports.travelling import verify
from app.ledger import signing, soundness
from app.ledger.booked import differences
from app.ledger.going_on import GoingOn
from app.ledger.recording import Draft, Faulty, write_records
from app.ledger.records import records_of
from app.ledger.shifts import shift_table
from app.ledger.signed import signed_shift
from app.plant.books import BOOKS
from tests.archives import unpacked
from tests.importing import bring_in

pytestmark = pytest.mark.both_engines

BEGUN = {"strike": "C1", "grade": "c", "pan": "P7", "started": "09:00"}
DROPPED = BEGUN | {"dropped": "15:10", "volume": "60", "brix": "96", "purity": "57"}


def write(bench, book, typed, number=1, **more):
    with writing(bench.engine) as connection:
        draft = Draft(book, bench.day, number, typed, **more)
        at = bench.end_of(number=number)
        return write_records(connection, bench.season, [draft], by=bench.ann, at=at)[0]


def refused(bench, book, typed, number=1, **more):
    with pytest.raises(Faulty) as faulty:
        write(bench, book, typed, number, **more)
    return faulty.value.wrong


def column(bench, measure):
    return bench.read(shift_table, bench.mill, bench.season).measures[measure].tolist()


def in_the_pan(bench, number):
    going = bench.read(GoingOn, bench.season, BOOKS["strikes"])
    return [record.fields["strike"] for record in going.after(bench.day, number)]


def sign(bench, number):
    with writing(bench.engine) as connection:
        signing.sign_shift(connection, bench.season, bench.day, number, blank=(), remarks={},
                           by=bench.ann, at=bench.end_of(number=number))  # fmt: skip


def test_a_strike_is_open_over_a_signature_and_counts_on_the_shift_that_drops_it(bench, tmp_path):
    begun = write(bench, "strikes", BEGUN)
    assert all(map(math.isnan, column(bench, "c_massecuite_volume")))
    sign(bench, 1)
    assert in_the_pan(bench, 2) == ["C1"]
    dropped = write(bench, "strikes", DROPPED, number=2)
    assert column(bench, "c_massecuite_volume")[-1] == 60
    assert in_the_pan(bench, 2) == []
    assert bench.read(signed_shift, bench.season, bench.day, 1).whole
    going = bench.read(GoingOn, bench.season, BOOKS["strikes"])
    (record,) = going.open
    assert (record.id, going.completed_by(record).id) == (begun, dropped)
    assert going.completes(going.completed_by(record)).id == begun
    sign(bench, 2)
    assert bench.read(differences, [bench.season]) == []
    assert bench.read(soundness.faults) == []
    bench.read(make_archive, "2026", tmp_path / "a.zip")
    verify.check(unpacked(tmp_path / "a.zip"), None)


def test_the_drop_that_is_taken_out_leaves_the_strike_in_its_pan(bench):
    write(bench, "strikes", BEGUN)
    dropped = write(bench, "strikes", DROPPED, number=2)
    write(bench, "strikes", {}, number=2, based_on=dropped, void=True, reason="another pan")
    assert in_the_pan(bench, 2) == ["C1"]
    write(bench, "strikes", DROPPED | {"dropped": "16:00"}, number=2)
    assert in_the_pan(bench, 2) == []


def test_a_strike_dropped_on_its_own_shift_is_completed_without_a_reason(bench):
    key = write(bench, "strikes", BEGUN)
    again = refused(bench, "strikes", BEGUN | {"dropped": "13:00"})
    assert again == {"strike": "C1 is there already, on shift 1 of 2026-06-03"}
    write(bench, "strikes", BEGUN | {"dropped": "13:00", "volume": "50"}, based_on=key)
    assert column(bench, "c_massecuite_volume") == [50]
    (record,) = bench.read(records_of, bench.season, bench.day, bench.day)
    assert record.completes
    twice = refused(bench, "strikes", DROPPED | {"started": "14:10"}, number=2)
    assert set(twice) == {"strike"}


def test_no_other_strike_begins_in_a_pan_that_is_not_dropped(bench):
    write(bench, "strikes", BEGUN)
    other = DROPPED | {"strike": "C2", "started": "14:30", "dropped": "20:00"}
    assert refused(bench, "strikes", other, number=2) == {
        "pan": "Strike C1 is in pan P7 since 09:00, shift 1 of 2026-06-03: say first when it was "
        "dropped"
    }
    write(bench, "strikes", DROPPED | {"dropped": "14:30"}, number=2)
    write(bench, "strikes", other, number=2)


def test_a_strike_says_when_it_began_or_when_it_was_dropped(bench):
    wrong = refused(bench, "strikes", BEGUN | {"started": ""})
    assert wrong == {
        "dropped": "Say when it was dropped; of one still in the pan, when it started"
    }  # fmt: skip
    write(bench, "strikes", BEGUN)
    assert set(refused(bench, "strikes", BEGUN, number=2)) == {"strike"}


def test_a_crystallizer_just_filled_gives_its_results_once_it_is_emptied(bench):
    write(bench, "strikes", BEGUN | {"dropped": "10:00"})
    filled = {"strike": "C1", "crystallizer": "K1", "filled": "10:10"}
    write(bench, "crystallizers", filled)
    emptied = filled | {"emptied": "15:00", "cooled": "42"}
    write(bench, "crystallizers", emptied, number=2)
    assert column(bench, "c_massecuite_cooled_temperature")[-1] == 42
    assert set(refused(bench, "crystallizers", filled, number=2)) == {"crystallizer"}
    assert set(refused(bench, "crystallizers", {"strike": "C1", "crystallizer": "K2"})) == {
        "emptied"
    }


def test_a_table_has_the_strike_as_it_began_and_as_it_was_dropped(bench):
    table = (
        "day,shift,Strike,Grade,Pan,Started,Dropped,Volume\n"
        "2026-06-01,1,C1,C,P7,09:00,,\n"
        "2026-06-01,2,C1,C,P7,09:00,15:10,60\n"
    )
    assert bring_in(bench, table, target="strikes").count == 2
    assert bring_in(bench, table, target="strikes").already == 2
