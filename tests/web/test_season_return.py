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
