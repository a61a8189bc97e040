"""The files of an archive: plain CSV, exact text, described to programs and to people."""

import csv
import io
import json
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest
from frictionless import Package, system
from hypothesis import given
from hypothesis import strategies as st

from app.database import writing
from app.exports.archive import csv_of
from app.exports.archive_tables import File
from app.exports.travelling import recompute
from app.ledger import mills
from app.reports.version import program_version
from tests import archives
from tests.archives import archive_of, table, unpacked
from tests.bench import NOON

TEXT = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0"))
HOSTILE = [
    "=HYPERLINK(\"http://example.org\",\"x\")", "+1+1", "-2+3", "@SUM(A1:A9)", "\t=1", "\r=1",
    '"', '""', '",', "a,b;c", "line\nbreak", "line\r\nbreak", "\r", "'; DROP TABLE entry; --",
    "<script>alert(1)</script>", "%00", "\\N", "NULL", "  blanks  ", "e\u0301", "\ufeffmark",
    "ລາວ 糖 ثلج שמן 🌿", "\u202eright to left", "100 %_",
]  # fmt: skip


@pytest.fixture
def made(bench, tmp_path):
    archives.fill(bench)
    archive_of(bench, tmp_path / "season.zip")
    return tmp_path / "season.zip"


@pytest.fixture
def files(made):
    return unpacked(made)


@given(st.lists(st.tuples(TEXT, TEXT, st.none() | st.integers() | st.booleans()), max_size=20))
def test_what_is_read_is_what_was_written(rows):
    """A-40: quotes, commas, line breaks, formulas, all scripts."""
    file = File("any", {"a": "string", "b": "string", "c": "string"}, ("a",))
    content = csv_of(file, [{"a": a, "b": b, "c": c} for a, b, c in rows])
    records = list(csv.reader(io.StringIO(content.decode(), newline=""), strict=True))
    shown = {None: "", True: "true", False: "false"}
    assert records == [
        ["a", "b", "c"],
        *([a, b, str(shown.get(c, c) if c is None or isinstance(c, bool) else c)]
          for a, b, c in rows),
    ]  # fmt: skip


def test_hostile_text_is_kept_exactly_and_the_archive_verifies(bench, tmp_path):
    """A-40, B-86: nothing is made inert here, and the read-me says what spreadsheets do."""
    with writing(bench.engine) as connection:
        for source in HOSTILE:
            mills.add_convention(
                connection, bench.mill, name="pol_basis", value="pol", since=bench.day,
                source=source, by=bench.ann, at=NOON,
            )  # fmt: skip
    archive_of(bench, tmp_path / "season.zip")
    files = unpacked(tmp_path / "season.zip")
    archives.verify.check(files)
    assert [row["source"] for row in table(files, "conventions")] == HOSTILE
    assert "A spreadsheet takes a text that begins with = + - or @" in files["README.txt"].decode()


def test_every_csv_follows_rfc_4180(files):
    """A-40: a header, CRLF, equal field counts, UTF-8 without a mark, instants with offset."""
    names = [name for name in files if name.endswith(".csv")]
    assert len(names) == 22
    for name in names:
        text = files[name].decode()
        records = list(csv.reader(io.StringIO(text, newline=""), strict=True))
        assert text.endswith("\r\n"), name
        assert not text.startswith("\ufeff"), name
        assert {len(record) for record in records} == {len(records[0])}, name
        for record in records[1:]:
            for column, value in zip(records[0], record, strict=True):
                if value and (column == "at" or column.endswith("_at")):
                    assert value[10] == "T", (name, column)
                    assert value.endswith("Z"), (name, column)


def test_the_data_package_is_valid_and_its_keys_resolve(made, tmp_path):
    """A-43: types, constraints, missing values, primary and foreign keys, by an outside library."""
    with zipfile.ZipFile(made) as archive:
        archive.extractall(tmp_path / "unpacked")
    with system.use_context(trusted=True):
        report = Package(str(tmp_path / "unpacked" / "datapackage.json")).validate()
    assert report.valid, report.flatten(["type", "fieldName", "rowNumber", "note"])[:20]
    assert report.stats["tasks"] == 22
    assert {task.type for task in report.tasks} == {"table"}


