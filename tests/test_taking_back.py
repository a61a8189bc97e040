"""An import is taken back as a whole, or not at all."""

import pytest

from app.database import writing
from app.ledger import book, signing
from app.ledger.cells import Refused
from app.ledger.imported import imports
from app.ledger.records import VOID, records_of
from app.ledger.soundness import faults
from app.ledger.taking_back import take_back
from app.plant.books import BOOKS
from tests.importing import FIRST, LATER, bring_in, check, season

STOPS = (
    "Day,Shift,Began,Ended,Cause,Crushing\n"
    "2026-06-01,1,07:40,08:10,Lack of cane,Crushing stopped\n"
    "2026-06-01,2,15:40,16:10,Lack of cane,Crushing stopped\n"
)


def take(bench, reason="the wrong year", by=None):
    (newest, *_older) = bench.read(imports)
    with writing(bench.engine) as connection:
        return take_back(connection, newest.number, reason, by=by or bench.ann, at=LATER)


def standing(bench):
    sheet = bench.read(book.sheet, bench.season, FIRST, 1)
    return {key: (entry.typed, entry.reason) for key, entry in sheet.items()}


@pytest.mark.both_engines
def test_every_result_of_an_import_is_emptied_with_the_reason_and_the_chain_is_whole(bench):
    bring_in(bench, season(9))
    assert take(bench) == 18
    (taken,) = bench.read(imports)
    why = f"import taken back of event {taken.number}: the wrong year"
    assert standing(bench) == {"cane": ("", why), "mixed_juice_brix": ("", why)}
    assert taken.taken_back.name == "Ann Field"
    assert taken.taken_back.told["reason"] == "the wrong year"
    assert bench.read(lambda c: list(faults(c))) == []


@pytest.mark.both_engines
def test_records_are_taken_out_and_a_mended_table_may_be_brought_in(bench):
    bring_in(bench, STOPS, target="stops")
    assert take(bench) == 2
    found = bench.read(records_of, bench.season, FIRST, FIRST, BOOKS["stops"])
    assert {record.state for record in found} == {VOID}
    assert check(bench, STOPS, target="stops").count == 2
    assert bring_in(bench, STOPS, target="stops").count == 2
    assert check(bench, STOPS, target="stops").already == 2


def test_after_it_a_mended_table_takes_the_place_of_the_first(bench):
    bring_in(bench, "Day,Shift,Cane\n2026-06-01,1,1250\n")
    take(bench)
    assert bring_in(bench, "Day,Shift,Cane\n2026-06-01,1,1300\n").count == 1
    assert standing(bench)["cane"][0] == "1300"
    assert take(bench) == 1
    assert standing(bench)["cane"][0] == ""


def test_nothing_is_taken_back_where_a_result_was_corrected_since(bench):
    bring_in(bench, season(3))
    stands = bench.read(book.sheet, bench.season, FIRST, 1)["cane"]
    typed = book.Typed("cane", "1111", stands.id, "misread")
    with writing(bench.engine) as connection:
        book.record_sheet(
            connection, season=bench.season, day=FIRST, number=1, cells=[typed], by=bench.ann,
            at=LATER,
        )  # fmt: skip
    with pytest.raises(Refused, match="1 of its results or records was corrected since"):
        take(bench)
    assert standing(bench)["mixed_juice_brix"][0] == "14.10"


def test_nothing_is_taken_back_where_a_shift_is_signed_since(bench):
    bring_in(bench, season(3))
    with writing(bench.engine) as connection:
        signing.sign_shift(
            connection, bench.season, FIRST, 2, blank=(), remarks={}, by=bench.ann, at=LATER
        )
    with pytest.raises(Refused, match="Shift 2 of 2026-06-01 is signed by Ann Field since"):
        take(bench)
    assert standing(bench)["cane"][0] == "1000"


def test_it_is_taken_back_once_and_with_a_reason(bench):
    bring_in(bench, season(3))
    with pytest.raises(Refused, match="Say why it is taken back"):
        take(bench, "  ")
    take(bench)
    with pytest.raises(Refused, match="It is taken back already, by Ann Field"):
        take(bench)
