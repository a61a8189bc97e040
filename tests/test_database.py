"""The database itself: append-only on any connection, migrations, and writers at one time."""

import re
import sqlite3
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from threading import Barrier

import psycopg
import pytest
from alembic import command
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from sqlalchemy import inspect, select
from sqlalchemy.exc import IntegrityError

from app.database import (
    NoDatabase,
    migrate,
    migrations,
    open_database,
    reading,
    rebuilding,
    writing,
)
from app.ledger import book, tables
from app.ledger.book import Conflict
from tests.bench import NOON, new_bench
from tests.keeping import bare, fill

KEPT = (*(table.name for table in tables.APPEND_ONLY), "event", "person")
KEY = {"event": "number"}  # of which rows are told apart; of the others it is the id
CHANGES = [
    "UPDATE {table} SET {key} = 99",
    "UPDATE {table} SET {key} = {key} + 50",
    "DELETE FROM {table}",
]
MORE = {
    "sqlite": [
        "UPDATE OR REPLACE {table} SET {key} = 2",
        "INSERT OR REPLACE INTO {table} SELECT * FROM {table}",
        "INSERT INTO {table} SELECT * FROM {table} WHERE true "
        "ON CONFLICT ({key}) DO UPDATE SET {key} = 77",
    ],
    "postgresql": [
        "TRUNCATE {table} CASCADE",
        "INSERT INTO {table} SELECT * FROM {table} ON CONFLICT ({key}) DO UPDATE SET {key} = 77",
    ],
}
# rows that no other may equal in columns beside the id: which rows, and which columns
UNIQUE = [
    ("entry", 2, "supersedes_id"), ("entry", 1, None), ("duplicate", 2, "withdraws_id"),
    ("mill", 1, "name"), ("season", 1, "mill_id, name"), ("shift", 1, "season_id, day, number"),
    ("issue", 1, "season_id, day, number"), ("issue_file", 1, "issue_id, name"),
    ("person", 1, "username"),
]  # fmt: skip


def as_a_new_row(engine, table, row_id, unique):
    """Return a statement that would put a copy of a row in its place, under another id."""
    columns = ", ".join(c.name for c in tables.metadata.tables[table].columns if c.name != "id")
    copy = f"INTO {table} ({columns}) SELECT {columns} FROM {table} WHERE id = {row_id}"
    if engine == "sqlite":
        return f"INSERT OR REPLACE {copy}"
    return f"INSERT {copy} ON CONFLICT ({unique}) DO UPDATE SET id = 99" if unique else ""


def rows(connection):
    return {
        table: connection.execute(f"SELECT * FROM {table} ORDER BY 1").fetchall()
        for table in (*KEPT, "standing")
    }


@pytest.mark.both_engines
def test_nobody_changes_what_was_written(bench):
    """A-11: on a connection that has none of the ledger's settings."""
    fill(bench)
    engine = bench.engine.dialect.name
    statements = [
        change.format(table=table, key=KEY.get(table, "id"))
        for change in CHANGES + MORE[engine]
        for table in KEPT
    ] + [as_a_new_row(engine, *unique) for unique in UNIQUE]
    connection = bare(bench.engine)
    before = rows(connection)
    assert all(before.values())
    for statement in filter(None, statements):
        with pytest.raises(
            (sqlite3.Error, psycopg.Error), match=r"is append-only|has no gap|person is kept"
        ):
            connection.execute(statement)
    assert rows(connection) == before
    connection.close()


@pytest.mark.both_engines
@pytest.mark.parametrize("column", ["username", "created_at"])
def test_nobody_is_renamed(bench, column):
    other = {"username": "'eve'", "created_at": "'2026-01-01 00:00:00'"}[column]
    with closing(bare(bench.engine)) as connection:
        with pytest.raises((sqlite3.Error, psycopg.Error), match="person is kept"):
            connection.execute(f"UPDATE person SET {column} = {other} WHERE id = 1")
        connection.execute("UPDATE person SET active = false WHERE id = 1")


@pytest.mark.both_engines
@pytest.mark.parametrize(
    ("rule", "wrong"),
    [
        ("number_has_value", {"value": None}),
        ("number_has_value", {"state": "not measured"}),
        ("correction_has_reason", {"supersedes_id": 2, "reason": "  "}),
        ("void_supersedes", {"state": "void", "value": None}),
    ],
)
def test_the_database_refuses_an_entry_that_contradicts_itself(bench, rule, wrong):
    fill(bench)
    row = {
        "shift_id": 1, "measure": "lime", "sample": 1, "state": "number", "typed": "1.5",
        "value": "1.5", "unit": "t", "recorded_by": bench.ann.id, "recorded_name": "Ann",
        "recorded_at": NOON,
    }  # fmt: skip
    with writing(bench.engine) as connection:
        connection.execute(tables.entry.insert().values(row | {"sample": 2}))
    with pytest.raises(IntegrityError, match=rule), writing(bench.engine) as connection:
        connection.execute(tables.entry.insert().values(row | wrong))


