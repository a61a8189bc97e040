"""A season's history that is brought in from a table: checked whole, then all written or none."""

import csv
import io
from datetime import timedelta

import pytest
from sqlalchemy import func, select

from app.database import writing
from app.ledger import book, chain, signing, soundness, tables
from app.ledger.imported import imports
from app.plant.samples import Place
from tests.archives import take
from tests.importing import FIRST, LATER, bring_in, bringing, check, reasons, season


def sheet(bench, day=FIRST, number=1):
    return bench.read(book.sheet, bench.season, day, number)


def entries(bench):
    return bench.read(lambda c: c.scalar(select(func.count()).select_from(tables.entry)))


@pytest.mark.both_engines
def test_each_shift_of_a_table_stands_on_its_sheet_and_says_where_it_came_from(bench):
    """C-20: who, when, and from which file."""
    text = season(193)
    written = bring_in(bench, text)
    assert (written.count, written.already, written.faults) == (386, 0, [])
    entry = sheet(bench, FIRST + timedelta(days=64), 1)["cane"]
    assert (entry.typed, entry.recorded_name, entry.recorded_at) == ("1192", "Ann Field", LATER)
    assert entry.late
    brought = bringing(text).table.brought
    assert entry.reason == f"brought in from june.csv (sha256 {brought.sha256[:12]})"
    (told,) = bench.read(imports)
    assert told.name == "Ann Field"
    assert told.told["sha256"] == brought.sha256
    assert (told.told["file"], told.told["rows"], told.told["written"]) == (
        "june.csv", "193", "386",
    )  # fmt: skip
    assert (told.told["first_day"], told.told["last_day"]) == ("2026-06-01", "2026-08-04")
    assert bench.read(soundness.faults) == []


@pytest.mark.both_engines
def test_twenty_three_bad_rows_of_193_are_all_named_and_none_is_written(bench):
    """C-20"""
    bad = set(range(3, 193, 8)) - {3}
    assert len(bad) == 23
    checked = bring_in(bench, season(193, bad=bad))
    assert {fault.row for fault in checked.faults} == {n + 2 for n in bad}
    assert {fault.column for fault in checked.faults} == {"mixed_juice_brix"}
    assert {fault.typed for fault in checked.faults} == {"unreadable"}
    assert all(fault.words.startswith("Write a number") for fault in checked.faults)
    assert entries(bench) == 0
    assert bench.read(imports) == []


@pytest.mark.both_engines
def test_the_same_file_a_second_time_writes_nothing(bench):
    bring_in(bench, season(12))
    before = bench.read(chain.head)
    again = bring_in(bench, season(12))
    assert (again.count, again.already, again.faults) == (0, 24, [])
    assert bench.read(chain.head) == before


def test_rejected_rows_come_back_as_they_were_with_their_reasons_and_may_be_mended(bench):
    """C-20: the rejected rows are offered as a file, which is read again once it is right."""
    text = season(9, bad={4, 7})
    brought = bringing(text)
    rejected = brought.rejected(bench.read(brought.check, LATER).faults)
    rows = list(csv.DictReader(io.StringIO(rejected)))
    assert [row["row"] for row in rows] == ["6", "9"]
    assert [row["mixed_juice_brix"] for row in rows] == ["unreadable", "unreadable"]
    assert all(row["reason"].startswith("mixed_juice_brix: Write a number") for row in rows)
    mended = bring_in(bench, rejected.replace("unreadable", "14.5"))
    assert (mended.count, mended.faults) == (4, [])


def test_what_stands_is_never_corrected_and_the_same_number_is_there_already(bench):
    bench.write("cane", "1250", day=FIRST, at=LATER, late_reason="was on paper")
    rows = "day,shift,cane,bagasse_moisture\n2026-06-01,1,{},50\n"
    assert reasons(check(bench, rows.format("1251"))) == {
        (2, "cane"): "1250 stands there: correct it on its sheet"
    }
    same = bring_in(bench, rows.format("1250.0"))
    assert (same.count, same.already) == (1, 1)
    assert sheet(bench)["cane"].typed == "1250"


def test_what_was_emptied_on_its_sheet_stays_empty(bench):
    first = bench.write("cane", "1250", day=FIRST, at=LATER, late_reason="was on paper")
    bench.write("cane", "", first.id, "wrong shift", day=FIRST, at=LATER)
    checked = check(bench, "day,shift,cane\n2026-06-01,1,1250\n")
    assert reasons(checked) == {(2, "cane"): "nothing stands there: correct it on its sheet"}


