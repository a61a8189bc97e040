"""The watched folder: files of instruments are taken whole or refused, and never deleted."""

import json
import os
import time

import pytest

from app.database import writing
from app.keeping import folder as folder_module
from app.keeping.folder import Folder
from app.ledger import instruments
from tests.bench import NOON

TABLE = "day,shift,measure,typed\n2026-06-03,1,cane,1850\n2026-06-03,1,mixed_juice,1900\n"
STOPS = "book,at,begins,ends,cause,crushing\nstops,2026-06-03T07:10,07:00,07:45,no_cane,stopped\n"


@pytest.fixture
def refusals():
    return {}


@pytest.fixture
def scale(bench):
    with writing(bench.engine) as connection:
        return instruments.add_instrument(
            connection, name="Belt scale", measures=["cane", "mixed_juice"], books=["stops"],
            by=bench.ann, at=NOON,
        )[0]  # fmt: skip


@pytest.fixture
def home(tmp_path, scale):
    home = tmp_path / "incoming" / scale.folder
    home.mkdir(parents=True)
    return home


@pytest.fixture
def folder(bench, home, refusals):
    return Folder(
        bench.engine, home.parent, clock=lambda: NOON, closed=lambda: "", refusals=refusals,
        settled=0,
    )  # fmt: skip


def lay(home, name="results.csv", text=TABLE):
    file = home / name
    file.write_text(text, "utf-8")
    return file


def look(folder, times=2):
    """A file is taken at the second look that finds it as it was."""
    for _ in range(times):
        folder.look()


def files(home, where):
    place = home / where
    return sorted(file.name for file in place.iterdir()) if place.exists() else []


def reason(home):
    (text,) = (file for file in (home / "refused").iterdir() if file.suffix == ".txt")
    return text.read_text("utf-8")


@pytest.mark.both_engines
def test_a_table_is_taken_whole_and_moved(bench, folder, home):
    lay(home)
    look(folder)
    (entry,) = bench.trail("cane")
    assert (entry.typed, entry.instrument) == ("1850", "Belt scale")
    (taken,) = files(home, "taken")
    assert taken.startswith("20260603T170000Z-")
    assert taken.endswith("-results.csv")
    assert (home / "taken" / taken).read_text("utf-8") == TABLE
    assert [each.name for each in home.iterdir()] == ["taken"]
    assert folder.trouble == ""


def test_what_would_be_sent_as_json_is_taken_from_a_file(bench, folder, home):
    sent = [{"day": "2026-06-03", "shift": 1, "measure": "cane", "typed": "1850"}]
    lay(home, "a.JSON", json.dumps(sent))
    lay(home, "stops.csv", STOPS)
    look(folder)
    assert len(files(home, "taken")) == 2
    assert [entry.typed for entry in bench.trail("cane")] == ["1850"]


def test_the_same_file_laid_again_writes_nothing_twice(bench, folder, home):
    for name in ("results.csv", "results.csv", "copy.csv"):
        lay(home, name)
        look(folder)
    lay(home, "stops.csv", STOPS)
    look(folder)
    lay(home, "stops.csv", STOPS)
    look(folder)
    assert len(bench.trail("cane")) == 1
    assert len(files(home, "taken")) == 5
    counts = bench.read(instruments.written_since, NOON)
    assert sum(counts.values()) == 3


def test_a_file_with_one_bad_line_is_refused_whole_and_says_which(bench, folder, home, refusals):
    bad = TABLE + "2026-06-03,9,cane,1\n2026-06-03,1,bagasse_pol,2\n"
    lay(home, text=bad)
    look(folder)
    assert bench.trail("cane") == []
    assert files(home, "taken") == []
    kept, text = files(home, "refused")
    assert text == f"{kept}.txt"
    assert (home / "refused" / kept).read_text("utf-8") == bad
    assert reason(home).splitlines() == [
        "results.csv was not taken; nothing of it was written.",
        "line 4: shifts of this mill are numbered 1 to 3",
        "line 5, measure: this instrument may not write bagasse_pol",
    ]
    ((at, words),) = refusals.values()
    assert at == NOON
    assert words.startswith("results.csv: line 4: ")


def test_a_file_that_is_still_written_is_waited_for(bench, folder, home):
    folder._settled = 3600
    lay(home)
    look(folder, 3)
    assert bench.trail("cane") == []
    folder._settled = 0
    with (home / "results.csv").open("a") as growing:
        growing.write("2026-06-03,1,cane")
    folder.look()
    assert files(home, "refused") == []
    (home / "results.csv").write_text(TABLE)
    look(folder)
    assert [entry.typed for entry in bench.trail("cane")] == ["1850"]


def test_what_changes_while_it_is_read_is_waited_for(bench, folder, home, monkeypatch):
    file, fstat = lay(home), os.fstat

    def appended(descriptor):
        with file.open("a") as growing:
            growing.write("2026-06-02,1,cane,1\n")
        monkeypatch.setattr(os, "fstat", fstat)
        return fstat(descriptor)

    folder.look()
    monkeypatch.setattr(os, "fstat", appended)
    folder.look()
    assert file.exists()
    assert bench.trail("cane") == []
    look(folder)
    assert len(bench.trail("cane")) == 1


