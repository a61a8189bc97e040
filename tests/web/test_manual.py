"""The manual is complete: it is said from what is declared, and every link in it arrives."""

import re

import pytest
from markupsafe import escape

from app.figures import CONVENTIONS, FIGURES
from app.figures.readings import RESULTS
from app.plant.measures import MEASURES
from app.reports.exceptions import AT_MOST, LARGE
from app.web.manual import PARTS, WITH_FIGURES
from tests.small_season import JUNE, load, results

PUBLIC = {name: figure for name, figure in FIGURES.items() if not figure.internal}


@pytest.fixture
def pages(ann):
    parts = {f"/manual/{part}": ann.get(f"/manual/{part}") for part in PARTS}
    assert {answer.status_code for answer in parts.values()} == {200}
    return {address: answer.text for address, answer in parts.items()}


def anchors(page):
    return set(re.findall(r'id="([a-z0-9_]+)"', page))


def test_every_figure_measure_and_convention_stands_in_the_manual(pages):
    for station in WITH_FIGURES:
        there = {name for name, figure in PUBLIC.items() if figure.station == station}
        assert there <= anchors(pages[f"/manual/{station}"]), station
    assert {figure.station for figure in PUBLIC.values()} <= WITH_FIGURES.keys()
    assert MEASURES.keys() <= anchors(pages["/manual/measures"])
    assert CONVENTIONS.keys() <= anchors(pages["/manual/conventions"])


def test_every_figure_is_told_with_formula_source_and_mark(pages):
    for name, figure in PUBLIC.items():
        page = pages[f"/manual/{figure.station}"]
        entry = page[page.index(f'id="{name}"') :].split("</article>")[0]
        assert entry.count("<math") == len(figure.ways), name
        assert figure.source.mark in entry, name


def test_every_link_of_the_manual_arrives(pages, ann):
    known = {address: anchors(page) for address, page in pages.items()}
    front = ann.get("/manual").text
    for page in (*pages.values(), front):
        for address, anchor in re.findall(r'href="(/manual/[a-z_]+)(?:#([a-z0-9_]+))?"', page):
            assert address in known
            assert not anchor or anchor in known[address], f"{address}#{anchor}"


def test_a_formula_of_the_manual_is_no_landmark(pages):
    for address in (f"/manual/{station}" for station in WITH_FIGURES):
        assert 'role="region"' not in pages[address].partition("<main")[2], address


def test_a_result_of_readings_has_every_rule_and_its_row_points_there(pages):
    page = pages["/manual/measures"]
    for name, result in RESULTS.items():
        measure = name.removeprefix("entered_")
        row = page[page.index(f'<tr id="{measure}">') :].split("</tr>")[0]
        assert f'href="#from-readings-{measure}">or from readings</a>' in row
        assert "<math" not in row
        rules = page[page.index(f'<tbody id="from-readings-{measure}">') :].split("</tbody>")[0]
        assert rules.count("<math") == len(result.ways), measure
        assert rules.count(f'href="#{measure}"') == 1
        assert str(escape(result.source)) in rules, measure


def test_what_is_left_out_is_listed_with_its_reason(ann):
    page = ann.get("/manual").text
    assert "Corrected reduced extraction" in page
    assert "not confirmed" in page


@pytest.mark.parametrize(
    ("page", "anchor"),
    [
        ("/days/2026-06-02", "exceptions"), ("/days/2026-06-02/what-if", "what_if"),
        ("/runs", "runs"), ("/seasons/2026/forecast", "forecast"),
        ("/seasons/2026/return", "return_of_season"), ("/comparison", "other_mills"),
    ],
)  # fmt: skip
def test_each_report_that_needs_explaining_leads_to_its_text(ann, bench, page, anchor):
    load(bench, results(JUNE[:2]))
    assert f'href="/manual/reports#{anchor}"' in ann.get(page).text
    text = ann.get("/manual/reports").text
    said = text.partition(f'id="{anchor}"')[2].partition("<h2")[0]
    assert len(re.sub(r"<[^>]+>", "", said).split()) > 40


def test_the_manual_tells_how_exceptions_are_chosen_by_the_rules_that_choose_them(ann):
    text = ann.get("/manual/reports").text
    assert f"of its day, {AT_MOST} things at most" in text
    assert f"only large ones: {LARGE} points of recovery or more" in text
    places = [text.index(words) for words in (
        "A measurement that likeliest reads wrong", "An instrument that failed", "Losses that are "
        "more than measuring error", "Losses that measuring error alone may explain",
    )]  # fmt: skip
    assert places == sorted(places)


def test_a_part_that_is_none_is_not_found(ann):
    assert ann.get("/manual/nothing").status_code == 404
