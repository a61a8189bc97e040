"""Backups are whole, made in use, kept as long as needed; restoring one loses nothing unsaid."""

import shutil
import sqlite3
import stat
import threading
from contextlib import closing
from datetime import date, timedelta

import pytest
from alembic import command

from app.database import (
    file_of,
    migrations,
    open_database,
    rebuilding,
    writing,
)
from app.keeping import backups, copies
from app.keeping.copies import Unsound, examine
from app.ledger import book, tables
from tests.bench import NOON
from tests.keeping import content_of, fill, head_of, killed_at, later, unguarded


@pytest.mark.both_engines
def test_a_backup_holds_everything_and_is_for_us_alone(bench, tmp_path):
    """B-20, B-21, B-27: from either engine one kind of file, examined, read by its owner only."""
    fill(bench)
    folder = tmp_path / "backups"
    made = backups.back_up(bench.engine, folder, at=NOON)
    head = head_of(bench.engine)
    assert made.head == head
    assert made.path.name == f"mill-ledger-20260603T170000Z-{head.number}.db"
    assert [path.name for path in folder.iterdir()] == [made.path.name]
    assert stat.S_IMODE(made.path.stat().st_mode) == 0o600
    assert made.counts["entry"] == 3
    again = open_database(f"sqlite:///{shutil.copy(made.path, tmp_path / 'opened.db')}")
    assert content_of(again) == content_of(bench.engine)
    again.dispose()


@pytest.mark.both_engines
def test_every_backup_made_while_others_write_is_whole(bench, tmp_path):
    """B-20."""
    fill(bench)
    over, written = threading.Event(), []

    def write():
        while not over.is_set():
            standing = bench.read(book.sheet, bench.season, bench.day, bench.number)["cane"]
            written.append(bench.write("cane", f"{1300 + len(written)}", standing.id, "again"))

    writer = threading.Thread(target=write)
    writer.start()
    try:
        made = [backups.back_up(bench.engine, tmp_path / f"{n}", at=NOON) for n in range(8)]
    finally:
        over.set()
        writer.join()
    numbers = [each.head.number for each in made]
    assert numbers == sorted(numbers)
    assert numbers[-1] > numbers[0]
    assert [examine(each.path).head for each in made] == [each.head for each in made]
    assert len(bench.trail("cane")) == len(written) + 2


def test_a_plain_copy_of_a_ledger_in_use_is_refused(bench, tmp_path):
    """B-21, M2: such a copy lacks what was written last, and its structure is sound."""
    fill(bench)
    path, copy = file_of(bench.engine), tmp_path / "copy.db"
    shutil.copy(path, copy)
    with closing(sqlite3.connect(f"file:{copy}?immutable=1", uri=True)) as plain:
        assert plain.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert plain.execute("SELECT count(*) FROM entry").fetchone() == (0,)
    with pytest.raises(Unsound, match="is a plain copy of a ledger in use"):
        examine(copy)


def test_a_backup_that_lacks_rows_is_refused_though_its_structure_is_sound(
    bench, tmp_path, monkeypatch
):
    fill(bench)
    copy_into = backups.copy_into

    def losing(connection, path):
        copy_into(connection, path)
        with closing(sqlite3.connect(path)) as plain:
            plain.execute("DELETE FROM answered")
            plain.commit()

    with writing(bench.engine) as connection:
        values = {"key": "1", "digest": "", "location": "/", "at": NOON}
        connection.execute(tables.answered.insert().values(values))
    monkeypatch.setattr(backups, "copy_into", losing)
    with pytest.raises(Unsound, match="does not hold what the ledger held"):
        backups.back_up(bench.engine, tmp_path / "backups", at=NOON)
    assert backups.kept_in(tmp_path / "backups") == []


def test_a_ledger_that_is_not_sound_gives_no_backup(bench, tmp_path):
    fill(bench)
    with unguarded(bench.engine) as connection:
        connection.execute("UPDATE entry SET typed = '9' WHERE id = 2")
    with pytest.raises(Unsound, match="entry 2 is not as event"):
        backups.back_up(bench.engine, tmp_path / "backups", at=NOON)
    assert backups.kept_in(tmp_path / "backups") == []


