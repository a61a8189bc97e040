"""Migrations keep every row, also when they are killed, and the triggers that guard them."""

import os
import signal
from collections import Counter

import pytest
from alembic import command
from sqlalchemy import event, select

from app.database import (
    migrate,
    migrations,
    open_database,
    reading,
    rebuilding,
    writing,
)
from app.keeping.copies import counts_of, tables_of
from app.keeping.fitness import known_revision, revision_of
from app.ledger import mills, soundness
from app.ledger.canonical import canonical, digest
from tests.bench import NOON
from tests.keeping import fill

EARLIER = ("first_ledger", "uncertainty", "signatures")
GUARDED = (
    "mill", "season", "shift", "entry", "record", "convention", "target", "uncertainty",
    "duplicate", "lime_dose", "note", "sampling", "part", "signature", "review", "issue",
    "issue_file", "event",
)  # fmt: skip
TRIGGERS = {
    "sqlite": {
        *(f"{table}_no_{what}" for table in GUARDED for what in ("update", "delete", "replace")),
        "event_no_gap", "person_no_rename", "person_no_delete", "person_no_replace",
    },
    "postgresql": {
        *(f"{table}_no_{change}" for table in GUARDED for change in ("change", "truncate")),
        "event_no_gap", "person_no_rename", "person_no_truncate",
    },
}  # fmt: skip
LIST_TRIGGERS = {
    "sqlite": "SELECT name FROM sqlite_master WHERE type = 'trigger'",
    "postgresql": "SELECT tgname FROM pg_trigger WHERE NOT tgisinternal",
}


def go_down(engine, revision):
    with rebuilding(engine) as connection:
        command.downgrade(migrations(connection), revision)


def columns_of(engine):
    """Return the names of the columns of each table, without the chain, which is told anew."""
    with reading(engine) as connection:
        found = {t.name: list(t.c.keys()) for t in tables_of(connection)}
    return {table: columns for table, columns in found.items() if table != "event"}


def content_hash(engine, columns):
    """Return a digest of every row of those columns, and how many rows each table has."""
    with reading(engine) as connection:
        tables = {t.name: t for t in tables_of(connection)}
        rows = {
            name: [
                [value.hex() if isinstance(value, bytes) else value for value in row]
                for row in connection.execute(
                    select(*(tables[name].c[column] for column in kept)).order_by(
                        *tables[name].primary_key.columns
                    )
                )
            ]
            for name, kept in columns.items()
        }
    return digest("content", canonical(rows)), {name: len(found) for name, found in rows.items()}


@pytest.mark.both_engines
@pytest.mark.parametrize("revision", EARLIER)
def test_every_earlier_ledger_goes_up_down_and_up_with_all_its_rows(bench, revision):
    """B-35, B-36, B-38: a filled one; children as many as before."""
    fill(bench)
    go_down(bench.engine, revision)
    columns = columns_of(bench.engine)
    before = content_hash(bench.engine, columns)
    assert before[1]["entry"] == 3
    assert before[1]["standing"] == 2
    for way in (migrate, lambda engine: go_down(engine, revision), migrate):
        way(bench.engine)
        assert content_hash(bench.engine, columns) == before
    with reading(bench.engine) as connection:
        assert soundness.faults(connection) == []
        kinds = Counter(connection.exec_driver_sql("SELECT kind FROM event").scalars())
    assert kinds["entry"] == 3


@pytest.mark.both_engines
def test_the_chain_stays_whole_where_no_row_of_a_later_table_is_told(bench):
    first = bench.write("cane", "1250")
    bench.write("cane", "1205", based_on=first.id, reason="swapped")
    go_down(bench.engine, "chain")
    migrate(bench.engine)
    with reading(bench.engine) as connection:
        assert soundness.faults(connection) == []


@pytest.mark.both_engines
def test_an_older_ledger_is_not_made_of_one_with_several_samples(bench):
    bench.write("cane", "1250")
    bench.write("cane", "1251", determination=2)
    with pytest.raises(RuntimeError, match="1 entries are of further samples"):
        go_down(bench.engine, "chain")


