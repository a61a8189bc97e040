"""Our files in a real spreadsheet: no text becomes a formula, and no number changes."""

import csv
import io
import subprocess
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from xml.etree import ElementTree

import pytest

from app.database import reading
from app.exports.csv import period_csv
from app.ledger import mills
from app.ledger.shifts import entries_of, shift_table
from app.reports.season_books import SeasonBooks
from tests.archives import MEASURED, archive_of, unpacked
from tests.run import find_spreadsheet

HOSTILE = [
    "=1+1", "+1+1", "-1+1", "@SUM(A1)", "\t=1+1", "\r=1+1", "\n=1+1", "\r\n=1+1", "  =1+1",
    '=HYPERLINK("https://evil.test","open")', "=cmd|' /C calc'!A0", "+cmd|' /C calc'!A0",
    "-2+3+cmd|' /C calc'!A0", "@SUM(1+1)*cmd|' /C calc'!A0", '=WEBSERVICE("https://evil.test")',
    "={1;2}+1", "==1", "=-1", "'=1+1", '"=1+1"', '","=1+1', '"\r\n=1+1,', ";=1+1", "\uff1d1+1",
    "\uff0b1+1", "\u22121+1", "\ufeff=1+1", "\u200b=1+1", 'say "no", twice', "a,b;c\td",
    "two\nlines", "\uff0d1+1", "\uff201", "pump;=1+1", "a; =1+1", 'b;"=1+1"', "c;+1+1,=1",
    "d;@SUM(1)",
]  # fmt: skip
RUN = (*"=+-@\t\r\n", "\uff1d", "\uff0b", "\uff0d", "\uff20")
NUMERIC = ("shift", "value", "printed", "standard_uncertainty", "coverage", "entry")

NAMES = {
    "office": "urn:oasis:names:tc:opendocument:xmlns:office:1.0",
    "table": "urn:oasis:names:tc:opendocument:xmlns:table:1.0",
    "text": "urn:oasis:names:tc:opendocument:xmlns:text:1.0",
}


def opened(path: Path, how: str = "44,34,76,1") -> list[list[tuple[str, str, str]]]:
    """Open a CSV file as somebody would; gives formula, kind and content of each cell, by row.

    `how`: parted by commas, quoted, UTF-8, from the first line on, and how columns are taken.
    """
    profile = f"-env:UserInstallation=file://{path.parent}/profile"
    given = [f"--infilter=CSV:{how}", "--convert-to", "fods", "--outdir", f"{path.parent}"]
    command = [find_spreadsheet(), profile, "--headless", *given, f"{path}"]
    subprocess.run(command, check=True, capture_output=True, timeout=120)
    document = ElementTree.parse(path.with_suffix(".fods"))
    return [cells(row) for row in document.iterfind(".//table:table-row", NAMES)]


def cells(row: ElementTree.Element) -> list[tuple[str, str, str]]:
    def said(cell: ElementTree.Element, space: str, name: str) -> str:
        return cell.get(f"{{{NAMES[space]}}}{name}", "")

    found = []
    for cell in row.iterfind("table:table-cell", NAMES):
        kind = said(cell, "office", "value-type")
        words = "\n".join("".join(each.itertext()) for each in cell.iterfind("text:p", NAMES))
        content = said(cell, "office", "value") or words
        times = int(said(cell, "table", "number-columns-repeated") or 1)
        found += [(said(cell, "table", "formula"), kind, content)] * min(times, 100)
    return found


@pytest.fixture(scope="module")
def program():
    assert find_spreadsheet(), "these tests need LibreOffice; python3 tests/run.py installs it"


def day_csv(bench, texts):
    """The file of a day on which every text was a reason and a name, as it never could be typed."""
    for measure, typed in MEASURED.items():
        bench.write(measure, typed)
    with reading(bench.engine) as connection:
        table = shift_table(connection, bench.mill, bench.season)
        books = SeasonBooks(table, mills.convention_rows(connection, bench.mill))
        kept = entries_of(connection, bench.season, bench.day, bench.day)
    hostile = [
        replace(
            kept[n % len(kept)],
            entry=replace(
                kept[n % len(kept)].entry, reason=text, recorded_name=text, typed=text,
                value=Decimal("-0.35"), id=1000 + n,
            ),
        )
        for n, text in enumerate(texts)
    ]  # fmt: skip
    return period_csv(books, books.day(bench.day), f"days-{bench.day}", [*kept, *hostile])