def test_a_signed_shift_and_an_approved_day_take_nothing_more(bench, manager):
    for number in (1, 2, 3):
        bench.write("cane", "1250", day=FIRST, number=number, at=LATER, late_reason="was on paper")
    with writing(bench.engine) as connection:
        signing.sign_shift(
            connection, bench.season, FIRST, 1, blank=(), remarks={}, by=bench.ann, at=LATER
        )
    rows = "day,shift,cane,bagasse_moisture\n2026-06-01,1,1250,{}\n2026-06-01,2,1250,{}\n"
    assert reasons(check(bench, rows.format("50", "50"))) == {
        (2, ""): "This shift is signed by Ann Field: nothing is brought in there"
    }
    assert check(bench, rows.format("", "")).already == 2
    with writing(bench.engine) as connection:
        for number in (2, 3):
            signing.sign_shift(
                connection, bench.season, FIRST, number, blank=(), remarks={}, by=bench.ann,
                at=LATER,
            )  # fmt: skip
        signing.approve_day(connection, bench.season, FIRST, shifts_a_day=3, by=manager, at=LATER)
    assert reasons(check(bench, rows.format("", "50"))) == {
        (3, ""): "This day is approved by Max Manager: it is to be opened again"
    }


@pytest.mark.parametrize(
    ("row", "column", "words"),
    [
        ("2019-07-14,1,1250", "", "2019-07-14 is in no season: an administrator begins one"),
        ("2026-06-01,4,1250", "", "Shifts of this mill are numbered 1 to 3"),
        ("2026-08-31,1,1250", "", "Shift 1 of 2026-08-31 has not ended"),
        ("2026-06-31,1,1250", "Day", "The calendar has no such day"),
        ("Total,,1250", "Day", "Write the day like 2026-07-14"),
        ("2026-06-01,night,1250", "Shift", "Write the number of the shift"),
        ("2026-06-01,,1250", "Cane", "It is taken each shift: say which"),
        ("2026-06-01,1,1.250.000", "Cane", "Write one decimal sign, and no marks between "
         "thousands: 1234.5 or 1234,5"),
        ('2026-06-01,1,"1,250"', "Cane", "1,250: write 1250 or 1.25"),
        ("2026-06-01,1,-5", "Cane", "Cane crushed lies between 0 and 20000 t; -5 was typed"),
    ],
)  # fmt: skip
def test_a_row_that_cannot_be_is_named_with_its_column_and_the_reason(bench, row, column, words):
    """C-20"""
    checked = check(bench, f"Day,Shift,Cane\n2026-06-01,2,1250\n{row}\n")
    assert reasons(checked) == {(3, column): words}


@pytest.mark.parametrize(
    "shift",
    ["1", "1.0", "Shift 1", "Turno: 1", "Équipe 1", "Poste 1", "Nº 1", "N° 1", "No. 1"],
)
def test_the_number_of_a_shift_is_read_with_the_word_before_it(bench, shift):
    (pending,) = check(bench, f"Day,Shift,Cane\n2026-06-01,{shift},1250\n").results
    assert pending.number == 1


@pytest.mark.parametrize("shift", ["-1", "1.5", "11", "A", "1 of 3", "0"])
def test_what_is_no_number_of_a_shift_is_refused(bench, shift):
    faults = reasons(check(bench, f"Day,Shift,Cane\n2026-06-01,{shift},1250\n"))
    assert faults == {(2, "Shift"): "Write the number of the shift"}


def test_one_place_may_stand_in_a_table_once(bench):
    text = "day,shift,cane\n2026-06-01,1,1250\n2026-06-01,1,1250\n"
    assert reasons(check(bench, text)) == {(3, ""): "Row 2 says the same already"}


@pytest.mark.parametrize(
    ("typed", "state"),
    [("nm", "not measured"), ("below detection", "below detection"), ("if", "instrument failed"),
     ("nd", "not due"), ("0", "number")],
)  # fmt: skip
def test_a_named_state_is_brought_in_as_such_and_a_blank_is_nothing(bench, typed, state):
    """A-06"""
    bring_in(bench, f"day,shift,bagasse_pol,cane\n2026-06-01,1,{typed},\n")
    assert {name: entry.state for name, entry in sheet(bench).items()} == {"bagasse_pol": state}


def test_a_decimal_comma_is_read_as_on_the_sheet(bench):
    """C-05"""
    bring_in(bench, "Day;Shift;Cane;Mixed juice, brix [°Bx]\n2026-06-01;1;1 250,5;14,52\n")
    assert {name: str(entry.value) for name, entry in sheet(bench).items()} == {
        "cane": "1250.5", "mixed_juice_brix": "14.52",
    }  # fmt: skip


