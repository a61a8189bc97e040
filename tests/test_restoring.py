"""Restoring a backup loses nothing unsaid, on either engine, whenever it is cut short."""

import shutil
import stat
from contextlib import closing

import pytest

from app.database import Unfit, file_of, open_database, reading
from app.keeping import backups, copies, restoring
from app.keeping.copies import Unsound
from app.ledger import soundness
from app.locks import Held, alone
from tests.bench import NOON, new_bench
from tests.conftest import _address, _ask
from tests.keeping import bare, content_of, fill, head_of, killed_at, later


@pytest.fixture
def empty_postgresql(postgresql):
    name = "ledger_to_restore"
    _ask(postgresql, f"CREATE DATABASE {name}")
    yield _address(postgresql, name)
    _ask(postgresql, f"DROP DATABASE {name} WITH (FORCE)")


def test_a_restore_replaces_what_is_there_and_keeps_it(bench, tmp_path):
    """B-26: and side files of the older database do not get into the restored one."""
    fill(bench)
    backup = backups.back_up(bench.engine, tmp_path / "backups", at=NOON)
    before = content_of(bench.engine)
    bench.write("lime", "1.5")
    after, path = content_of(bench.engine), file_of(bench.engine)
    wal = path.with_name(f"{path.name}-wal")
    assert wal.stat().st_size > 0
    stale = wal.read_bytes()
    bench.engine.dispose()
    wal.write_bytes(stale)
    restoring.restore_sqlite(backup, path, later(1))
    assert not wal.exists()
    assert content_of(bench.engine) == before
    kept = restoring.kept_name(path, later(1))
    assert stat.S_IMODE(kept.stat().st_mode) == 0o600
    replaced = open_database(f"sqlite:///{kept}")
    assert content_of(replaced) == after
    replaced.dispose()


def test_a_damaged_ledger_is_kept_as_it_is_when_replaced(bench, tmp_path):
    fill(bench)
    backup = backups.back_up(bench.engine, tmp_path / "backups", at=NOON)
    bench.engine.dispose()
    path = file_of(bench.engine)
    path.write_bytes(b"damaged" * 1000)
    assert restoring.present(bench.engine, backup).loses == "What is there cannot be read."
    restoring.restore_sqlite(backup, path, NOON)
    assert head_of(bench.engine) == backup.head
    assert restoring.kept_name(path, NOON).read_bytes() == b"damaged" * 1000


@pytest.mark.parametrize("stage", ["examine", "safety_copy", "flush", "_put_in_place"])
def test_a_restore_that_is_killed_leaves_one_whole_ledger(bench, tmp_path, stage):
    """F-04."""
    fill(bench)
    backup = backups.back_up(bench.engine, tmp_path / "backups", at=NOON)
    bench.write("lime", "1.5")
    longer = head_of(bench.engine)
    bench.engine.dispose()
    path = file_of(bench.engine)
    assert killed_at(restoring, stage, lambda: restoring.restore_sqlite(backup, path, NOON))
    assert head_of(bench.engine) == longer
    assert bench.read(soundness.faults) == []
    bench.engine.dispose()
    restoring.restore_sqlite(backup, path, NOON)
    assert bench.read(soundness.faults) == []


@pytest.mark.parametrize(
    ("module", "stage"), [(copies, "flush"), (restoring, "_put_in_place")], ids=["copied", "kept"]
)
def test_a_killed_restore_takes_nothing_away_from_a_damaged_ledger(bench, tmp_path, module, stage):
    """F-04: what was written last stays beside it, where alone it may be."""
    fill(bench)
    backup = backups.back_up(bench.engine, tmp_path / "backups", at=NOON)
    bench.engine.dispose()
    path = file_of(bench.engine)
    wal = path.with_name(f"{path.name}-wal")
    path.write_bytes(b"damaged" * 1000)
    wal.write_bytes(b"newest")
    assert killed_at(module, stage, lambda: restoring.restore_sqlite(backup, path, NOON))
    assert (path.read_bytes(), wal.read_bytes()) == (b"damaged" * 1000, b"newest")
    restoring.restore_sqlite(backup, path, NOON)
    assert head_of(bench.engine) == backup.head
    kept = restoring.kept_name(path, NOON)
    assert kept.with_name(f"{kept.name}-wal").read_bytes() == b"newest"


