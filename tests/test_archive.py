"""The archive of a season proves itself: whole it passes, changed in any place it fails."""

import random
import subprocess
import sys
from io import BytesIO
from pathlib import Path
from zipfile import ZipFile

import pytest
from sqlalchemy import func, select

from app.database import reading, writing
from app.exports import archive_tables
from app.exports.archive import TRAVELLING, Incomplete, make_archive
from app.exports.archive_tables import NAMES
from app.exports.travelling import verify
from app.ledger import chain, tables
from tests import archives
from tests.archives import LATER, archive_of, resealed, rewritten, table, unpacked, with_rows


@pytest.fixture
def made(bench, tmp_path):
    """The archive of a ledger that holds something of everything."""
    archives.fill(bench)
    archive_of(bench, tmp_path / "season.zip")
    return tmp_path / "season.zip"


@pytest.fixture
def files(made):
    return unpacked(made)


def fault(files, anchor=None):
    """What the verifier says is wrong; nothing where all is whole."""
    try:
        verify.check(files, anchor)
    except (verify.Fault, KeyError, ValueError, IndexError) as found:
        return str(found) or "fault"
    return ""


def run(program, *arguments):
    """Run a program that travelled in an archive, with nothing of ours within its reach."""
    command = [sys.executable, "-I", "-S", str(program), *map(str, arguments)]
    return subprocess.run(command, capture_output=True, text=True, check=False)


def test_an_archive_verifies_with_the_program_that_travels_in_it(made, files, tmp_path):
    """A-23, A-27: exit 0, the head, and what a chain cannot do."""
    program = tmp_path / "verify.py"
    program.write_bytes(files["verify.py"])
    answer = run(program, made)
    assert (answer.returncode, answer.stderr) == (0, "")
    assert "Whole: season 2026 of Willow Bend." in answer.stdout
    assert f"Head: {table(files, 'chain')[-1]['number']}:" in answer.stdout
    assert verify.CANNOT in answer.stdout
    assert "A chain shows what was changed only beside a number" in files["README.txt"].decode()
    folder = tmp_path / "folder"
    with ZipFile(made) as archive:
        archive.extractall(folder)
    assert run(folder / "verify.py", folder).returncode == 0
    head = table(files, "chain")[-1]
    anchor = f"{head['number']}:{head['hash'][:16]}"
    answer = run(folder / "verify.py", "--anchor", anchor)  # it takes the folder it lies in
    assert f"It goes on from the anchor {anchor}." in answer.stdout
    (folder / "data" / "shifts.csv").unlink()
    broken = run(folder / "verify.py", folder)
    assert broken.returncode == 1
    assert "data/shifts.csv" in broken.stdout


@pytest.mark.both_engines
def test_both_engines_give_archives_that_verify(bench, tmp_path):
    archives.fill(bench)
    archive_of(bench, tmp_path / "season.zip")
    assert fault(unpacked(tmp_path / "season.zip")) == ""
    archive_of(bench, tmp_path / "other.zip", season="2025")
    assert fault(unpacked(tmp_path / "other.zip")) == ""


def test_an_unchanged_ledger_gives_the_same_bytes_though_making_one_is_told(bench, tmp_path):
    """A-45."""
    archives.fill(bench)
    first = archive_of(bench, tmp_path / "first.zip")
    second = archive_of(bench, tmp_path / "second.zip")
    assert (tmp_path / "first.zip").read_bytes() == (tmp_path / "second.zip").read_bytes()
    assert first.sha256 == second.sha256 == archives.fingerprint(tmp_path / "first.zip")
    with reading(bench.engine) as connection:
        told = list(connection.execute(select(tables.event).where(tables.event.c.kind == "export")))
    assert [event.number for event in told] == [first.head.number + 1, first.head.number + 2]
    assert f'"sha256":"{first.sha256}"' in told[0].content
    bench.write("power", "5", number=2, day=bench.day.replace(day=2), late_reason="late", at=LATER)
    third = archive_of(bench, tmp_path / "third.zip")
    assert third.head.number > first.head.number + 2
    assert fault(unpacked(tmp_path / "third.zip")) == ""


def test_single_bytes_changed_anywhere_are_all_found(files):
    """A-23: 1000 of 1000, in any file of the archive."""
    choose = random.Random(2026)
    names = sorted(files)
    for turn in range(1000):
        name = names[turn] if turn < len(names) else choose.choice(names)
        content = bytearray(files[name])
        place = choose.randrange(len(content))
        content[place] ^= choose.randrange(1, 256)
        assert fault(files | {name: bytes(content)}), (name, place)