def test_what_is_taken_once_a_day_or_week_stands_on_the_last_shift_of_it(bench):
    """A row without a shift is of the day; Sunday ends the week."""
    bring_in(bench, "day,final_molasses,primary_juice_brix\n2026-06-06,41,\n2026-06-07,42,18.4\n")
    assert sheet(bench, FIRST + timedelta(days=5), 3)["final_molasses"].typed == "41"
    sunday = sheet(bench, FIRST + timedelta(days=6), 3)
    assert {name: entry.typed for name, entry in sunday.items()} == {
        "final_molasses": "42", "primary_juice_brix": "18.4",
    }  # fmt: skip
    text = "day,shift,final_molasses,primary_juice_brix\n2026-06-10,1,41,\n2026-06-10,3,,18.4\n"
    assert reasons(check(bench, text)) == {
        (2, "final_molasses"): "It is taken once a day: it stands on shift 3",
        (3, "primary_juice_brix"): "It is taken once a week: it stands on shift 3 of Sunday",
    }


def test_a_long_table_names_the_measure_of_each_row_and_who_saw_it(bench):
    text = (
        "Date,Shift,Measure,Value,Seen by\n"
        "01/06/2026,1,Cane,1250,Rosa\n"
        "13/06/2026,2,mixed_juice_brix,14.52,\n"
        "14/06/2026,2,Treacle,14.52,\n"
    )
    assert reasons(check(bench, text)) == {(4, "Measure"): "There is no measure called Treacle"}
    bring_in(bench, text.replace("Treacle", "Cane").replace("2,Cane,14.52", "2,Cane,1252"))
    assert sheet(bench)["cane"].observed_by == "Rosa"
    assert sheet(bench, FIRST + timedelta(days=12), 2)["mixed_juice_brix"].typed == "14.52"


def test_what_is_sampled_by_the_hour_stands_at_the_sample_that_was_due_by_then(bench):
    take(bench, "mixed_juice_ph", every=2)
    text = "day,shift,time,mixed_juice_ph\n2026-06-20,1,06:00,5.2\n2026-06-20,1,11:30,5.3\n"
    bring_in(bench, text)
    stands = sheet(bench, FIRST + timedelta(days=19))
    assert {key: entry.typed for key, entry in stands.items()} == {
        Place("mixed_juice_ph", 1).key: "5.2", Place("mixed_juice_ph", 3).key: "5.3",
    }  # fmt: skip
    without = check(bench, "day,shift,mixed_juice_ph\n2026-06-20,2,5.2\n")
    assert reasons(without) == {
        (2, "mixed_juice_ph"): "It is sampled every 2 h: a column of times says when"
    }


def test_numbers_outside_the_usual_are_counted_and_kept(bench):
    """A workbook that keeps 1.9 % as 0.019 shows itself before anything is written."""
    checked = check(bench, "day,shift,bagasse_pol\n2026-06-01,1,0.019\n2026-06-01,2,1.9\n")
    assert checked.unusual == {"bagasse_pol": 1}
    assert (checked.count, checked.faults) == (2, [])


@pytest.mark.both_engines
def test_what_was_written_between_checking_and_writing_is_seen(bench):
    brought = bringing("day,shift,cane,bagasse_moisture\n2026-06-01,1,1250,50\n")
    checked = bench.read(brought.check, LATER)
    bench.write("cane", "1300", day=FIRST, at=LATER, late_reason="was on paper")
    with writing(bench.engine) as connection:
        written = brought.write(connection, checked, by=bench.ann, at=LATER)
    assert reasons(written) == {(2, "cane"): "1300 stands there: correct it on its sheet"}
    assert entries(bench) == 1


@pytest.mark.both_engines
def test_an_import_that_breaks_off_leaves_nothing(bench, monkeypatch):
    brought = bringing(season(30))
    checked = bench.read(brought.check, LATER)
    tell_all = chain._tell_all

    def breaks(connection, kind, events):
        if kind == "entry":
            raise OSError("power cut")
        return tell_all(connection, kind, events)

    monkeypatch.setattr(chain, "_tell_all", breaks)
    with pytest.raises(OSError, match="power cut"), writing(bench.engine) as connection:
        brought.write(connection, checked, by=bench.ann, at=LATER)
    assert entries(bench) == 0
    assert bench.read(imports) == []


def test_two_rows_of_one_shift_say_once_in_which_columns_they_differ(bench):
    text = (
        "day,shift,cane,mixed_juice_brix,bagasse_moisture\n"
        "2026-06-01,1,1250,14.2,50\n2026-06-01,1,1250,14.3,51\n"
    )
    words = "Row 2 says it already, and otherwise: mixed_juice_brix, bagasse_moisture"
    assert reasons(check(bench, text)) == {(3, ""): words}
