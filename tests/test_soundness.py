"""What was changed behind the ledger's back is found, and the first event that shows it named."""

import json
import sqlite3
from contextlib import closing

import pytest
from sqlalchemy import select

from app.database import file_of, reading, writing
from app.ledger import chain, people, soundness, tables
from tests.bench import NOON
from tests.keeping import fill, rewrite, unguarded


def found(engine, since=0):
    with reading(engine) as connection:
        return soundness.faults(connection, since=since)


def event_of(engine, kind, row_id):
    e = tables.event.c
    with reading(engine) as connection:
        return connection.scalar(select(e.number).where(e.kind == kind, e.row_id == row_id))


def head_of(engine):
    with reading(engine) as connection:
        return chain.head(connection)


@pytest.mark.both_engines
def test_a_ledger_that_holds_something_of_everything_is_sound(bench):
    fill(bench)
    with reading(bench.engine) as connection:
        kinds = set(connection.scalars(select(tables.event.c.kind)))
    assert kinds == {table.name for table in tables.APPEND_ONLY} | {"person"}
    assert found(bench.engine) == []
    assert found(bench.engine, since=7) == []


# what is done behind the ledger's back, of which table and row the event shows it, in which words
TAMPERED = [
    ("UPDATE event SET content = replace(content, '1250.0123', '1950.0123')", "entry", 1, "hash"),
    ("UPDATE event SET at = '2026-06-03 17:00:01' WHERE kind = 'entry' AND row_id = 2",
     "entry", 2, "hash"),
    ("UPDATE event SET name = 'Bob Stone' WHERE kind = 'target'", "target", 1, "hash"),
    ("UPDATE event SET day = NULL WHERE kind = 'review'", "review", 1, "hash"),
    ("UPDATE entry SET typed = '1950.0123' WHERE id = 1", "entry", 1, "typed"),
    ("UPDATE entry SET value = '1206' WHERE id = 2", "entry", 2, "value"),
    ("UPDATE entry SET recorded_at = '2026-06-03 17:00:01' WHERE id = 1",
     "entry", 1, "recorded_at"),
    ("UPDATE entry SET recorded_by = 2, recorded_name = 'Bob Stone' WHERE id = 1",
     "entry", 1, "recorded_by, recorded_name"),
    ("DELETE FROM entry WHERE id = 3", "entry", 3, "is not there"),
    ("UPDATE target SET value = 96.6", "target", 1, "value"),
    ("UPDATE uncertainty SET relative = true", "uncertainty", 1, "relative"),
    ("UPDATE convention SET since = '2026-06-02'", "convention", 1, "since"),
    ("UPDATE mill SET name = 'Another'", "mill", 1, "name"),
    ("UPDATE season SET last_day = '2026-07-01'", "season", 1, "last_day"),
    ("UPDATE duplicate SET reason = 'lost' WHERE id = 2", "duplicate", 2, "reason"),
    ("UPDATE signature SET covers = '1'", "signature", 1, "covers"),
    ("UPDATE review SET remark = NULL", "review", 1, "remark"),
    ("UPDATE issue SET chain_hash = 'f'", "issue", 1, "chain_hash"),
    ("UPDATE person SET role = 'administrator' WHERE username = 'ann'", "person", 1, "role"),
    ("UPDATE person SET active = false WHERE username = 'bob'", "person", 2, "active"),
    ("DELETE FROM issue_file", "issue_file", 1, "is not there"),
]  # fmt: skip


@pytest.mark.both_engines
@pytest.mark.parametrize(("done", "kind", "row_id", "words"), TAMPERED)
def test_what_is_changed_without_an_event_is_named(bench, done, kind, row_id, words):
    """B-16, A-20: structure is sound, the chain and what it tells of are not."""
    fill(bench)
    shows = event_of(bench.engine, kind, row_id)
    with unguarded(bench.engine) as connection:
        connection.execute(done)
    faults = found(bench.engine)
    assert faults[0].event == shows
    assert words in faults[0].says
    assert found(bench.engine, since=shows - 1)[0] == faults[0]
    assert found(bench.engine, since=shows) == [
        fault for fault in faults if fault.event is not None and fault.event > shows
    ]


@pytest.mark.both_engines
@pytest.mark.parametrize(
    ("done", "words"),
    [
        ("INSERT INTO lime_dose SELECT 9, mill_id, from_ph, to_ph, '9', recorded_by, recorded_at "
         "FROM lime_dose", "lime_dose 9 is told by no event"),
        ("INSERT INTO person SELECT 9, 'eve', 'Eve', role, NULL, active, created_at, NULL "
         "FROM person WHERE id = 1", "person eve is told by no event"),
        ("UPDATE standing SET value = 1 WHERE measure = 'cane'", "What pages read of cane"),
        ("DELETE FROM standing WHERE measure = 'mixed_juice'", "What pages read of mixed_juice"),
    ],
)  # fmt: skip
def test_what_no_event_tells_is_named(bench, done, words):
    fill(bench)
    with unguarded(bench.engine) as connection:
        connection.execute(done)
    assert [words in fault.says for fault in found(bench.engine)] == [True]