def test_single_characters_changed_under_a_new_manifest_are_found_in_every_told_column(files):
    """A-23: by the chain alone, where somebody makes the manifest anew."""
    choose = random.Random(7)
    found = 0
    for file in ("chain", *verify.TOLD.values()):
        rows = table(files, file)
        for column in rows[0]:
            if (file, column) == ("people", "created_at"):
                continue  # no event tells of it; the manifest alone does
            row = choose.choice([row for row in rows if row[column]] or rows)
            before = row[column]
            row[column] = (before[:-1] + ("7" if before[-1] != "7" else "3")) if before else "3"
            assert fault(with_rows(files, file, rows)), (file, column, before)
            row[column] = before
            found += 1
    assert found > 120


def test_a_row_or_event_taken_out_added_or_moved_is_found(files):
    """A-23, A-31: a signature moved to another day no longer fits its event."""
    for file in ("entries", "signatures", "issues", "chain", "people"):
        rows = table(files, file)
        counts = {**verify.manifest_of(files)["rows"], file: str(len(rows) - 1)}
        fewer = with_rows(files, file, rows[1:])
        assert fault(resealed(fewer, rows=counts)), file
        assert fault(with_rows(files, file, [rows[0], *rows[:-1]])), file
    signatures = table(files, "signatures")
    signatures[0]["day"] = "2026-06-04"
    assert "signature 1 is not as it was told" in fault(with_rows(files, "signatures", signatures))
    entries = table(files, "entries")
    entries[0]["status"] = "void"
    assert fault(with_rows(files, "entries", entries)) == "entry 1 is not void"


def test_what_a_signature_covers_is_worked_out_anew(files, bench):
    """A-31: a false digest is found although event, row and chain agree on it."""
    row = table(files, "signatures")[0]
    event = archives.number_of(bench, "signature", 1)
    forged = rewritten(files, event, row["covers"], "f" * 64)
    forged = with_rows(
        forged, "signatures", [row | {"covers": "f" * 64}, *table(files, "signatures")[1:]]
    )
    assert "does not cover what stood there" in fault(forged)


def test_history_written_anew_passes_plainly_and_fails_with_a_later_anchor(files, bench):
    """A-24."""
    event = archives.number_of(bench, "target", 1)
    honest = table(files, "chain")
    forged = rewritten(files, event, '"value":"96.5"', '"value":"90.5"')
    forged = with_rows(forged, "targets", [table(files, "targets")[0] | {"value": "90.5"}])
    assert fault(forged) == ""
    for later in (event, event + 1, len(honest)):
        anchor = later, honest[later - 1]["hash"][:16]
        assert fault(files, anchor) == ""
        assert f"event {later} is not that of the anchor" in fault(forged, anchor)
    before = event - 1, honest[event - 2]["hash"][:16]
    assert fault(forged, before) == ""
    beyond = len(honest) + 1, "0" * 16
    assert "the archive ends before the anchor" in fault(files, beyond)


@pytest.mark.parametrize("anchor", ["12", "0:0123456789abcdef", "12:0123", "12:xyz"])
def test_an_anchor_that_is_none_is_refused(made, anchor):
    with pytest.raises(SystemExit) as refused:
        verify.main([str(made), "--anchor", anchor])
    assert refused.value.code == 2


