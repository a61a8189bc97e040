"""The database itself: append-only on any connection, migrations, and writers at one time."""

import re
import sqlite3
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier

import psycopg
import pytest
from alembic import command
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from sqlalchemy import inspect, make_url, select
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
from app.ledger import book, mills, tables, uncertainty
from app.ledger.book import Conflict
from tests.bench import NOON, new_bench

COLUMNS, OF_PAIRS = (
    ", ".join(column.name for column in table.columns if column.name != "id")
    for table in (tables.entry, tables.duplicate)
)
CHANGES = [
    "UPDATE {table} SET id = 99",
    "UPDATE {table} SET recorded_at = recorded_at",
    "DELETE FROM {table}",
]
MORE = {
    "sqlite": [
        "UPDATE OR REPLACE {table} SET id = 2",
        "INSERT OR REPLACE INTO {table} SELECT * FROM {table}",
        "INSERT INTO {table} SELECT * FROM {table} WHERE true "
        "ON CONFLICT (id) DO UPDATE SET recorded_at = 'never'",
    ],
    "postgresql": [
        "TRUNCATE {table} CASCADE",
        "INSERT INTO {table} SELECT * FROM {table} "
        "ON CONFLICT (id) DO UPDATE SET recorded_at = now()",
    ],
}
OF_ENTRIES = {
    "sqlite": [
        f"INSERT OR REPLACE INTO entry ({COLUMNS}) SELECT {COLUMNS} FROM entry WHERE id = {key}"
        for key in (1, 2)
    ]
    + [
        f"INSERT OR REPLACE INTO duplicate ({OF_PAIRS}) SELECT {OF_PAIRS} FROM duplicate "
        "WHERE id = 2"
    ],
    "postgresql": [
        f"INSERT INTO entry ({COLUMNS}) SELECT {COLUMNS} FROM entry WHERE id = 2 "
        "ON CONFLICT (supersedes_id) DO UPDATE SET typed = '1'",
        f"INSERT INTO duplicate ({OF_PAIRS}) SELECT {OF_PAIRS} FROM duplicate WHERE id = 2 "
        "ON CONFLICT (withdraws_id) DO UPDATE SET first = '1'",
    ],
}


def bare(engine):
    """Return a connection that has none of the ledger's own settings."""
    url = make_url(engine.url)
    if engine.dialect.name == "sqlite":
        return sqlite3.connect(url.database, isolation_level=None)
    plain = url.set(drivername="postgresql").render_as_string(hide_password=False)
    return psycopg.connect(plain, autocommit=True)


def filled(bench):
    first = bench.write("cane", "1250")
    bench.write("cane", "1205", based_on=first.id, reason="swapped")
    since = {"since": bench.day, "by": bench.ann, "at": NOON}
    with writing(bench.engine) as connection:
        mills.add_convention(
            connection, bench.mill, name="pol_basis", value="pol", source="the mill", **since
        )
        mills.add_target(connection, bench.mill, figure="pol_extraction", value=96.5, **since)
        uncertainty.add_uncertainty(
            connection, bench.mill, measure="mixed_juice_brix", random=0.03, systematic=0.05,
            relative=False, source="the mill", **since,
        )  # fmt: skip
        who = {"by": bench.ann, "at": NOON}
        uncertainty.add_duplicate(
            connection, bench.mill, measure="mixed_juice_brix", day=bench.day, first="14.2",
            second="14.3", **who,
        )  # fmt: skip
        uncertainty.withdraw_duplicate(connection, bench.mill, 1, reason="spilt", **who)
        dose = {"from_ph": "5.2", "to_ph": "7.2", "dose": "0.6", "mill_id": bench.mill.id}
        by = {"recorded_by": bench.ann.id, "recorded_at": NOON}
        connection.execute(tables.lime_dose.insert().values(dose | by))


APPEND_ONLY = ("entry", "convention", "target", "uncertainty", "duplicate", "lime_dose")


def rows(connection):
    kept = (*APPEND_ONLY, "standing")
    return {table: connection.execute(f"SELECT * FROM {table}").fetchall() for table in kept}


@pytest.mark.both_engines
def test_nobody_changes_what_was_written(bench):
    filled(bench)
    engine = bench.engine.dialect.name
    statements = [
        change.format(table=table) for change in CHANGES + MORE[engine] for table in APPEND_ONLY
    ] + OF_ENTRIES[engine]
    connection = bare(bench.engine)
    before = rows(connection)
    assert [len(found) for found in before.values()] == [2, 1, 1, 1, 2, 1, 1]
    for statement in statements:
        with pytest.raises((sqlite3.Error, psycopg.Error), match="is append-only"):
            connection.execute(statement)
    assert rows(connection) == before
    connection.close()


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
    filled(bench)
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
    filled(bench)
    with rebuilding(bench.engine) as connection:
        command.downgrade(migrations(connection), "base")
    with reading(bench.engine) as connection:
        assert inspect(connection).get_table_names() == ["alembic_version"]
    migrate(bench.engine)
    migrate(bench.engine)
    filled(new_bench(bench.engine))


def test_a_missing_file_is_said_plainly_and_not_made(tmp_path):
    missing = tmp_path / "none.db"
    with pytest.raises(NoDatabase, match=r"no ledger at .*none\.db"):
        open_database(f"sqlite:///{missing}")
    assert not missing.exists()


def test_sqlite_survives_a_power_cut_and_keeps_its_rules(engine):
    asked = {"journal_mode": "wal", "synchronous": 2, "foreign_keys": 1, "recursive_triggers": 1}
    with reading(engine) as connection:
        said = {name: connection.exec_driver_sql(f"PRAGMA {name}").scalar() for name in asked}
    assert said == asked


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
