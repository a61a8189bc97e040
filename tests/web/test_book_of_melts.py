"""The book of melts, over HTTP: kept by a mill that has a refinery, and by no other."""

from datetime import date

import pytest

from app.database import writing
from app.ledger import mills, people
from tests.bench import NOON

SHIFT = "2026-06-03/1"
MELT = {"field:at": "08:00", "field:raw_sugar": "60", "field:pol": "98.6",
        "field:melt_liquor_colour": "1400", "field:fine_liquor_colour": "350"}  # fmt: skip


@pytest.fixture
def refinery(bench):
    with writing(bench.engine) as connection:
        boss = people.add_person(
            connection, username="olga", printed_name="Olga Reyes", role="administrator",
            password="a refinery behind the mill", at=NOON,
        )  # fmt: skip
        mills.add_convention(
            connection, bench.mill, name="refinery", value="behind the mill",
            since=date(2026, 6, 1), source="the mill's own", by=boss, at=NOON,
        )  # fmt: skip


def test_a_mill_without_a_refinery_has_no_book_of_melts(ann):
    assert "Strikes" in ann.get("/books?day=2026-06-03&shift=1").text
    assert "Melts" not in ann.get("/books?day=2026-06-03&shift=1").text


@pytest.mark.usefixtures("refinery")
def test_melts_make_the_raw_sugar_melted_of_the_sheet(ann):
    assert "Melts" in ann.get("/books?day=2026-06-03&shift=1").text
    assert ann.post(f"/books/melts/{SHIFT}", MELT).status_code == 303
    second = MELT | {"field:at": "11:00", "field:raw_sugar": "20", "field:pol": "99"}
    assert ann.post(f"/books/melts/{SHIFT}", second).status_code == 303
    page = ann.get(f"/books/melts/{SHIFT}").text
    assert "75.0" in page  # of the colour, by hand 100 × (1 - 350 ÷ 1400)
    sheet = ann.get(f"/shifts/{SHIFT}").text
    for measure, made in (("raw_sugar_melted", "80.0"), ("raw_sugar_melted_pol", "98.70")):
        cell = sheet.split(f'id="cell-{measure}"')[1].split("</td>")[0]
        assert made in cell
    assert "98.70" in ann.get("/books/melts?first=2026-06-03&last=2026-06-03").text


@pytest.mark.usefixtures("refinery")
def test_a_melt_whose_tonnes_lack_leaves_the_shift_without(ann):
    ann.post(f"/books/melts/{SHIFT}", MELT)
    ann.post(f"/books/melts/{SHIFT}", {"field:at": "10:00", "field:pol": "99"})
    assert "none: 1 record lacks it" in ann.get(f"/books/melts/{SHIFT}").text


@pytest.mark.usefixtures("refinery")
def test_the_trail_tells_a_record_and_what_a_correction_changed(ann):
    ann.post(f"/books/melts/{SHIFT}", MELT)
    page = ann.get(f"/books/melts/{SHIFT}").text
    address = page.split('href="/books/melts/records/')[1].split('"')[0]
    again = MELT | {"field:raw_sugar": "61", "reason": "scale read wrongly"}
    assert ann.post(f"/books/melts/records/{address}", again).status_code == 303
    rows = ann.get("/trail?day=2026-06-03").text.split("<tr>")
    corrected, first = (row for row in rows if "/books/melts/records/" in row)
    assert "Raw sugar 60; " in first
    assert "Pol 98.6" in first
    assert "Raw sugar 60" in corrected
    assert "Raw sugar 61" in corrected
    assert "scale read wrongly" in corrected
    assert "Pol" not in corrected
