"""What cannot be trusted is not served, and is told plainly; a missing file is not made anew."""

import sqlite3
from contextlib import closing

import pytest
from alembic import command

from app.database import (
    NoDatabase,
    Unfit,
    file_of,
    migrations,
    open_database,
    reading,
    rebuilding,
    writing,
)
from app.keeping import fitness
from tests.keeping import fill


def refused(engine, **accepted):
    with pytest.raises((Unfit, NoDatabase)) as told:
        fitness.check_before_serving(engine, **accepted)
    return str(told.value)


def damaged(engine, change):
    engine.dispose()
    path = file_of(engine)
    for ending in ("-wal", "-shm"):
        path.with_name(path.name + ending).unlink(missing_ok=True)
    change(path)
    return path


def test_a_sound_ledger_is_served_and_its_library_judged(bench):
    """B-04: what is printed says, of a library that has the fault, that the ledger avoids it."""
    faulty, says = fitness.sqlite_verdict()
    assert fitness.check_before_serving(bench.engine) == [says] * faulty
    assert says.startswith(f"SQLite {sqlite3.sqlite_version}")


@pytest.mark.both_engines
def test_a_ledger_without_a_mill_is_refused(engine, monkeypatch):
    monkeypatch.setattr(fitness, "settings_of", lambda _: GOOD)
    assert refused(engine) == "No mill is set up in this ledger. Run: mill-ledger init"


def test_a_missing_file_is_refused_and_not_made(engine):
    """B-10, F-15."""
    path = damaged(engine, lambda path: path.unlink())
    assert f"There is no ledger at {path}" in refused(engine)
    assert not path.exists()


@pytest.mark.parametrize(
    ("content", "words"),
    [(b"", "an empty file"), (b"\0" * 9000, "no ledger"), (b"none" * 3000, "no ledger")],
)
def test_a_file_that_is_none_is_refused_and_left_as_it_is(engine, content, words):
    """F-14."""
    path = damaged(engine, lambda path: path.write_bytes(content))
    told = refused(engine)
    assert words in told
    assert "mill-ledger restore FILE --replace" in told
    assert path.read_bytes() == content


def test_a_file_that_was_cut_short_is_refused(bench):
    """F-14."""
    fill(bench)
    damaged(bench.engine, lambda path: path.write_bytes(path.read_bytes()[: 4096 * 5]))
    assert "damaged" in refused(bench.engine)


def test_a_damaged_structure_is_refused(bench):
    """F-13: the head of a page in the middle."""
    fill(bench)

    def flip(path):
        whole = bytearray(path.read_bytes())
        whole[4096 * 4 : 4096 * 4 + 16] = bytes(byte ^ 0xFF for byte in whole[4096 * 4 :][:16])
        path.write_bytes(whole)

    damaged(bench.engine, flip)
    assert "damaged" in refused(bench.engine)


@pytest.mark.both_engines
def test_an_older_ledger_and_a_newer_one_are_refused(bench, monkeypatch):
    """B-39."""
    monkeypatch.setattr(fitness, "unsafe_settings", lambda _: [])
    fitness.check_before_serving(bench.engine)
    with rebuilding(bench.engine) as connection:
        command.downgrade(migrations(connection), "uncertainty")
    assert "Run: mill-ledger upgrade" in refused(bench.engine)
    with writing(bench.engine) as connection:
        connection.exec_driver_sql("UPDATE alembic_version SET version_num = 'of_next_year'")
    assert "written by a newer program: it stands at “of_next_year”" in refused(bench.engine)
    with writing(bench.engine) as connection:
        connection.exec_driver_sql("DELETE FROM alembic_version")
    assert "holds no ledger" in refused(bench.engine)


def test_another_program_s_database_is_no_ledger(tmp_path):
    with closing(sqlite3.connect(tmp_path / "other.db")) as other:
        other.execute("CREATE TABLE something (id INTEGER)")
    engine = open_database(f"sqlite:///{tmp_path / 'other.db'}")
    assert "holds no ledger" in refused(engine)
    engine.dispose()


@pytest.mark.parametrize(
    ("kind", "share"),
    [
        ("ext4", None), ("xfs", None), ("tmpfs", None), ("nfs4", "nfs4"), ("cifs", "cifs"),
        ("9p", "9p"), ("virtiofs", "virtiofs"), ("fuse.sshfs", "fuse.sshfs"),
    ],
)  # fmt: skip
def test_a_network_file_system_is_refused_unless_accepted(
    bench, tmp_path, monkeypatch, kind, share
):
    """B-03, F-17: by the mount that lies nearest above the file, blanks in its name and all."""
    mounts = tmp_path / "mounts"
    folder = tmp_path / "on a share"
    folder.mkdir()
    escaped = str(folder).replace(" ", "\\040")
    mounts.write_text(
        f"30 1 8:1 / / rw - ext4 /dev/a rw\n31 30 0:9 / {escaped} rw shared:1 - {kind} there rw\n"
        f"32 30 0:9 / {tmp_path} rw - {kind} there rw\n"
    )
    assert fitness.share_of(folder / "ledger.db", mounts) == share
    assert fitness.share_of(tmp_path.parent / "ledger.db", mounts) is None
    monkeypatch.setattr(fitness, "share_of", lambda _: share)
    if share:
        assert f"({share})" in refused(bench.engine)
    else:
        fitness.check_before_serving(bench.engine)
    fitness.check_before_serving(bench.engine, share_accepted=True)


@pytest.mark.parametrize(
    ("version", "faulty"),
    [
        ("3.6.23", False), ("3.7.0", True), ("3.40.1", True), ("3.44.5", True), ("3.44.6", False),
        ("3.45.0", True), ("3.50.6", True), ("3.50.7", False), ("3.51.2", True),
        ("3.51.3", False), ("3.53.1", False),
    ],
)  # fmt: skip
def test_each_version_of_sqlite_is_judged(version, faulty):
    """B-04, F-18."""
    verdict, said = fitness.sqlite_verdict(tuple(map(int, version.split("."))))
    assert verdict == faulty
    assert said.startswith(f"SQLite {version}")
    assert "one connection at a time writes" in said
    assert ("The ledger avoids it" in said) == faulty


GOOD = {"fsync": "on", "full_page_writes": "on", "synchronous_commit": "on", "data_checksums": "on"}


@pytest.mark.parametrize("name", ["fsync", "full_page_writes", "synchronous_commit"])
def test_a_setting_of_postgresql_that_loses_what_it_confirmed_is_named(name):
    """B-08."""
    assert fitness.unsafe_settings(GOOD) == []
    assert fitness.unsafe_settings(GOOD | {name: "off"}) == [f"{name} is off"]


@pytest.mark.both_engines
def test_a_postgresql_that_may_lose_what_it_confirmed_is_refused(bench, monkeypatch):
    """B-08: the server of the tests flushes nothing; one that did would be served."""
    engine = bench.engine
    if engine.dialect.name == "sqlite":
        fitness.check_before_serving(engine)
        return
    assert "fsync is off" in refused(engine)
    with reading(engine) as connection:
        assert fitness.settings_of(connection).keys() == GOOD.keys()
    monkeypatch.setattr(fitness, "settings_of", lambda _: GOOD)
    assert fitness.check_before_serving(engine) == []
    monkeypatch.setattr(fitness, "settings_of", lambda _: GOOD | {"data_checksums": "off"})
    assert "checksums" in fitness.check_before_serving(engine)[0]
