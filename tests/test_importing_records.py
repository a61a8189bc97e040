"""Records of another book that are brought in from a table, once and all or none."""

import pytest
from sqlalchemy import select

from app.ledger import soundness, tables
from app.ledger.imported import imports
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
    assert reasons(check(bench, twice, target="stops")) == {(3, ""): "Row 2 says it already"}
