"""Mills side by side over HTTP: read from their own files, never kept, and told apart by error."""

import json
import re
import secrets

import pytest
from sqlalchemy import func, select

from app.database import reading
from app.ledger import chain, tables
from tests.small_season import JUNE, load, results
from tests.web.conftest import OURS

WEEK = "/weeks/2026-W23.json"


@pytest.fixture
def reader(ann, bench):
    """A chemist of a mill that has two days."""
    load(bench, results(JUNE[:2]))
    return ann


def compared(visitor, *reports):
    """Send reports, as text or as what JSON says, in one form."""
    files = [
        ("files", (f"{n}.json", report if isinstance(report, bytes) else json.dumps(report)))
        for n, report in enumerate(reports)
    ]
    hidden = {"token": visitor.token, "once": secrets.token_urlsafe()}
    return visitor.client.post("/comparison", data=hidden, files=files, headers=OURS)


def other(report, mill="Other mill", **moved):
    """The report of another mill, some of its figures moved by so much."""
    said = json.loads(json.dumps(report)) | {"mill": mill}
    for table in said["tables"]:
        for row in table["rows"]:
            for number in row["numbers"]:
                if number["value"] is not None:
                    number["value"] += moved.get(row["name"], 0)
    return said


def known(report, name):
    """The number of the whole period that a report has of a figure."""
    rows = [row for table in report["tables"] for row in table["rows"] if row["name"] == name]
    return rows[0]["numbers"][-1]


def row_of(page, title):
    (row,) = re.findall(rf'<tr><th scope="row">{title} .*?</tr>', page)
    return re.findall(r"<td class=\"num[^>]*>([^<]*)</td>", row)


def test_two_mills_stand_side_by_side_with_what_is_fair_to_compare_first(reader):
    report = reader.get(WEEK).json()
    page = compared(reader, report, other(report, pol_extraction=0.5)).text
    assert "Each against" in page
    assert page.index("Reduced extraction") < page.index(">Pol extraction ")
    assert page.index("Fair between mills") < page.index("As they are, of different cane")
    value = known(report, "pol_extraction")["value"]
    first, _, second, _, difference = row_of(page, "Pol extraction")
    assert float(first) == pytest.approx(value, abs=0.005)
    assert float(second) == pytest.approx(value + 0.5, abs=0.005)
    assert difference.endswith("+0.50")
    for title in ("Mixed juice purity", "Reduced extraction"):
        assert row_of(page, title + "(?: \\([^)]*\\))?")[-1] in ("0.00", "")


@pytest.mark.parametrize(("errors", "mark"), [(2.7, ""), (2.9, "▲ "), (-2.7, ""), (-2.9, "▼ ")])
def test_a_difference_is_marked_where_it_is_more_than_twice_both_errors(reader, errors, mark):
    """Two errors alike together are √2 of one, and twice that is 2.83."""
    report = reader.get(WEEK).json()
    standard = known(report, "pol_extraction")["standard_uncertainty"]
    page = compared(reader, report, other(report, pol_extraction=errors * standard)).text
    difference = row_of(page, "Pol extraction")[-1]
    assert difference.startswith(("▲", "▼")) == bool(mark)
    assert difference.startswith(mark)


def test_nothing_of_the_files_is_kept(reader, bench):
    report = reader.get(WEEK).json()

    def state():
        with reading(bench.engine) as connection:
            rows = {
                table.name: connection.scalar(select(func.count()).select_from(table))
                for table in tables.metadata.sorted_tables
            }
            return chain.head(connection), rows

    before = state()
    assert "Each against" in compared(reader, report, other(report)).text
    assert state() == before


def test_why_reports_may_not_compare_is_said(reader):
    report = reader.get(WEEK).json()
    otherwise = other(report) | {"last": "2026-06-05", "figures": "0", "over": False}
    otherwise["conventions"][0] |= {"value": "something else"}
    page = compared(reader, report, otherwise).text
    assert "not of the same days" in page
    assert "not over yet" in page
    assert "different versions of the figures" in page
    assert "Conventions that differ" in page
    assert "something else" in page
    assert "A mill is there more than once." in compared(reader, report, report).text


