"""The unsafe disk does what it says: of each call, what was flushed stays, what was not goes."""

import random
import subprocess
import sys

import pytest

from tests.faults.unsafe_disk import compiled

BEFORE = b"before" * 1000
FLUSHED = "os.fsync(file)"
FOLDER_FLUSHED = "os.fsync(os.open(data, os.O_RDONLY))"


@pytest.fixture
def run(disk):
    """Run lines of a program on the disk, then cut the power; `file` is old.db, open."""
    (disk.data / "old.db").write_bytes(BEFORE)

    def run(*lines, chance=None):
        program = f"import os; data = {str(disk.data)!r}\n"
        program += "file = os.open(f'{data}/old.db', os.O_RDWR)\n" + "\n".join(lines)
        environment = disk.environment
        subprocess.run([sys.executable, "-S", "-c", program], env=environment, check=True)
        disk.cut(chance)
        return {path.name: path.read_bytes() for path in disk.data.iterdir()}

    return run


@pytest.mark.parametrize(
    ("call", "makes"),
    [
        ("os.pwrite(file, b'AFTER', 3)", b"bef" + b"AFTER" + BEFORE[8:]),
        ("os.pwrite(file, b'AFTER', 5998)", BEFORE[:5998] + b"AFTER"),
        ("os.pwrite(file, b'AFTER', 9000)", BEFORE + bytes(3000) + b"AFTER"),
        ("os.write(file, b'AFTER')", b"AFTER" + BEFORE[5:]),
        ("os.ftruncate(file, 5)", b"befor"),
        ("os.ftruncate(file, 7000)", BEFORE + bytes(1000)),
    ],
)
def test_bytes_stay_once_they_were_flushed(run, call, makes):
    assert run(call) == {"old.db": BEFORE}
    assert run(call, "os.pwrite(file, b'!', 1)") == {"old.db": BEFORE}
    assert run(call, FLUSHED.replace("fsync", "fdatasync"), call) == {"old.db": makes}
    assert run(FLUSHED, "os.ftruncate(file, 1)") == {"old.db": makes}


@pytest.mark.parametrize(
    ("call", "makes"),
    [
        ("os.unlink(f'{data}/old.db')", {}),
        ("os.rename(f'{data}/old.db', f'{data}/other.db')", {"other.db": BEFORE}),
        ("os.open(f'{data}/new.db', os.O_CREAT | os.O_RDWR)", {"old.db": BEFORE, "new.db": b""}),
        (
            "new = os.open(f'{data}/new.db', os.O_CREAT | os.O_RDWR); os.write(new, b'new'); "
            "os.fsync(new); os.rename(f'{data}/new.db', f'{data}/old.db')",
            {"old.db": b"new"},
        ),
    ],
)
def test_names_stay_once_their_folder_was_flushed(run, call, makes):
    assert run(call) == {"old.db": BEFORE}
    assert run(call, FLUSHED) == {"old.db": BEFORE}
    assert run(call, FOLDER_FLUSHED) == makes


def test_a_torn_disk_keeps_halves_of_what_was_not_flushed(run):
    """Of one write at the end of a file: nothing, the first half, or all of it."""
    ends = set()
    for seed in range(20):
        found = run("os.pwrite(file, b'1234', 6000)", chance=random.Random(seed))["old.db"]
        assert found[:6000] == BEFORE
        ends.add(found[6000:])
        run("os.ftruncate(file, 6000)", FLUSHED)
    assert ends == {b"", b"12", b"1234"}


def test_memory_shared_between_programs_is_gone(run):
    made = "os.open(f'{data}/old.db-shm', os.O_CREAT | os.O_RDWR)"
    assert run(made, FOLDER_FLUSHED) == {"old.db": BEFORE}


def test_where_there_is_no_compiler_the_tests_say_so(tmp_path, monkeypatch):
    monkeypatch.setenv("PATH", str(tmp_path))
    with pytest.raises(FileNotFoundError, match=r"tests/run\.py installs one"):
        compiled(tmp_path)