@pytest.mark.both_engines
def test_the_tables_declared_are_those_migrated(engine):
    with reading(engine) as connection:
        context = MigrationContext.configure(connection, opts={"compare_server_default": True})
        assert compare_metadata(context, tables.metadata) == []


def test_the_constraints_declared_are_those_migrated(engine, tmp_path):
    declared = open_database(f"sqlite:///{tmp_path / 'declared.db'}", create=True)
    with writing(declared) as connection:
        tables.metadata.create_all(connection)
    assert made(declared) == made(engine)
    declared.dispose()


def plain(sql):
    """Return what made a table without its outer parentheses, quotes and layout."""
    one_line = " ".join(sql.replace('"', "").split())
    return re.sub(r"^(CREATE TABLE \w+ )\((.*)\)(.*)", r"\1\3,\2", one_line)


def made(engine):
    """Return the parts that made each table and index, in no order."""
    query = "SELECT name, sql FROM sqlite_master WHERE type IN ('table', 'index')"
    with reading(engine) as connection:
        found = connection.exec_driver_sql(query).all()
    return {
        name: sorted(part.strip() for part in re.split(r",(?![^(]*\))", plain(sql)))
        for name, sql in found
        if sql and not name.startswith(("alembic", "sqlite"))
    }


@pytest.mark.both_engines
def test_migrations_go_up_down_and_up_again_with_rows_in_the_tables(bench):
    fill(bench)
    with rebuilding(bench.engine) as connection:
        command.downgrade(migrations(connection), "base")
    with reading(bench.engine) as connection:
        assert inspect(connection).get_table_names() == ["alembic_version"]
    migrate(bench.engine)
    migrate(bench.engine)
    fill(new_bench(bench.engine))


def test_a_missing_file_is_said_plainly_and_not_made(tmp_path):
    missing = tmp_path / "none.db"
    with pytest.raises(NoDatabase, match=r"no ledger at .*none\.db"):
        open_database(f"sqlite:///{missing}")
    assert not missing.exists()


WRITERS, EACH = 6, 8


@pytest.mark.both_engines
def test_writers_of_one_cell_at_one_time_lose_nothing(bench):
    """Each tries until its own text stands; every text must then be in the trail, once."""
    together = Barrier(WRITERS)

    def write(writer):
        together.wait()
        for n in range(EACH):
            typed = f"{writer + 1}00.{n}"
            while not settled(bench, typed):
                pass

    with ThreadPoolExecutor(WRITERS) as pool:
        list(pool.map(write, range(WRITERS)))
    trail = bench.trail("cane")
    texts = [f"{writer + 1}00.{n}" for writer in range(WRITERS) for n in range(EACH)]
    assert sorted(entry.typed for entry in trail) == sorted(texts)
    assert [entry.supersedes_id for entry in trail] == [None, *(entry.id for entry in trail[:-1])]


def settled(bench, typed):
    shown = bench.read(book.sheet, bench.season, bench.day, bench.number).get("cane")
    try:
        bench.write("cane", typed, shown.id if shown else None, "turn")
    except Conflict:
        return False
    return True


@pytest.mark.both_engines
def test_writers_who_open_a_sheet_at_one_time_share_it(bench):
    together = Barrier(WRITERS)
    measures = ["cane", "imbibition", "mixed_juice", "bagasse", "lime", "filter_cake"]

    def write(measure):
        together.wait()
        return bench.write(measure, "30")

    with ThreadPoolExecutor(WRITERS) as pool:
        written = list(pool.map(write, measures))
    sheet = bench.read(book.sheet, bench.season, bench.day, bench.number)
    assert sheet == {entry.measure: entry for entry in written}
    with reading(bench.engine) as connection:
        assert len(connection.execute(select(tables.shift)).all()) == 1


@pytest.mark.both_engines
def test_a_reader_sees_one_state_throughout(bench):
    first = bench.write("cane", "1250")
    with reading(bench.engine) as connection:
        before = book.sheet(connection, bench.season, bench.day, bench.number)
        bench.write("cane", "1205", based_on=first.id, reason="swapped")
        assert book.sheet(connection, bench.season, bench.day, bench.number) == before
