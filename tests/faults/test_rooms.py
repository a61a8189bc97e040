"""Where there is no room, or nothing may be written, the ledger says so and stays whole."""

import subprocess
import sys
from itertools import count

import pytest
from sqlalchemy.exc import OperationalError

from app.database import open_database, reading, writing
from app.ledger import mills, people
from tests.faults.kills import ROOT, faults, missing
from tests.faults.rooms import make_read_only, may_mount, mounted, small_room, without_names
from tests.faults.table import Row
from tests.faults.writer import saved_sheet


@pytest.fixture
def room(tmp_path):
    with small_room(tmp_path / "room") as room:
        yield room


@pytest.fixture
def disk_of_its_own(tmp_path):
    if not may_mount():
        pytest.skip("root may mount a file system here, and nobody else can make one read-only")
    with mounted(tmp_path / "mounted", "size=4m") as folder:
        yield folder


def test_a_full_disk_loses_nothing_and_writing_goes_on_once_it_is_freed(
    room, another, often, shown
):
    """F-10, B-15: the same connections go on, without a restart."""
    engine = open_database(another(room.folder))
    with reading(engine) as connection:
        season = mills.season_named(connection, mills.the_mill(connection), "2026")
        ann = next(p for p in people.people(connection) if p.username == "ann")
    numbers, saved = count(), []

    def write(sheets=1):
        for _ in range(sheets):
            with writing(engine) as connection:
                sheet = saved_sheet(connection, season, ann, next(numbers))
            saved.append(sheet)

    times = often(3, full=25)
    for turn in range(times):
        write()
        room.fill(20_000 * turn)
        with pytest.raises(OperationalError, match=r"full|disk I/O"):
            write(500)
        assert missing(engine, saved) == []
        room.free()
        write()
    lost, found = missing(engine, saved), faults(engine)
    engine.dispose()
    acknowledged = 3 * len(saved)
    shown(Row("F-10", room.how, times, acknowledged, 3 * len(lost), "whole" if not found else "no"))
    assert lost == []
    assert found == []


@pytest.mark.parametrize("how", ["read-only", "no more files"])
def test_a_folder_that_takes_no_files_stops_the_start_and_is_named(
    disk_of_its_own, another, how, shown
):
    """F-11: the server says why; whoever verifies is told of no damage."""
    address = another(disk_of_its_own)
    if how == "read-only":
        make_read_only(disk_of_its_own)
        why = "Read-only file system"
    else:
        without_names(disk_of_its_own)
        why = "No space left on device"
    code, said = run(["serve", "--port", "0"], address)
    assert code == 2
    assert why in said
    code, said = run(["verify"], address)
    assert code == 2
    assert "cannot be read" in said
    assert "Can its folder be written in?" in said
    assert "damaged" not in said
    shown(Row("F-11", f"folder {how} at the start", 1, 0, 0, "refused, with the cause"))


def run(command, address):
    """Run a command on a ledger; returns its code and what it said of trouble."""
    ran = subprocess.run(
        [sys.executable, "-m", "app.cli", *command], cwd=ROOT, capture_output=True, text=True,
        env={"LEDGER_DATABASE_URL": address}, timeout=60,
    )  # fmt: skip
    return ran.returncode, ran.stderr