def test_a_season_named_after_two_years_is_told_as_it_is(engine, bench):
    with writing(engine) as connection:
        first_day = bench.day.replace(2027)
        mills.add_season(connection, bench.mill, name="2027-28", first_day=first_day, at=NOON)
    go_down(engine, "signatures")
    migrate(engine)
    with reading(engine) as connection:
        assert soundness.faults(connection) == []


@pytest.mark.both_engines
def test_the_triggers_are_those_listed(engine):
    with reading(engine) as connection:
        found = connection.exec_driver_sql(LIST_TRIGGERS[engine.dialect.name]).scalars().all()
    assert Counter(found) == Counter(TRIGGERS[engine.dialect.name])


def with_children(engine):
    with writing(engine) as connection:
        connection.exec_driver_sql("CREATE TABLE parent (id INTEGER PRIMARY KEY)")
        connection.exec_driver_sql(
            "CREATE TABLE child (id INTEGER PRIMARY KEY, "
            "parent_id INTEGER REFERENCES parent (id) ON DELETE CASCADE)"
        )
        connection.exec_driver_sql("INSERT INTO parent VALUES (1)")
        connection.exec_driver_sql("INSERT INTO child VALUES (1, 1), (2, 1)")


def rebuild_parent(connection):
    connection.exec_driver_sql("CREATE TABLE rebuilt (id INTEGER PRIMARY KEY)")
    connection.exec_driver_sql("INSERT INTO rebuilt SELECT id FROM parent")
    connection.exec_driver_sql("DROP TABLE parent")
    connection.exec_driver_sql("ALTER TABLE rebuilt RENAME TO parent")


@pytest.mark.parametrize(("way", "children"), [(writing, 0), (rebuilding, 2)])
def test_a_table_rebuilt_with_foreign_keys_on_loses_its_children(engine, way, children):
    """M6: the first is the negative control, which the count of children sees."""
    with_children(engine)
    with way(engine) as connection:
        rebuild_parent(connection)
    with reading(engine) as connection:
        assert counts_of(connection)["child"] == children


def test_rows_left_without_their_parent_undo_a_rebuilding(engine):
    with_children(engine)
    with (
        pytest.raises(ValueError, match="refers to rows that are not there"),
        rebuilding(engine) as connection,
    ):
        connection.exec_driver_sql("DELETE FROM parent")
    with reading(engine) as connection:
        assert counts_of(connection)["parent"] == 1


def killed_at_statement(url, number):
    """Migrate in a child that is killed before a statement; False once it is not come to."""
    child = os.fork()
    if child == 0:
        try:
            count = iter(range(1, 1_000_000))

            def kill(*_):
                if next(count) == number:
                    os.kill(os.getpid(), signal.SIGKILL)

            engine = open_database(url)
            event.listen(engine, "before_cursor_execute", kill)
            migrate(engine)
            os._exit(0)
        finally:
            os._exit(1)
    return os.waitpid(child, 0)[1] == signal.SIGKILL


@pytest.mark.both_engines
def test_a_killed_migration_leaves_the_older_ledger_or_the_newer(bench, database_url):
    """B-37: killed before every ninth statement of all that the migrations run."""
    fill(bench)
    go_down(bench.engine, "first_ledger")
    columns = columns_of(bench.engine)
    before = content_hash(bench.engine, columns)
    bench.engine.dispose()
    number = 2
    while killed_at_statement(database_url, number):
        with reading(bench.engine) as connection:
            assert revision_of(connection) == "first_ledger"
        assert content_hash(bench.engine, columns) == before
        bench.engine.dispose()
        number += 9
    assert number > 60
    with reading(bench.engine) as connection:
        revision, known = known_revision(connection)
        assert revision == known.get_current_head()
        assert soundness.faults(connection) == []
    assert content_hash(bench.engine, columns) == before


@pytest.mark.both_engines
def test_a_migration_does_not_wait_for_ever(engine):
    """B-39."""
    with rebuilding(engine) as connection:
        if engine.dialect.name == "postgresql":
            assert connection.exec_driver_sql("SHOW lock_timeout").scalar() == "10s"
            assert connection.exec_driver_sql("SHOW statement_timeout").scalar() == "15min"
        else:
            assert connection.exec_driver_sql("PRAGMA busy_timeout").scalar() == 5000