@pytest.mark.parametrize(
    ("files", "words"),
    [
        (
            [b"{}", b"{}"],
            "of this program; 1.json: it is not the JSON of a report of this program.",
        ),
        ([b"no json \xff"], "it is not the JSON of a report of this program."),
        ([b""], "it is not the JSON of a report of this program."),
        ([b" " * 2_000_001], "it is too large to be a report."),
        ([], "Choose the reports of two mills or more."),
    ],
)
def test_what_is_no_report_is_said_beside_the_field(reader, files, words):
    answer = compared(reader, *files)
    assert answer.status_code == 422
    assert words in answer.text
    assert 'aria-invalid="true"' in answer.text


def test_more_files_than_can_stand_side_by_side_are_said_beside_the_field(reader):
    answer = compared(reader, *[b"{}"] * 9)
    assert answer.status_code == 422
    assert "These are 9 files: 8 at most." in answer.text
    assert 'aria-invalid="true"' in answer.text
    assert compared(reader, *[b"{}"] * 101).status_code == 400


@pytest.mark.parametrize("tables", [[], [{"title": "Losses", "columns": [], "rows": []}]])
def test_a_report_without_figures_is_refused_by_name(reader, tables):
    report = reader.get(WEEK).json()
    answer = compared(reader, report, report | {"tables": tables})
    assert answer.status_code == 422
    assert "1.json: it holds no figure: it is no whole report." in answer.text


@pytest.mark.parametrize("said", [1e26, -1e300, 1e15])
def test_a_number_beyond_all_mills_is_left_blank(reader, said):
    report = reader.get(WEEK).json()
    large = other(report)
    for row in (row for table in large["tables"] for row in table["rows"]):
        for number in row["numbers"]:
            number["value"] = said if row["name"] == "pol_extraction" else number["value"]
            number["standard_uncertainty"] = abs(said)
    page = compared(reader, report, large).text
    assert row_of(page, "Pol extraction")[2:] == ["–", "", ""]
    assert row_of(page, "Boiling house recovery")[4].endswith("error not stated")


def test_conventions_differ_by_value_and_only_where_both_list_them(reader):
    report = reader.get(WEEK).json()
    one, same = other(report), other(report)
    found = next(each for each in one["conventions"] if each["value"].isdecimal())
    found["value"] = f"{float(found['value']):.1f}"
    assert "Conventions that differ" not in compared(reader, report, one).text
    same["conventions"] = [each for each in one["conventions"] if each is not found]
    assert "Conventions that differ" not in compared(reader, report, same).text
    found["value"] = f"{float(found['value']) + 1}"
    page = compared(reader, report, one, same).text
    assert "Conventions that differ" in page
    assert f"<td>{found['value']} {found['unit']}</td>" in page


def test_one_report_alone_and_a_sheet_are_not_compared(reader):
    report = reader.get(WEEK).json()
    assert "Choose the reports of two mills or more." in compared(reader, report).text
    sheet = reader.get("/shifts/2026-06-01/1.json").json()
    assert "the sheet of a shift has nothing to compare" in compared(reader, sheet, report).text


def test_what_a_file_says_is_inert_and_an_unknown_figure_is_left_out(reader):
    report = reader.get(WEEK).json()
    evil = other(report, "<script>alert(1)</script>")
    evil["tables"][0]["rows"][0] |= {"name": "no_figure", "title": "<b>no figure</b>"}
    page = compared(reader, report, evil).text
    assert "<script>alert(1)" not in page
    assert "&lt;script&gt;alert(1)" in page
    assert "no figure" not in page


def test_a_number_that_is_none_is_left_blank(reader):
    report = reader.get(WEEK).json()
    text = json.dumps(other(report, pol_extraction=float("nan"))).encode()
    assert b"NaN" in text
    page = compared(reader, json.dumps(report).encode(), text).text
    assert row_of(page, "Pol extraction")[2] == "–"


def test_reports_of_each_kind_are_read_by_their_whole_period(reader):
    """Of a day the first column, of a return the season's, of a week its total."""
    for address in ("/days/2026-06-02", "/seasons/2026/return", "/seasons/2026"):
        report = reader.get(f"{address}.json").json()
        page = compared(reader, report, other(report)).text
        name = address.removeprefix("/")
        of = reader.get(f"/{name.removesuffix('/return')}/figures/pol_extraction").text
        assert row_of(page, "Pol extraction")[0] in of
    assert 'href="/comparison"' in reader.get("/seasons/2026").text