def test_a_key_that_leads_nowhere_is_found_by_the_schema(made, tmp_path):
    """A-43: else the check above could not fail."""
    folder = tmp_path / "unpacked"
    with zipfile.ZipFile(made) as archive:
        archive.extractall(folder)
    shifts = folder / "data" / "shifts.csv"
    shifts.write_bytes(b"".join(shifts.read_bytes().splitlines(keepends=True)[:-1]))
    with system.use_context(trusted=True):
        report = Package(str(folder / "datapackage.json")).validate()
    assert not report.valid
    assert "foreign-key" in {row[0] for row in report.flatten(["type"])}


def test_every_column_is_said_in_the_schema_and_in_the_read_me(files):
    """A-43, A-48: no file of ours is needed to read an archive."""
    package = json.loads(files["datapackage.json"])
    read_me = files["README.txt"].decode()
    for resource in package["resources"]:
        header = next(csv.reader(io.StringIO(files[resource["path"]].decode())))
        fields = resource["schema"]["fields"]
        assert [field["name"] for field in fields] == header
        assert all(field["description"] and field["type"] for field in fields)
        part = read_me.partition(f"\n{resource['path']}\n")[2].partition("\ndata/")[0]
        assert all(f"  {name}: " in part for name in header), resource["path"]
    for words in (
        "python3 verify.py",
        "python3 recompute.py",
        "for the mill to decide",
        "--anchor",
    ):
        assert words in read_me
    assert max(map(len, read_me.splitlines())) <= 100


def test_the_zip_says_nothing_of_when_and_where_it_was_made(made):
    """A-45."""
    with zipfile.ZipFile(made) as archive:
        members = archive.infolist()
    assert {member.date_time for member in members} == {(1980, 1, 1, 0, 0, 0)}
    assert {(m.create_system, m.external_attr >> 16, m.compress_type) for m in members} == {
        (3, 0o100644, zipfile.ZIP_DEFLATED)
    }
    names = [member.filename for member in members]
    assert names == [*sorted(names[:-1]), "MANIFEST.json"]


def test_statuses_are_those_of_the_ledger(files):
    """A-44: originals, corrections and voids are all there."""
    entries = table(files, "entries")
    assert {row["status"] for row in entries} == {"standing", "superseded", "void"}
    (cane, corrected) = [r for r in entries if r["measure"] == "cane" and r["shift"] == "1"]
    assert (cane["typed"], cane["status"]) == ("1250.0", "superseded")
    assert (corrected["typed"], corrected["status"]) == ("1205.0", "standing")
    assert corrected["reason"] == "=digits +swapped"
    assert corrected["supersedes_id"] == cane["id"]
    assert [row["meaning"] for row in table(files, "signatures")] == [
        "entered", "entered", "entered", "reopened", "entered", "approved",
    ]  # fmt: skip
    assert [row["active"] for row in table(files, "people") if row["username"] == "bob"] == [
        "false"
    ]


KEPT = sorted((Path(__file__).parent / "kept").glob("archive-*.zip"))


@pytest.mark.parametrize("path", KEPT, ids=lambda path: path.stem)
def test_an_archive_of_every_release_still_verifies_and_recomputes(path, tmp_path, capsys):
    """A-49: by the programs of today, and by those that it brought along."""
    assert archives.verify.main([str(path)]) == 0
    assert recompute.main([str(path)]) == 0
    for name in ("verify.py", "recompute.py"):
        (tmp_path / name).write_bytes(unpacked(path)[name])
        command = [sys.executable, "-I", "-S", str(tmp_path / name), str(path)]
        assert subprocess.run(command, capture_output=True, check=False).returncode == 0
    assert "Whole: season 2026 of Willow Bend." in capsys.readouterr().out


def test_an_archive_of_this_release_is_kept():
    """A-49: made by `tests.archives.fill` when a release is made, and never again."""
    assert f"archive-{program_version()}" in {path.stem for path in KEPT}
