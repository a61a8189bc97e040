"""What a book refuses of a record for what stands in it already, and for what is yet to come."""

from datetime import timedelta

import pytest

from app.database import writing
from app.exports.following import values_of
from app.ledger.recording import Draft, Faulty, write_records
from app.ledger.records import records_of
from app.plant.books import BOOKS
from app.reports.marks import marks_of
from app.reports.sugar_lots import dispatch_report
from tests.bench import NOON
from tests.importing import FIRST, bring_in, check, reasons

STRIKE = {"strike": "A1", "grade": "a", "pan": "P1", "boiled": "batch", "started": "07:00",
          "dropped": "10:00", "volume": "60"}  # fmt: skip
ROUND = {"at": "08:00", "effect": "2", "brix": "30"}
LOAD = {"ticket": "7", "left": "09:00", "lot": "L1", "customer": "K1", "seal": "S-1"}


def write(bench, book, *typed, number=1, at=None, **more):
    drafts = [Draft(book, bench.day, number, each, **more) for each in typed]
    at = at or bench.end_of(number=number)
    with writing(bench.engine) as connection:
        return write_records(connection, bench.season, drafts, by=bench.ann, at=at)[-1]


def refused(bench, book, *typed, **more):
    with pytest.raises(Faulty) as faulty:
        write(bench, book, *typed, **more)
    return faulty.value.wrong


def test_what_is_yet_to_come_is_refused_beside_its_time(bench):
    """At noon nothing was dropped at 13:30; a clock that is 3 minutes fast may say so."""
    dropped = STRIKE | {"dropped": "13:30"}
    assert refused(bench, "strikes", dropped, at=NOON) == {
        "dropped": "It is 12:00 now: write it once it has happened"
    }
    stop = {"begins": "13:00", "ends": "13:30", "cause": "no_cane", "crushing": "stopped"}
    assert set(refused(bench, "stops", stop, at=NOON)) == {"begins", "ends"}
    started = STRIKE | {"started": "13:00", "dropped": ""}
    assert "write the date before" in refused(bench, "strikes", started, at=NOON)["started"]
    key = write(bench, "stops", stop | {"begins": "11:00", "ends": "12:03"}, at=NOON)
    later = stop | {"begins": "11:00", "ends": "12:20"}
    correction = {"based_on": key, "reason": "it lasts"}
    assert set(refused(bench, "stops", later, at=NOON, **correction)) == {"ends"}
    write(bench, "stops", later, at=NOON + timedelta(minutes=20), **correction)


@pytest.mark.both_engines
@pytest.mark.parametrize("at_once", [True, False])
def test_two_strikes_are_not_in_one_pan_at_the_same_time(bench, at_once):
    other = STRIKE | {"strike": "A2", "pan": "p1", "started": "09:30", "dropped": "12:00"}
    if at_once:
        wrong = refused(bench, "strikes", STRIKE, other)
    else:
        write(bench, "strikes", STRIKE)
        wrong = refused(bench, "strikes", other)
    assert wrong == {
        "pan": "Strike A1 was in pan p1 from 07:00 to 10:00, shift 1 of 2026-06-03"
    }  # fmt: skip


def test_strikes_follow_each_other_in_a_pan_and_stand_beside_each_other_in_two(bench):
    key = write(bench, "strikes", STRIKE)
    write(bench, "strikes", STRIKE | {"strike": "A2", "pan": "P2"})
    write(bench, "strikes", STRIKE | {"strike": "A3", "started": "10:00", "dropped": "13:00"})
    moved = STRIKE | {"dropped": "11:00"}
    wrong = refused(bench, "strikes", moved, based_on=key, reason="misread")
    assert wrong["pan"].startswith("Strike A3 was in pan P1 from 10:00 to 13:00")
    next_shift = STRIKE | {"strike": "A4", "started": "12:30", "dropped": "15:00"}
    assert "Strike A3" in refused(bench, "strikes", next_shift, number=2)["pan"]
    write(bench, "strikes", STRIKE | {"strike": "A5", "boiled": "continuous"})


def test_two_strikes_were_not_dropped_from_one_pan_at_once(bench):
    dropped = {"strike": "A1", "grade": "a", "pan": "P1", "dropped": "10:00"}
    write(bench, "strikes", dropped)
    assert refused(bench, "strikes", dropped | {"strike": "A2"}) == {
        "pan": "Strike A1 was dropped from pan P1 at 10:00, shift 1 of 2026-06-03"
    }


def test_what_stood_beside_another_of_old_is_still_completed(bench, monkeypatch):
    """Written before the rule was: what it lacks is filled in, and nothing else need be mended."""
    other = STRIKE | {"strike": "A2"}
    with monkeypatch.context() as of_old:
        of_old.setattr("app.ledger.beside.Beside.wrong", lambda *_said: {})
        key = write(bench, "strikes", STRIKE, other)
    write(bench, "strikes", other | {"brix": "92"}, based_on=key)


@pytest.mark.both_engines
def test_an_effect_is_read_once_at_a_time_however_the_time_is_typed(bench):
    write(bench, "evaporator", ROUND)
    assert refused(bench, "evaporator", ROUND | {"at": "8h00", "brix": "31"}) == {
        "effect": "Effect 2 is written at 08:00 already: correct that line"
    }
    write(bench, "evaporator", ROUND | {"effect": "3"}, ROUND | {"at": "9"})


@pytest.mark.both_engines
def test_a_seal_is_on_one_load_of_the_season(bench):
    key = write(bench, "dispatch", LOAD)
    assert refused(bench, "dispatch", LOAD | {"ticket": "8", "left": "15:00", "seal": "s-1"},
                   number=2) == {
        "seal": "Seal s-1 is on the load of ticket 7 already, shift 1 of 2026-06-03"
    }  # fmt: skip
    write(bench, "dispatch", {}, based_on=key, void=True, reason="not sent")
    write(bench, "dispatch", LOAD | {"ticket": "8"})


def test_a_load_of_a_lot_that_nobody_bagged_is_marked_and_kept(bench):
    write(bench, "bagging", {"lot": "L1", "ended": "08:00", "bulk": "60"})
    write(bench, "dispatch", LOAD, LOAD | {"ticket": "8", "seal": "S-2", "lot": "L9"})
    book = BOOKS["dispatch"]
    valued = bench.read(values_of, bench.mill, bench.season, book, bench.day, bench.day)
    said = [values for _record, values in valued]
    assert marks_of(book, said, "UTC") == {1: "no lot L9 in the book of bagging of this season"}
    lots = dispatch_report(said).lots
    assert [(lot.title, lot.never_bagged) for lot in lots] == [("L1", False), ("L9", True)]


def test_a_table_in_which_two_strikes_share_a_pan_is_not_brought_in(bench):
    head = "day,shift,Strike,Grade,Pan,Started,Dropped\n"
    first = f"{head}2026-06-01,1,A1,A,P1,07:00,10:00\n"
    faults = reasons(check(bench, f"{first}2026-06-01,1,A2,A,P1,09:00,12:00\n", target="strikes"))
    assert list(faults.values()) == [
        "Strike A1 was in pan P1 from 07:00 to 10:00, shift 1 of 2026-06-01"
    ]
    assert bring_in(bench, first, target="strikes").count == 1
    assert bring_in(bench, first, target="strikes").already == 1
    assert len(bench.read(records_of, bench.season, FIRST, FIRST)) == 1