@pytest.mark.parametrize("stage", ["copy_into", "examine", "_finish", "flush"])
def test_a_backup_that_is_killed_never_looks_finished(bench, tmp_path, stage):
    """B-23, F-04: after `_finish` has renamed it, at its last flush, it is whole."""
    fill(bench)
    bench.engine.dispose()
    folder = tmp_path / "backups"
    assert killed_at(backups, stage, lambda: backups.back_up(bench.engine, folder, at=NOON))
    finished = backups.kept_in(folder)
    assert len(finished) == (stage == "flush")
    assert all(examine(kept.path).head == head_of(bench.engine) for kept in finished)
    assert backups.back_up(bench.engine, folder, at=later(1)).head == head_of(bench.engine)


def made_at(folder, moment, number=5, content=b"not looked at"):
    path = folder / f"mill-ledger-{moment:%Y%m%dT%H%M%SZ}-{number}.db"
    path.write_bytes(content)
    return path


def test_backups_are_kept_by_days_weeks_and_seasons(tmp_path):
    """B-24: two a day over 400 days."""
    days = [NOON - timedelta(days=n) for n in range(400)]
    for day in days:
        made_at(tmp_path, day)
        made_at(tmp_path, day - timedelta(hours=6), number=4)
    newest = backups.kept_in(tmp_path)[0].path
    starts = [date(2025, 6, 1), date(2026, 3, 1)]
    gone = backups.prune(tmp_path, starts, sound=newest)
    kept = {each.at for each in backups.kept_in(tmp_path)}
    daily = set(days[:14])
    # NOON is a Wednesday: the last of each of seven earlier weeks is a Sunday
    sundays = {NOON - timedelta(days=3 + 7 * n) for n in range(7)}
    seasons = {days[0], NOON.replace(month=2, day=28), NOON.replace(year=2025, month=5, day=31)}
    assert kept == daily | sundays | seasons
    assert len(gone) == 800 - len(kept)
    assert backups.prune(tmp_path, starts, sound=newest) == []


def test_the_newest_sound_backup_is_never_taken_away(bench, tmp_path):
    """B-24: the five newest are damaged."""
    fill(bench)
    sound = backups.back_up(bench.engine, tmp_path / "backups", at=NOON - timedelta(hours=9))
    for n in range(5):
        made_at(tmp_path / "backups", NOON - timedelta(hours=n), number=99)
    gone = backups.prune(tmp_path / "backups", [])
    assert len(gone) == 4
    assert sound.path.exists()
    sound.path.unlink()
    made_at(tmp_path / "backups", NOON - timedelta(hours=8))
    assert backups.prune(tmp_path / "backups", []) == []


def test_a_second_device_gets_the_same_and_must_be_there(bench, tmp_path):
    """B-25."""
    made = backups.back_up(bench.engine, tmp_path / "backups", at=NOON)
    with pytest.raises(NotADirectoryError, match="is the second device there"):
        backups.copy_to(made.path, tmp_path / "device")
    assert not (tmp_path / "device").exists()
    (tmp_path / "device").mkdir()
    copy = backups.copy_to(made.path, tmp_path / "device")
    assert examine(copy).head == made.head
    assert stat.S_IMODE(copy.stat().st_mode) == 0o600


@pytest.mark.both_engines
def test_the_newest_backup_is_restored_elsewhere_to_prove_it(bench, tmp_path):
    """B-22."""
    fill(bench)
    with pytest.raises(FileNotFoundError, match="There is no backup in"):
        backups.drill(tmp_path)
    made = backups.back_up(bench.engine, tmp_path, at=NOON)
    done = backups.drill(tmp_path)
    assert (done.backup, done.head) == (made.path, made.head)
    assert done.seconds > 0
    made.path.write_bytes(made.path.read_bytes()[:-4096])
    with pytest.raises(Unsound):
        backups.drill(tmp_path)


@pytest.mark.parametrize("content", [b"", b"SQLite format 3\0", b"\0" * 9000, b"none" * 3000])
def test_what_is_no_backup_is_refused(tmp_path, content):
    """F-14."""
    (tmp_path / "file.db").write_bytes(content)
    with pytest.raises(Unsound):
        examine(tmp_path / "file.db")


def test_an_older_backup_is_examined_by_bringing_a_copy_up_to_date(bench, tmp_path):
    bench.write("cane", "1250")
    with rebuilding(bench.engine) as connection:
        command.downgrade(migrations(connection), "uncertainty")
    made = backups.back_up(bench.engine, tmp_path / "backups", at=NOON)
    assert made.revision == "uncertainty"
    digest = made.path.read_bytes()
    assert examine(made.path).counts["entry"] == 1
    assert made.path.read_bytes() == digest
    assert copies.is_in_use(made.path) is False