@pytest.mark.parametrize("name", [".results.csv", "~results.csv", "results.csv.part", "notes.txt"])
def test_other_files_are_left_where_they_are(bench, folder, home, name):
    file = lay(home, name)
    look(folder)
    assert file.exists()
    assert bench.trail("cane") == []


def test_a_folder_without_an_instrument_and_one_revoked_are_refused(bench, folder, home, scale):
    stranger = home.parent / "stranger"
    stranger.mkdir()
    lay(stranger)
    look(folder)
    assert "No instrument called stranger may write here" in reason(stranger)
    with writing(bench.engine) as connection:
        instruments.revoke(connection, scale, by=bench.ann, at=NOON)
    lay(home)
    look(folder)
    assert "No instrument called belt-scale may write here" in reason(home)
    assert bench.trail("cane") == []


def test_links_are_not_followed(bench, folder, home, tmp_path):
    secret = lay(tmp_path, "secret.csv")
    (home / "link.csv").symlink_to(secret)
    (home.parent / "elsewhere").symlink_to(tmp_path)
    look(folder)
    assert "It is no file of its own" in reason(home)
    assert secret.read_text("utf-8") == TABLE
    assert bench.trail("cane") == []
    assert folder.trouble.endswith("elsewhere is a link and not looked into.")


def test_a_pipe_does_not_keep_the_folder_waiting(folder, home):
    os.mkfifo(home / "pipe.csv")
    began = time.monotonic()
    look(folder)
    assert time.monotonic() - began < 5
    assert "It is no file of its own" in reason(home)


def test_a_folder_of_taken_files_that_is_a_link_takes_nothing_elsewhere(folder, home, tmp_path):
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    (home / "taken").symlink_to(elsewhere)
    lay(home)
    look(folder)
    assert list(elsewhere.iterdir()) == []
    assert (home / "results.csv").exists()
    assert "results.csv" in folder.trouble


@pytest.mark.parametrize(
    "name",
    [b"a\nb.csv", b"\xff\xfe.csv", "März €.csv".encode(), b"'; rm -rf x.csv", b"x" * 251 + b".csv"],
)
def test_names_with_odd_signs_are_moved_as_they_are(bench, folder, home, name):
    for text in (TABLE, "nothing\n"):
        file = home / os.fsdecode(name)
        file.write_text(text)
        look(folder)
        assert not file.exists()
    assert len(bench.trail("cane")) == 1
    assert len(files(home, "taken")) == 1
    assert len(files(home, "refused")) == 2


def test_a_file_over_the_limit_is_refused_unread(folder, home, monkeypatch):
    monkeypatch.setattr(folder_module, "LARGEST", 100)
    lay(home, text=TABLE + "\n" * 100)
    look(folder)
    assert "It is larger than 100 bytes" in reason(home)


def test_a_folder_that_vanishes_is_said_and_taken_up_when_it_is_back(bench, folder, home):
    away = home.parent.with_name("away")
    home.parent.rename(away)
    folder.look()
    assert "incoming could not be taken (No such file or directory)" in folder.trouble
    away.rename(home.parent)
    lay(home)
    look(folder)
    assert folder.trouble == ""
    assert len(bench.trail("cane")) == 1


def test_where_nothing_can_be_moved_the_file_stays_and_the_others_are_taken(
    bench, folder, home, monkeypatch
):
    """A full disk, or a share that lets nobody move: what was written is not written again."""
    move = folder_module._move

    def full(file, *more):
        if file.name == "a.csv":
            raise OSError(28, "No space left on device")
        return move(file, *more)

    monkeypatch.setattr(folder_module, "_move", full)
    lay(home, "a.csv")
    lay(home, "b.csv", STOPS)
    look(folder, 4)
    assert (home / "a.csv").exists()
    assert "a.csv could not be taken (No space left on device)" in folder.trouble
    assert len(files(home, "taken")) == 1
    monkeypatch.setattr(folder_module, "_move", move)
    look(folder)
    assert folder.trouble == ""
    assert len(files(home, "taken")) == 2
    assert len(bench.trail("cane")) == 1


def test_an_error_nobody_thought_of_ends_nothing(bench, folder, home, monkeypatch):
    def breaks(*_, **__):
        raise RuntimeError("unforeseen")

    with monkeypatch.context() as patched:
        patched.setattr(folder_module, "read_file", breaks)
        lay(home)
        look(folder)
    assert "results.csv could not be taken (RuntimeError)" in folder.trouble
    look(folder)
    assert len(bench.trail("cane")) == 1


def test_nothing_is_taken_while_nothing_may_be_written(bench, folder, home):
    folder._closed = lambda: "The ledger is not as it was written."
    file = lay(home)
    look(folder)
    assert file.exists()
    folder._closed = lambda: ""
    look(folder)
    assert len(bench.trail("cane")) == 1


def test_a_share_that_does_not_answer_is_said(folder):
    folder._looking_since = time.monotonic() - 61
    assert "does not answer for 61 seconds" in folder.trouble
    folder.look()
    assert folder.trouble == ""
