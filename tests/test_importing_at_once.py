"""What is brought in is put down together, for as long as it is written others wait."""

from datetime import timedelta

import pytest
from sqlalchemy import event, select

from app.database import writing
from app.ledger import booked, soundness, tables
from app.ledger.cells import Refused
from app.ledger.recording import Draft, Faulty, write_records
from app.ledger.records import records_of
from app.plant.books import BOOKS
from tests.importing import FIRST, LATER, bring_in, bringing

VESSELS = 6
SURVEY = "Day,Shift,Vessel,Title,Group\n" + "".join(
    f"{FIRST},1,V{n},Tank {n},Syrup tanks\n" for n in range(VESSELS)
)


def dips(shifts, *vessels):
    """A table of dips of some vessels, by number, on each of so many shifts."""
    rows = ["Day,Shift,Vessel,at,Volume,Brix,Purity"]
    for n in range(shifts):
        day, at = FIRST + timedelta(days=n // 3), ("07:00", "15:00", "23:00")[n % 3]
        rows += [f"{day},{n % 3 + 1},V{v},{at},12.5,90.1,60.2" for v in vessels]
    return "\n".join(rows) + "\n"


def statements(bench, text, target):
    """How many statements the database is asked while a table is written."""
    brought = bringing(text, target=target)
    checked = bench.read(brought.check, LATER)
    assert checked.faults == []
    asked = []

    def note(_connection, _cursor, statement, *_others):
        asked.append(statement)

    event.listen(bench.engine, "before_cursor_execute", note)
    with writing(bench.engine) as connection:
        brought.write(connection, checked, by=bench.ann, at=LATER)
    event.remove(bench.engine, "before_cursor_execute", note)
    return len(asked)


@pytest.mark.both_engines
def test_records_are_put_down_together_and_what_stands_is_read_once(bench):
    """C-20: five dips of each shift ask no more of the database than one."""
    bring_in(bench, SURVEY, target="calibrations")
    few, many = (statements(bench, dips(10, *vessels), "dips") for vessels in ([0], range(1, 6)))
    assert many <= few
    stand = bench.read(records_of, bench.season, FIRST, LATER.date(), BOOKS["dips"])
    assert len(stand) == 10 * VESSELS
    assert bench.read(lambda c: list(booked.differences(c, [bench.season]))) == []
    assert bench.read(soundness.faults) == []


@pytest.mark.both_engines
def test_many_results_keep_whatever_signs_a_name_is_written_with(bench):
    """A database that copies many rows has signs of its own for what is blank and for tabs."""
    names = ["O\\N", "Ana \\. Núñez", "\\N", "\\tomas"]
    rows = ["Day,Shift,Seen by,Cane,mixed_juice_brix"]
    for n in range(120):
        day = FIRST + timedelta(days=n // 3)
        rows.append(f"{day},{n % 3 + 1},{names[n % 4]},1{n:03},14.{n % 90 + 10}")
    assert bring_in(bench, "\n".join(rows) + "\n").count == 240
    query = select(tables.entry.c.id, tables.entry.c.observed_by).order_by(tables.entry.c.id)
    kept = bench.read(lambda c: c.execute(query).all())
    assert [key for key, _name in kept] == list(range(1, 241))
    assert [name for _key, name in kept] == [names[n % 4] for n in range(120) for _ in range(2)]
    assert bench.write("lime", "1.2").id == 241
    assert bench.read(soundness.faults) == []


LOAD = {"ticket": "T1", "weighed": "07:10", "grower": "G7", "gross": "32.5", "tare": "11.2"}


def load(**otherwise):
    return Draft("consignments", FIRST, 1, LOAD | otherwise, late_reason="a test")


def written(bench, *drafts):
    with writing(bench.engine) as connection:
        return write_records(connection, bench.season, drafts, by=bench.ann, at=LATER)


def test_records_written_together_know_of_each_other(bench):
    first, same, other = written(bench, load(), load(), load(ticket="T2"))
    assert first == same != other
    with pytest.raises(Faulty, match="T3 is there already, on shift 1"):
        written(bench, load(ticket="T3"), load(ticket="T3", gross="33.1"))
    with pytest.raises(Refused, match="no book called"):
        written(bench, load(ticket="T4"), Draft("none", FIRST, 1, {}))
    vessel = {"vessel": "V1", "title": "Tank 1", "group": "syrup_tanks"}
    dip = {"vessel": "v1", "at": "07:00", "volume": "12.5"}
    survey = Draft("calibrations", FIRST, 1, vessel, late_reason="a test")
    dipped = Draft("dips", FIRST, 1, dip, late_reason="a test")
    with pytest.raises(Faulty, match="written on this shift already"):
        written(bench, survey, dipped, dipped)
    with pytest.raises(Faulty):
        written(bench, dipped, survey)
    assert len(written(bench, survey, dipped)) == 2
    assert len(bench.read(records_of, bench.season, FIRST, FIRST)) == 4