@pytest.mark.parametrize("does", [[], ["BEGIN", "SELECT * FROM entry"], ["BEGIN IMMEDIATE"]])
def test_nobody_replaces_a_ledger_that_another_program_has_open(bench, tmp_path, does):
    fill(bench)
    backup = backups.back_up(bench.engine, tmp_path / "backups", at=NOON)
    bench.write("lime", "1.5")
    longer = head_of(bench.engine)
    bench.engine.dispose()
    path = file_of(bench.engine)
    with closing(bare(bench.engine)) as other:
        other.execute("SELECT 1 FROM entry").fetchone()
        for statement in does:
            other.execute(statement)
        with pytest.raises(Held, match="is in use by another program"):
            restoring.restore_sqlite(backup, path, NOON)
    assert head_of(bench.engine) == longer
    assert bench.read(soundness.faults) == []


def test_nobody_replaces_a_ledger_that_is_served(bench, tmp_path):
    backup = backups.back_up(bench.engine, tmp_path / "backups", at=NOON)
    path = file_of(bench.engine)
    with alone(path), pytest.raises(Held, match="is in use already, by process"):
        restoring.restore_sqlite(backup, path, NOON)


@pytest.mark.both_engines
def test_what_a_restore_would_lose_is_named(bench, tmp_path):
    """A-26, F-41: yesterday's backup."""
    fill(bench)
    backup = backups.back_up(bench.engine, tmp_path / "backups", at=NOON)
    there = restoring.present(bench.engine, backup)
    assert (there.mill, there.is_another, there.loses) == ("Willow Bend", False, "")
    bench.write("lime", "1.5", at=later(2))
    bench.write("imbibition", "150", at=later(3))
    there = restoring.present(bench.engine, backup)
    last = backup.head.number
    assert there.loses == (
        f"Events {last + 1} to {last + 2} of the present ledger, written from 2026-06-03 19:00 "
        "to 2026-06-03 20:00 UTC, are not in the backup."
    )
    assert not there.is_another


def test_the_backup_of_another_ledger_is_told_apart(bench, tmp_path, migrated):
    """F-41: one of the same name, too, by its chain."""
    other = open_database(f"sqlite:///{shutil.copy(migrated, tmp_path / 'other.db')}")
    fill(new_bench(other))
    bench.write("lime", "1.5")
    backup = backups.back_up(other, tmp_path / "backups", at=NOON)
    other.dispose()
    assert restoring.present(bench.engine, backup).is_another


@pytest.mark.both_engines
def test_a_backup_of_either_engine_is_restored_to_postgresql(bench, tmp_path, empty_postgresql):
    """B-22: and the ledger goes on from there."""
    fill(bench)
    backup = backups.back_up(bench.engine, tmp_path / "backups", at=NOON)
    target = open_database(empty_postgresql)
    restoring.restore_postgresql(backup, target)
    assert content_of(target) == content_of(bench.engine)
    with reading(target) as connection:
        assert soundness.faults(connection) == []
    moved = type(bench)(target, bench.mill, bench.season, bench.ann, bench.bob)
    assert moved.write("lime", "1.5").id == 4
    assert head_of(target).number == backup.head.number + 1
    with pytest.raises(Unfit, match="This database is not empty"):
        restoring.restore_postgresql(backup, target)
    target.dispose()


def test_a_restore_to_postgresql_that_fails_leaves_nothing(
    bench, tmp_path, empty_postgresql, monkeypatch
):
    fill(bench)
    backup = backups.back_up(bench.engine, tmp_path / "backups", at=NOON)
    target = open_database(empty_postgresql)
    monkeypatch.setattr(restoring, "counts_of", lambda _: {})
    with pytest.raises(Unsound, match="Not every row"):
        restoring.restore_postgresql(backup, target)
    with closing(bare(target)) as connection:
        query = "SELECT count(*) FROM information_schema.tables WHERE table_schema = 'public'"
        assert connection.execute(query).fetchone() == (0,)
    target.dispose()