def test_a_stream_cut_short_is_rejected(made, tmp_path):
    """A-44: at 20 places; and so is one whose directory alone was saved."""
    whole = made.read_bytes()
    cut = tmp_path / "cut.zip"
    for place in range(20):
        cut.write_bytes(whole[: len(whole) * place // 20])
        assert verify.main([str(cut)]) == 2
    with ZipFile(made) as archive, BytesIO() as shorter:
        assert archive.namelist()[-1] == verify.MANIFEST
        with ZipFile(shorter, "w") as copy:
            for name in archive.namelist()[:-1]:
                copy.writestr(name, archive.read(name))
        cut.write_bytes(shorter.getvalue())
    assert verify.main([str(cut)]) == 1
    assert verify.main([str(tmp_path / "nothing.zip")]) == 2


def test_events_of_other_seasons_prove_the_chain_without_telling(files):
    withheld = [event for event in table(files, "chain") if not event["content"]]
    assert len(withheld) == 2  # a shift and an entry of 2025
    assert not any(b"SECRET OF 2025" in content for content in files.values())
    assert {event["name"] for event in withheld} == {""}


def test_every_count_is_that_of_the_database(files, bench):
    """A-44."""
    counts = verify.manifest_of(files)["rows"]
    with reading(bench.engine) as connection:
        held = {
            name: connection.scalar(select(func.count()).select_from(one))
            for one, name in NAMES.items()
        }
    of_2025 = {"shifts": 1, "entries": 1}
    exported = {"chain": 1}  # told after the archive was made
    for name, count in held.items():
        expected = count - of_2025.get(name, 0) - exported.get(name, 0)
        assert int(counts[name]) == len(table(files, name)) == expected, name
        assert expected, name


def test_every_append_only_table_is_in_the_archive():
    """A-44: a table added to the ledger fails here until the archive holds it."""
    held = {table.name: name for table, name in NAMES.items()}
    assert {table.name for table in tables.APPEND_ONLY} | {"event", "person"} == held.keys()
    assert {kind: name for kind, name in held.items() if kind != "event"} == verify.TOLD


def test_an_archive_that_would_lack_a_row_is_not_made(bench, tmp_path, monkeypatch):
    """A-44."""
    archives.fill(bench)
    honest = archive_tables.rows_of
    monkeypatch.setattr(
        archive_tables, "rows_of", lambda *asked: list(honest(*asked))[:-1]
    )  # of entries
    with reading(bench.engine) as connection, pytest.raises(Incomplete, match="entries"):
        make_archive(connection, "2026", tmp_path / "season.zip")
    assert not (tmp_path / "season.zip").exists()


def test_a_file_that_was_issued_is_there_byte_for_byte(files):
    """A-33, A-43."""
    assert files["issues/2026-06-03-1-report.html"] == b"<p>the report</p>"
    assert files["issues/2026-06-03-2-report.html"] == b"<p>the report, restated</p>"
    name = "issues/2026-06-03-1-report.html"
    other = resealed(files | {name: b"<p>the report!</p>"})
    assert fault(other) == f"{name} is not what was issued"
    assert "was never issued" in fault(resealed(files | {"issues/x.html": b"x"}))
    assert "is not in MANIFEST.json" in fault(files | {"issues/x.html": b"x"})


def test_a_report_does_not_pass_for_an_event():
    """A-22: each thing that is digested says what it is."""
    text = "{}"
    kinds = ("event 1", "link 1", "archive 1", "shift 1", "day 1")
    assert len({verify.digest(kind, text) for kind in kinds}) == len(kinds)


def test_no_password_is_in_an_archive(files, bench):
    with reading(bench.engine) as connection:
        secrets = list(connection.scalars(select(tables.person.c.password_hash)))
    assert all(secrets)
    for secret in secrets:
        assert not any(secret.encode() in content for content in files.values())


def test_a_season_without_entries_has_an_archive_too(bench, tmp_path):
    archive_of(bench, tmp_path / "season.zip")
    files = unpacked(tmp_path / "season.zip")
    assert fault(files) == ""
    assert table(files, "figures") == []


def test_there_is_no_archive_of_a_season_that_is_not_there(bench, tmp_path):
    with pytest.raises(LookupError, match="2031"):
        archive_of(bench, tmp_path / "season.zip", season="2031")


def test_the_programs_that_travel_need_nothing_of_ours():
    for name in TRAVELLING:
        text = (Path(verify.__file__).parent / name).read_text()
        imported = {
            line.split()[1].split(".")[0]
            for line in text.splitlines()
            if line.startswith(("import ", "from "))
        }
        assert imported <= sys.stdlib_module_names


def test_a_false_hash_in_the_chain_is_named_by_the_first_bad_event(bench, tmp_path):
    """A-23."""
    archives.fill(bench)
    with writing(bench.engine) as connection:
        head = chain.head(connection)
    archive_of(bench, tmp_path / "season.zip")
    files = unpacked(tmp_path / "season.zip")
    events = table(files, "chain")
    for number in (head.number - 2, 30, 17):  # the last two are of another season
        events[number - 1]["at"] = "2026-06-03T17:00:00.000001Z"
        assert fault(with_rows(files, "chain", events)) == f"event {number} is not as it was told"
