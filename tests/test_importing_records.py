"""Records of another book that are brought in from a table, once and all or none."""

import pytest
from sqlalchemy import select

from app.database import writing
from app.ledger import soundness, tables
from app.ledger.imported import imports
from app.ledger.recording import Draft, Faulty, write_records
from app.ledger.records import records_of
from app.plant.books import BOOKS
from tests.importing import FIRST, LATER, bring_in, check, reasons

CANE = "day,shift,Ticket,Weighed in,Grower,Gross,Tare\n"
LOADS = CANE + "2026-06-01,1,T1,07:10,G7,32.5,11.2\n2026-06-01,2,T2,15:10,G8,30.1,11.0\n"


@pytest.mark.both_engines
def test_records_of_a_book_come_in_once_and_give_their_tonnes(bench):
    written = bring_in(bench, LOADS, target="consignments")
    assert (written.count, written.faults) == (2, [])
    records = bench.read(records_of, bench.season, FIRST, FIRST, BOOKS["consignments"])
    assert [record.fields["ticket"] for record in records] == ["T1", "T2"]
    assert all(record.reason.startswith("brought in from june.csv") for record in records)
    booked = bench.read(lambda c: c.execute(select(tables.booked)).all())
    tonnes = sorted(row.value for row in booked if row.measure == "cane_received")
    assert tonnes == pytest.approx([19.1, 21.3])
    (told,) = bench.read(imports)
    assert (told.told["target"], told.told["written"]) == ("consignments", "2")
    again = bring_in(bench, LOADS, target="consignments")
    assert (again.count, again.already) == (0, 2)
    assert bench.read(soundness.faults) == []


@pytest.mark.parametrize(
    ("row", "column", "words"),
    [
        ("2026-06-01,1,T1,07:10,G7,33.5,11.2", "", "T1 is there already, on shift 1 of 2026-06-01"),
        ("2026-06-01,1,T3,23:10,G7,33.5,11.2", "Weighed in", "It lies outside this shift, 06:00 to "
         "14:00"),
        ("2026-06-01,1,T3,07:10,G7,,11.2", "Gross", "Gross is needed"),
        ("2026-06-01,,T3,07:10,G7,32.5,11.2", "shift", "Say which shift"),
        ("2026-06-01,4,T3,07:10,G7,32.5,11.2", "", "Shifts of this mill are numbered 1 to 3"),
    ],
)  # fmt: skip
def test_a_record_that_cannot_be_is_named_and_none_is_written(bench, row, column, words):
    bring_in(bench, LOADS, target="consignments")
    more = f"{CANE}2026-06-02,1,T9,07:10,G7,32.5,11.2\n{row}\n"
    checked = bring_in(bench, more, target="consignments")
    assert reasons(checked) == {(3, column): words}
    assert len(bench.read(records_of, bench.season, FIRST, LATER.date())) == 2


def test_a_record_without_a_key_is_known_by_all_that_it_says(bench):
    text = (
        "day,shift,Began,Ended,Cause,Crushing\n"
        "2026-06-01,1,07:40,08:10,Lack of cane,Crushing stopped\n"
    )
    assert bring_in(bench, text, target="stops").count == 1
    assert bring_in(bench, text, target="stops").already == 1
    twice = text + text.splitlines()[1] + "\n"
    assert reasons(check(bench, twice, target="stops")) == {(3, ""): "Row 2 says the same already"}


STOP = "day,shift,Began,Ended,Cause,Crushing\n2026-06-01,1,07:40,08:10,Lack of cane,stopped\n"


def amend(bench, book, changes, **otherwise):
    """Correct the one record of a book, or take it out."""
    (record,) = bench.read(records_of, bench.season, FIRST, FIRST, BOOKS[book])
    fields = dict(record.fields) | changes
    draft = Draft(book, record.day, record.number, fields, record.id, "misread", **otherwise)
    with writing(bench.engine) as connection:
        write_records(connection, bench.season, [draft], by=bench.ann, at=LATER)


@pytest.mark.parametrize(
    "row",
    ["2026-06-01,1,7:40,8.10,no_cane,Stopped", "2026-06-01,1,0740,08h10,LACK OF CANE,stopped"],
)
def test_a_record_is_there_already_however_its_times_and_choices_are_written(bench, row):
    head, first = STOP.splitlines()
    assert bring_in(bench, STOP, target="stops").count == 1
    again = bring_in(bench, f"{head}\n{row}\n", target="stops")
    assert (again.count, again.already, again.faults) == (0, 1, [])
    twice = check(bench, f"{head}\n{first}\n{row}\n", target="stops")
    assert reasons(twice) == {(3, ""): "Row 2 says the same already"}


@pytest.mark.parametrize(
    ("target", "text", "changes"),
    [
        ("stops", STOP, {"ends": "08:20"}),
        ("consignments", f"{CANE}2026-06-01,1,T1,07:10,G7,32.5,11.2\n", {"gross": "33.5"}),
    ],
)
@pytest.mark.parametrize("void", [False, True])
def test_what_was_corrected_or_taken_out_since_is_not_brought_in_anew(
    bench, target, text, changes, void
):
    assert bring_in(bench, text, target=target).count == 1
    amend(bench, target, changes, void=void)
    again = bring_in(bench, text, target=target)
    assert (again.count, again.already, again.faults) == (0, 1, [])
    assert len(bench.read(records_of, bench.season, FIRST, FIRST)) == 1


def test_the_ticket_of_a_load_that_was_taken_out_is_free(bench):
    load = f"{CANE}2026-06-01,1,T1,07:10,G7,32.5,11.2\n"
    bring_in(bench, load, target="consignments")
    amend(bench, "consignments", {}, void=True)
    assert bring_in(bench, load.replace("32.5", "33.5"), target="consignments").count == 1


def test_readings_of_one_meter_that_overlap_are_not_brought_in(bench):
    head = "day,shift,What,Meter,Reading opening,Reading closing\n"
    first = f"{head}2026-06-01,1,steam,S1,100,200\n"
    over = check(bench, f"{first}2026-06-01,1,steam,S1,150,250\n", target="meters")
    assert list(reasons(over).values()) == [
        "S1 is written on this shift already: correct that line"
    ]
    assert bring_in(bench, f"{first}2026-06-01,1,steam,S1,0,50\n", target="meters").count == 2
    over = check(bench, f"{head}2026-06-01,1,steam,s1,40,60\n", target="meters")
    assert len(over.faults) == 1


def test_who_saw_it_is_a_name_that_can_be_read(bench):
    unseen = "Eve \u202ex"
    head, row = STOP.splitlines()
    text = f"{head},Seen by\n{row},{unseen}\n"
    words = "There is a sign in it that cannot be seen: type it anew"
    assert reasons(check(bench, text, target="stops")) == {(2, "Seen by"): words}
    typed = {"begins": "07:40", "ends": "08:10", "cause": "no_cane", "crushing": "stopped"}
    draft = Draft("stops", FIRST, 1, typed, late_reason="late", observed_by=unseen)
    with pytest.raises(Faulty) as faulty, writing(bench.engine) as connection:
        write_records(connection, bench.season, [draft], by=bench.ann, at=LATER)
    assert faulty.value.wrong == {"observed_by": words}
