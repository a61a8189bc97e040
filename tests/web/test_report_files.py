"""Files of reports, read back and held against the pages and the CSV of the same report."""

import csv
import io
import json
import re
from datetime import date
from zipfile import ZipFile

import pytest
from python_calamine import CalamineWorkbook
from starlette.testclient import TestClient

from app.database import reading
from app.exports.workbook import workbook_of
from app.language import LANGUAGES
from app.ledger import chain
from app.reports.day import ANALYSES
from app.reports.numbers import printed
from app.reports.season_books import InForce
from app.reports.tabled import Number, Row, Table, Tabled
from app.web.languages import COOKIE

DAY, RUNNING = "/days/2026-10-25", "/shifts/2026-10-28/1"
PERIODS = (DAY, "/weeks/2026-W43", "/months/2026-10", "/seasons/2026")
ALL_DIGITS = 1e-15  # spreadsheets keep no more than about 16 of a float's 17
REPORTS = (*PERIODS, "/shifts/2026-10-25/3", RUNNING)


@pytest.fixture
def samir(demo_visit):
    """An auditor."""
    return demo_visit("samir")


def said(visitor, address):
    answer = visitor.get(f"{address}.json")
    assert answer.status_code == 200
    assert answer.headers["content-disposition"].endswith('-draft.json"')
    return answer.json()


def rows_of(report):
    """Every row of a report, with the index of the column of its whole period."""
    for table in report["tables"]:
        column = table["columns"].index("Total") if "Total" in table["columns"] else 0
        for row in table["rows"]:
            assert len(row["numbers"]) == len(table["columns"])
            yield row, row["numbers"][column]


def totals(visitor, address):
    """The totals that the CSV of the same period tells, by name."""
    rows = csv.DictReader(io.StringIO(visitor.get(f"{address}.csv").text, newline=""))
    return {row["name"]: row for row in rows if row["record"] == "total"}


@pytest.mark.parametrize("address", PERIODS)
def test_the_json_of_a_report_says_what_its_csv_says_at_full_precision(samir, address):
    known, compared = totals(samir, address), 0
    for row, number in rows_of(said(samir, address)):
        if row["name"] in ANALYSES:  # means, which are held against the page below
            continue
        told = known[row["name"]]
        assert row["unit"] == told["unit"]
        if told["value"]:
            exact = float(told["value"])
            assert number["value"] == pytest.approx(exact, rel=ALL_DIGITS, abs=0), row
            assert f"{number['coverage']:.4f}" == told["coverage"]
            standard = number["standard_uncertainty"]
            assert (
                f"{float('nan') if standard is None else standard:.6g}"
                == (told["standard_uncertainty"])
            )
        else:
            assert number["value"] is None
            assert number["missing"] or number["lacks"]
        compared += 1
    assert compared > 40


def test_the_json_of_a_day_holds_each_number_that_its_page_prints(samir):
    page, compared = samir.get(DAY).text, 0
    for table in said(samir, DAY)["tables"]:
        for row in table["rows"]:
            for number in row["numbers"]:
                if number["value"] is not None:
                    assert f">{printed(number['value'], row['decimals'])}<" in page, row
                    compared += 1
            if row["target"] is not None:
                assert f'<td class="num">{printed(row["target"], row["decimals"])}</td>' in page
    assert compared > 150


def test_the_json_of_a_report_says_what_it_stands_on(samir, demo_app):
    with reading(demo_app.state.engine) as connection:
        head = chain.head(connection)
    report = said(samir, "/weeks/2026-W43")
    assert (report["first"], report["last"]) == ("2026-10-19", "2026-10-25")
    assert (report["mill"], report["over"]) == ("Saltmarsh Ridge Sugar Mill", True)
    assert (report["chain_number"], report["chain_hash"]) == (head.number, head.hash)
    assert report["program"]
    assert len(report["figures"]) == 12
    chosen = {each["name"]: each["value"] for each in report["conventions"]}
    assert chosen["sugar_accounted"] in ("bagged", "made and estimated")
    columns = report["tables"][0]["columns"]
    assert (len(columns), columns[0], columns[-1]) == (8, "Mon 19 Oct", "Total")


