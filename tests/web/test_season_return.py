"""The season-end return over HTTP: what is listed, by month, and each number as elsewhere."""

import csv
import io
import re

import pytest

from app.figures import FIGURES
from app.plant.measures import MEASURES
from app.reports.season_return import LISTED, NOT_KEPT
from tests.small_season import JUNE, load, results

DAYS = JUNE[:2]  # over at noon of the third
PAGE = "/seasons/2026/return"
LISTED_NAMES = [name for names in LISTED.values() for name in names]


@pytest.fixture
def reader(ann, bench):
    """A chemist of a mill that has two days."""
    load(bench, results(DAYS))
    return ann


def rows_of(answer):
    return list(csv.DictReader(io.StringIO(answer.text, newline="")))


def test_every_listed_name_is_a_figure_or_a_measure_and_is_listed_once():
    assert set(LISTED_NAMES) <= FIGURES.keys() | MEASURES.keys()
    assert len(LISTED_NAMES) == len(set(LISTED_NAMES))


def test_whatever_is_listed_has_a_number_or_is_named_with_what_lacks(reader):
    page = reader.get(PAGE).text
    table, _, rest = page.partition("Listed, and not here")
    rows = rows_of(reader.get(f"{PAGE}.csv"))
    season = {row["name"]: row for row in rows if row["of"] == "Season"}
    numbers = {name for name, row in season.items() if row["value"]}
    for name in LISTED_NAMES:
        title = (FIGURES.get(name) or MEASURES[name]).title
        if name in numbers:
            assert f'<th scope="row">{title} ' in table, name
        else:
            assert f"<dt>{title}</dt>" in rest, name
    assert len(numbers) > 40
    for words in NOT_KEPT:
        assert words in rest


def test_the_return_says_what_it_stands_on(reader):
    page = reader.get(PAGE).text
    assert "this is its return to date" in page
    assert "0 of 2 days are approved" in page
    assert re.search(r"Known to event \d+ of the chain, <code>[0-9a-f]{16}</code>", page)
    assert "System of Cane Sugar Factory Control, ISSCT" in page
    assert "from memory" in page
    assert f'href="{PAGE}"' in reader.get("/seasons/2026").text


def test_each_number_is_that_of_the_seasons_own_files(reader):
    """By name, the return and the season agree in every digit."""
    told = {row["name"]: row["value"] for row in rows_of(reader.get(f"{PAGE}.csv"))
            if row["of"] == "Season" and row["value"]}  # fmt: skip
    season = {row["name"]: row["value"] for row in rows_of(reader.get("/seasons/2026.csv"))
              if row["record"] == "total"}  # fmt: skip
    shared = told.keys() & season.keys() & FIGURES.keys()
    assert len(shared) > 40
    for name in shared:
        assert float(told[name]) == float(season[name]), name


def test_its_json_says_the_same_exactly(reader):
    said = reader.get(f"{PAGE}.json").json()
    numbers = {
        (row["name"], column): number
        for table in said["tables"] for row in table["rows"]
        for column, number in zip(table["columns"], row["numbers"], strict=True)
    }  # fmt: skip
    rows = rows_of(reader.get(f"{PAGE}.csv"))
    assert {(row["name"], row["of"]) for row in rows} == numbers.keys()
    for row in rows:
        value = numbers[row["name"], row["of"]]["value"]
        assert row["value"] == ("" if value is None else repr(value))
    assert {column for _name, column in numbers} == {"Season", "June"}


def test_it_is_a_workbook_and_a_paper_too(reader):
    assert reader.get(f"{PAGE}.xlsx").content.startswith(b"PK")
    assert reader.get(f"{PAGE}.pdf").content.startswith(b"%PDF")


def test_what_few_shifts_stand_for_says_so_and_is_not_called_estimated(ann, bench):
    """A test of the mills on one shift of six: under the 60 % that the mill asks of a total."""
    tested = [(DAYS[0], 1, "mill_1_bagasse_pol", 7.9), (DAYS[0], 1, "mill_1_bagasse_moisture", 58)]
    load(bench, [*results(DAYS), *tested])
    page = ann.get(PAGE).text
    row = page[page.index(">Primary extraction <") :].split("</tr>")[0]
    shares = re.findall(r"(\d+\.\d) % analysed, which stands for all; nothing is estimated", row)
    said = ann.get(f"{PAGE}.json").json()
    (told,) = (row for table in said["tables"] for row in table["rows"]
               if row["name"] == "primary_extraction")  # fmt: skip
    # to be seen, and to be heard: behind each number, and behind the share of the season's
    assert len(shares) == 2 * (len(told["numbers"]) + 1)
    assert abs(float(shares[0]) - 100 * told["numbers"][0]["coverage"]) < 0.1
    assert float(shares[0]) < 60
    assert "the rest is estimated" not in row
    assert f'<td class="num">{shares[0]}<' in row
    own = ann.get("/seasons/2026/figures/primary_extraction").text
    assert f"{shares[0]} % analysed, which stands for all; ± is of its measuring alone" in own
    assert "s: too little was analysed to estimate the rest" in page


def test_what_most_shifts_have_is_estimated_and_says_so(ann, bench):
    """Five shifts of six: the sixth is estimated, as of any analysis."""
    rows = [row for row in results(DAYS) if row[:3] != (DAYS[0], 2, "mixed_juice_pol")]
    load(bench, rows)
    page = ann.get(PAGE).text
    row = page[page.index(">Pol extraction <") :].split("</tr>")[0]
    assert "% analysed, the rest is estimated" in row
    assert "stands for all" not in row
