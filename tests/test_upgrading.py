"""A ledger of an older program, brought up: what its books give, and the keys of its records."""

import pytest
from sqlalchemy import select

from app.database import migrate, reading, writing
from app.keeping.upgrading import upgrade
from app.ledger import soundness, tables
from app.ledger.recording import Draft, Faulty, write_records
from tests.bench import NOON
from tests.test_migrations import go_down

pytestmark = pytest.mark.both_engines

LOTS = [
    {"lot": "L1", "ended": "08:00", "bulk": "100", "pol": "98"},
    {"lot": "L2", "ended": "09:00"},
]


def lot(bench, typed, number=1):
    with writing(bench.engine) as connection:
        draft = Draft("bagging", bench.day, number, typed)
        write_records(connection, bench.season, [draft], by=bench.ann, at=NOON)


def rows(engine, table):
    with reading(engine) as connection:
        return connection.execute(select(table).order_by(*table.primary_key.columns)).all()


def test_what_books_give_is_worked_out_by_the_rules_of_now(bench):
    """An older ledger kept no row of what lacks."""
    for typed in LOTS:
        lot(bench, typed)
    before = rows(bench.engine, tables.booked)
    assert {row.measure: row.value for row in before}["sugar"] is None
    go_down(bench.engine, "languages")
    migrate(bench.engine)  # the tables alone
    assert rows(bench.engine, tables.booked) == [r for r in before if r.value is not None]
    with reading(bench.engine) as connection:
        assert len(soundness.faults(connection)) == 1
    go_down(bench.engine, "languages")
    upgrade(bench.engine)
    assert rows(bench.engine, tables.booked) == before
    with reading(bench.engine) as connection:
        assert soundness.faults(connection) == []


def test_keys_are_folded_but_where_two_stood_that_differ_by_case_alone(bench):
    for name in ("L1", "L2", "Ä3"):
        lot(bench, LOTS[0] | {"lot": name})
    go_down(bench.engine, "languages")
    key = "UPDATE standing_record SET key = '{}' WHERE record_id = {}"
    with writing(bench.engine) as connection:
        for record, name in ((1, "L1"), (2, "l1"), (3, "Ä3")):
            connection.exec_driver_sql(key.format(name, record))
    upgrade(bench.engine)
    assert [row.key for row in rows(bench.engine, tables.standing_record)] == ["L1", "l1", "ä3"]
    with pytest.raises(Faulty):
        lot(bench, LOTS[0] | {"lot": "ä3"}, number=2)