def test_the_json_of_a_shift_has_every_result_and_says_what_lacks(samir):
    report = said(samir, RUNNING)
    results = {row["name"]: row["numbers"][0] for row in report["tables"][0]["rows"]}
    page = samir.get(RUNNING).text
    lacking = [name for name, number in results.items() if number["lacks"] == "not entered"]
    assert report["lacking"] == len(lacking) > 0
    assert results["cane"] == {
        "value": None, "missing": ["cane"], "lacks": "not entered",
        "standard_uncertainty": None, "coverage": None,
    }  # fmt: skip
    assert results["cane_received"]["value"] > 1000
    assert printed(results["cane_received"]["value"], 1) in page


def workbook(visitor, address):
    """The sheets of the workbook of a report, by name, each as its rows."""
    answer = visitor.get(f"{address}.xlsx")
    assert answer.status_code == 200
    read = CalamineWorkbook.from_filelike(io.BytesIO(answer.content))
    return {
        name: read.get_sheet_by_name(name).to_python(skip_empty_area=False)
        for name in read.sheet_names
    }


@pytest.mark.parametrize("address", REPORTS)
def test_a_workbook_holds_each_number_of_its_report_live_at_full_precision(samir, address):
    report, found, compared = said(samir, address), workbook(samir, address), 0
    beside = 2 if address == DAY else 1  # what it is of, and what stands out of a day
    sheets = list(found.values())[beside:]
    for table, sheet in zip(report["tables"], sheets, strict=True):
        assert sheet[0][0] == table["title"]
        assert sheet[3][:2] == ["Figure", "Unit"]
        across = len(table["columns"])
        assert sheet[3][2 : 2 + across] == table["columns"]
        rows = sheet[4:]
        if table["title"] == "Where the pol of the cane went, per 100 pol in cane":
            whole = rows.pop()
            assert whole[: 2 + across] == ["Pol in cane", "per 100 pol in cane", *[100.0] * across]
        for row, cells in zip(table["rows"], rows, strict=True):
            assert cells[:2] == [row["title"], row["unit"]]
            for number, cell in zip(row["numbers"], cells[2:], strict=False):
                if number["value"] is None:
                    assert cell == number["lacks"] != ""
                else:
                    assert isinstance(cell, float)
                    assert cell == pytest.approx(number["value"], rel=ALL_DIGITS, abs=0)
                compared += 1
            if row["target"] is not None:
                assert cells[2 + across] == row["target"]
            known = [n for n in row["numbers"] if n["standard_uncertainty"] is not None]
            expanded = [2 * number["standard_uncertainty"] for number in known]
            told = [c for c in cells[-2 * across : -across] if known and c != ""]
            assert told == pytest.approx(expanded, rel=ALL_DIGITS, abs=0)
    assert compared > 50


def test_a_workbook_says_what_it_is_of(samir):
    report, about = said(samir, DAY), workbook(samir, DAY)["About"]
    told = {row[0]: row[1] for row in about}
    assert about[0][0] == "Morning report, Sunday 25 October 2026"
    assert told["Factory"] == "Saltmarsh Ridge Sugar Mill, Port Amaranth"
    assert told["Status"] == "DRAFT, not issued"
    assert told["First day"] == told["Last day"] == date(2026, 10, 25)
    assert told["Known"].isoformat() == "2026-10-28T12:20:00"
    assert told["Time zone"] == "UTC+04:00"
    assert told["Results that lack"] == report["lacking"]
    assert told["Event of the chain"] == report["chain_number"]
    assert told["Hash of that event"] == report["chain_hash"]
    assert told["Made with"] == f"program {report['program']}, figures {report['figures']}"
    for each in report["conventions"]:
        value = float(each["value"]) if each["value"][0].isdigit() else each["value"]
        since = date.fromisoformat(each["since"]) if each["since"] else "default"
        assert any(row[1::2] == [value, since] and row[4] == each["source"] for row in about)


@pytest.mark.parametrize("address", [*REPORTS, "/seasons/2026/return"])
def test_sheets_of_a_workbook_bear_whole_words_that_tell_them_apart(samir, address):
    short = {
        "Where the pol of the cane went, per 100 pol in cane": "Account, per 100 pol in cane",
        "Where the pol of the cane went, tonnes": "Account, tonnes of pol",
        "Massecuites and molasses of their curing": "Massecuites and their molasses",
    }
    for name, rows in list(workbook(samir, address).items())[1:]:
        assert name == short.get(rows[0][0], rows[0][0])