@pytest.mark.both_engines
def test_an_event_taken_out_or_told_twice_is_named(bench):
    fill(bench)
    taken = event_of(bench.engine, "target", 1)
    with unguarded(bench.engine) as connection:
        connection.execute(f"DELETE FROM event WHERE number = {taken}")
    faults = found(bench.engine)
    assert faults[0] == (taken, f"Events {taken} to {taken} are missing")
    assert faults[-1] == (None, "target 1 is told by no event: it was not typed here")
    again = head_of(bench.engine).number + 1
    with writing(bench.engine) as connection:
        content = json.loads(connection.scalar(select(tables.event.c.content).where(
            tables.event.c.kind == "lime_dose")))  # fmt: skip
        about = chain.About(row_id=1)
        chain.tell(connection, "lime_dose", content, by=bench.ann, at=NOON, about=about)
    assert (again, f"Event {again} tells of lime_dose 1, told before") in found(bench.engine)


@pytest.mark.both_engines
def test_the_bytes_of_an_issue_are_those_issued(bench):
    fill(bench)
    mark = "?" if bench.engine.dialect.name == "sqlite" else "%s"
    for packed in (b"no zlib", b"x\x9c\x03\x00\x00\x00\x00\x01"):
        with unguarded(bench.engine) as connection:
            connection.execute(f"UPDATE issue_file SET packed = {mark}", (packed,))
        [fault] = found(bench.engine)
        assert fault.says.startswith("The file report.html, issued by event")


def test_one_digit_changed_in_the_file_is_found_though_its_structure_is_sound(bench):
    """F-12, M3: every place where the digits stand is tried, one at a time."""
    fill(bench)
    path = file_of(bench.engine)
    bench.engine.dispose()
    whole = path.read_bytes()
    places = [n for n in range(len(whole)) if whole.startswith(b"1250.0123", n)]
    assert len(places) >= 3  # as typed, its decimal, and what the event tells
    shows = event_of(bench.engine, "entry", 1)
    for place in places:
        bench.engine.dispose()
        path.write_bytes(whole[: place + 1] + b"9" + whole[place + 2 :])
        with closing(sqlite3.connect(path)) as plain:
            assert plain.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert found(bench.engine)[0].event == shows


def test_an_event_that_cannot_be_read_is_named(bench):
    fill(bench)
    number = event_of(bench.engine, "target", 1)
    with unguarded(bench.engine) as connection:
        broken = "UPDATE event SET content = CAST(x'ff' AS TEXT) WHERE number = ?"
        connection.execute(broken, (number,))
    assert found(bench.engine)[0].event == number


@pytest.mark.both_engines
def test_history_made_anew_passes_alone_and_fails_beside_an_anchor(bench):
    """A-24, F-37: only what was written down elsewhere shows it."""
    fill(bench)
    with reading(bench.engine) as connection:
        early = soundness.anchor("2:" + connection.scalar(
            select(tables.event.c.hash).where(tables.event.c.number == 2)))  # fmt: skip
        late = soundness.anchor(chain.head(connection).short)
        assert soundness.breach(connection, late) is None
    rewrite(bench.engine, event_of(bench.engine, "entry", 1), "1250.0123", "1950.0123")
    assert found(bench.engine) == []
    with reading(bench.engine) as connection:
        assert soundness.breach(connection, early) is None
        breach = soundness.breach(connection, late)
    assert breach.event == late.number
    assert "Something up to it was made anew" in breach.says


@pytest.mark.both_engines
def test_a_chain_that_is_too_short_names_what_is_missing(bench):
    """A-26."""
    number = head_of(bench.engine).number
    with reading(bench.engine) as connection:
        breach = soundness.breach(connection, soundness.anchor(f"{number + 50}:{'0' * 16}"))
    assert breach.event == number + 1
    assert f"Events {number + 1} to {number + 50} are missing" in breach.says


@pytest.mark.parametrize("text", ["", "12", "12:", "12:abc", "x:" + "0" * 16, "-1:" + "0" * 16])
def test_an_anchor_that_is_none_is_refused(text):
    with pytest.raises(ValueError, match="is no number and hash of a chain"):
        soundness.anchor(text)


def test_a_person_may_change_by_an_event(bench):
    with writing(bench.engine) as connection:
        people.deactivate(connection, bench.bob, by=bench.ann, at=NOON)
    assert found(bench.engine) == []