def sums(records: list[list[str]], header: list[str]) -> dict[str, float]:
    """The sum of what is a number in each column of numbers."""
    found = {}
    for name in NUMERIC:
        said = (record[header.index(name)] for record in records if len(record) == len(header))
        found[name] = sum(float(text) for text in said if is_number(text))
    return found


def is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True


@pytest.mark.usefixtures("program")
def test_no_hostile_text_of_a_day_is_run_by_a_spreadsheet_and_no_number_changes(bench, tmp_path):
    """A-41, B-86: it is opened and read back; -0.35 stays a number."""
    path = tmp_path / "day.csv"
    path.write_bytes(day_csv(bench, HOSTILE).encode())
    with path.open(newline="", encoding="utf-8") as file:
        header, *records = csv.reader(file)
    texts = [text for record in records for text in record if not is_number(text)]
    assert not [text for text in texts if text.startswith(RUN)]  # other programs run more
    shown = opened(path)
    assert [formula for row in shown for formula, *_ in row if formula] == []
    rows = [[content for _, _, content in row][: len(header)] for row in shown[1:]]
    rows = [[*row, *[""] * (len(header) - len(row))] for row in rows][: len(records)]
    assert len(rows) == len(records)
    after, before = sums(rows, header), sums(records, header)
    assert after == pytest.approx(before, rel=1e-12)
    assert before["value"] > 1000
    place = header.index("value")
    numbers = [row[place] for row in shown if len(row) > place and row[place][2] == "-0.35"]
    assert numbers == [("", "float", "-0.35")] * len(HOSTILE)


@pytest.mark.usefixtures("program")
@pytest.mark.parametrize("parted", ["59", "9", "59/9/44"], ids=["semicolon", "tab", "any"])
def test_nothing_runs_where_columns_are_parted_as_other_languages_set_it(bench, tmp_path, parted):
    """A-41: -0.35 is no formula."""
    path = tmp_path / "day.csv"
    path.write_bytes(day_csv(bench, HOSTILE).encode())
    assert formulas(path, parted) == []
    with path.open("w", newline="", encoding="utf-8") as file:
        csv.writer(file).writerows([["x", text] for text in HOSTILE])
    assert len(formulas(path, parted)) > 2  # so that the line above can fail


def formulas(path, parted):
    rows = opened(path, f"{parted},34,76,1")
    return [formula for row in rows for formula, *_ in row if formula]


@pytest.mark.usefixtures("program")
def test_the_spreadsheet_does_run_what_is_not_made_inert(tmp_path):
    """So that the test above can fail."""
    path = tmp_path / "plain.csv"
    with path.open("w", newline="", encoding="utf-8") as file:
        csv.writer(file).writerows([[text] for text in HOSTILE])
    formulas = [formula for row in opened(path) for formula, *_ in row if formula]
    assert len(formulas) >= 5
    assert "of:=1+1" in formulas


@pytest.mark.usefixtures("program")
def test_an_archive_is_exact_and_is_opened_as_text_as_its_read_me_says(bench, tmp_path):
    """A-41: its texts are not changed, so a spreadsheet would run them; as text it does not."""
    first = bench.write("cane", "1250")
    last = bench.write("cane", "1205", based_on=first.id, reason="=1+1")
    bench.write("cane", "1206", based_on=last.id, reason='=HYPERLINK("https://evil.test")')
    archive_of(bench, tmp_path / "archive.zip")
    files = unpacked(tmp_path / "archive.zip")
    read_me = " ".join(files["README.txt"].decode().split())
    assert "takes a text that begins with = + - or @ for a formula and may run it" in read_me
    assert "only by its import of text, with every column as text" in read_me
    path = tmp_path / "entries.csv"
    path.write_bytes(files["data/entries.csv"])
    header, *records = csv.reader(io.StringIO(path.read_text("utf-8"), newline=""))
    assert [formula for row in opened(path) for formula, *_ in row if formula] != []
    text = "/".join(f"{n}/2" for n in range(1, len(header) + 1))
    shown = opened(path, f"44,34,76,1,{text}")
    assert [formula for row in shown for formula, *_ in row if formula] == []
    rows = [[content for _, _, content in row][: len(header)] for row in shown]
    rows = [[*row, *[""] * (len(header) - len(row))] for row in rows]
    assert rows[: len(records) + 1] == [header, *records]