def test_a_name_too_long_for_a_sheet_is_cut_between_words():
    tables = [Table(title, (), ()) for title in ("Purities of juice before and after", "a" * 40)]
    tabled = Tabled("", date(2026, 6, 1), date(2026, 6, 1), (*tables, *tables))
    made = CalamineWorkbook.from_filelike(io.BytesIO(workbook_of(tabled, [])))
    assert made.sheet_names[1:] == [
        "Purities of juice before and", "a" * 31, "Purities of juice before and 2",
        "a" * 29 + " 2",
    ]  # fmt: skip


def test_headings_of_a_workbook_stay_in_sight_and_print_again_on_a4(samir):
    content = samir.get("/seasons/2026.xlsx").content
    with ZipFile(io.BytesIO(content)) as packed:
        sheet = packed.read("xl/worksheets/sheet2.xml").decode()
        names = packed.read("xl/workbook.xml").decode()
        styles = packed.read("xl/styles.xml").decode()
    assert '<pane xSplit="2" ySplit="4" topLeftCell="C5"' in sheet
    assert 'paperSize="9"' in sheet
    assert "<f>" not in sheet
    assert re.search(r'"_xlnm.Print_Titles" localSheetId="1">[^<]*\$A:\$B,[^<]*\$4:\$4<', names)
    assert 'formatCode="#,##0.00"' in styles


def test_a_workbook_speaks_to_its_reader_and_keeps_its_numbers(samir):
    plain = workbook(samir, DAY)
    samir.client.cookies.set(COOKIE, "fr")
    french = workbook(samir, DAY)
    words, numbers = set(), 0
    for one, other in zip(plain.values(), french.values(), strict=True):
        for cells, said_otherwise in zip(one, other, strict=True):
            for cell, otherwise in zip(cells, said_otherwise, strict=True):
                if isinstance(cell, float):
                    assert otherwise == cell
                    numbers += 1
                elif cell != otherwise:
                    words.add(otherwise)
    assert numbers > 300
    assert {"Unité", "Jour", "Bagasse, pol"} & words
    assert len(words) > 50


def test_words_that_a_person_typed_never_run_in_a_workbook():
    typed = '=HYPERLINK("http://elsewhere.example","x")'
    convention = InForce("a", typed, typed, typed, None, typed, "")
    row = Row("cane", typed, typed, 1, (Number(None, (), typed),))
    tabled = Tabled(typed, date(2026, 6, 1), date(2026, 6, 1), (Table(typed, (typed,), (row,)),),
                    (convention,))  # fmt: skip
    with ZipFile(io.BytesIO(workbook_of(tabled, [(typed, typed)]))) as packed:
        sheets = [name for name in packed.namelist() if "worksheets" in name]
        assert len(sheets) == 2
        for name in sheets:
            assert b"<f>" not in packed.read(name)
            assert b"hyperlink" not in packed.read(name)


@pytest.mark.parametrize("language", [code for code in LANGUAGES if code != "en"])
def test_the_json_of_a_report_reads_alike_in_every_language(samir, language):
    for address in (DAY, "/weeks/2026-W43", "/seasons/2026", RUNNING):
        samir.client.cookies.set(COOKIE, "en")
        plain = said(samir, address)
        samir.client.cookies.set(COOKIE, language)
        other = said(samir, address)
        for report in (plain, other):
            report.pop("known_at")
        assert json.dumps(other) == json.dumps(plain)


@pytest.mark.parametrize("address", REPORTS)
@pytest.mark.parametrize("kind", ["json", "xlsx"])
def test_nobody_reads_a_file_of_a_report_without_signing_in(demo_app, address, kind):
    answer = TestClient(demo_app, follow_redirects=False).get(f"{address}.{kind}")
    assert (answer.status_code, answer.headers["location"]) == (
        303, f"/sign-in?next={address}.{kind}",
    )  # fmt: skip


@pytest.mark.parametrize("address", ["/days/2026-01-01", "/weeks/soon", "/seasons/1999"])
def test_a_file_of_no_report_is_told_plainly(samir, address):
    answer = samir.get(f"{address}.json")
    assert answer.status_code == 404
    assert "This is not there" in answer.text
