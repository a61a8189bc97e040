"""What a table leaves open is asked about before it is read: percent of a workbook, mixed days."""

import re

import pytest

from app.ledger import book
from tests.importing import FIRST, LATER
from tests.web.test_imports import fields, send, settled, workbook


@pytest.fixture
def rosa(app, visit):
    app.state.clock = lambda: LATER
    return visit("ann")


def upload(visitor, body, name):
    address = send(visitor, body, name).headers["location"]
    return address, visitor.get(address)


SHARES = workbook(
    ("Bagasse", [["Day", "Shift", "bagasse_pol", "bagasse_moisture", "mixed_juice_brix"],
                 ["2026-06-01", 1, 0.0185, 0.50125, 14.125]]),
)  # fmt: skip


@pytest.mark.parametrize(("said", "pol"), [("share", "1.85"), ("percent", "0.0185")])
def test_percent_that_a_workbook_may_keep_as_a_share_is_asked_about(bench, rosa, said, pol):
    """Cells that show 1.85 % hold 0.0185: a hundredth, if nobody asks."""
    address, page = upload(rosa, SHARES, "lab.xlsx")
    assert "0.0185 in this workbook is" in page.text
    assert re.findall(r'<option value="(share|percent)">([\d.]+) %', page.text) == [
        ("share", "1.85"), ("percent", "0.0185"), ("share", "50.1250"), ("percent", "0.50125"),
    ]  # fmt: skip
    assert "14.1250 in this workbook" not in page.text
    answer = rosa.post(f"{address}/columns", fields(page) | {"share:2": said})
    assert answer.status_code == 422
    assert 'id="share-3-wrong">Say what its numbers are in percent.' in answer.text
    assert f'<option value="{said}" selected>' in answer.text
    rosa.post(f"{address}/columns", fields(page) | {"share:2": said, "share:3": "share"})
    page = settled(rosa, address)
    assert "Accept" in page.text
    assert re.findall(r'<option value="(\w+)" selected>[\d.]+ %', page.text) == [said, "share"]
    rosa.post(f"{address}/acceptance")
    settled(rosa, address)
    entries = bench.read(book.sheet, bench.season, FIRST, 1)
    assert entries["bagasse_pol"].typed == pol
    assert entries["bagasse_moisture"].typed == "50.1250"
    assert entries["mixed_juice_brix"].typed == "14.1250"


def test_nobody_is_asked_about_numbers_that_are_usual_in_percent(rosa):
    """Three tenths of a percent of moisture are what raw sugar has."""
    body = workbook(
        ("Sugar", [["Day", "Shift", "sugar_moisture"], ["2026-06-01", 1, 0.3]]),
    )  # fmt: skip
    assert "in this workbook is" not in upload(rosa, body, "lab.xlsx")[1].text


def test_a_text_of_percent_is_what_it_says(rosa):
    text = "Day,Shift,bagasse_pol\n2026-06-01,1,0.85\n"
    assert "in this workbook is" not in upload(rosa, text, "lab.csv")[1].text


def test_days_that_are_written_two_ways_are_looked_at_by_somebody(rosa):
    """Where a program took days for months, those beyond twelve stay as texts."""
    text = "Day,Shift,Cane\n2026-06-03,1,1250\n13/06/2026,1,1300\n"
    address, page = upload(rosa, text, "lab.csv")
    assert "though some are written 2026-06-03 and some 13/06/2026" in page.text
    form = fields(page) | {"alike": "yes"}
    answer = rosa.post(f"{address}/columns", {key: form[key] for key in form if key != "alike"})
    assert answer.status_code == 422
    assert 'id="alike-wrong">Look at the days, and say that they are right.' in answer.text
    assert rosa.post(f"{address}/columns", form).status_code == 303
    page = settled(rosa, address)
    assert "2 new, 3 Jun 2026 to 13 Jun 2026" in page.text
    assert 'name="alike" value="yes" required checked' in page.text


def test_days_that_are_written_alike_are_not_asked_about(rosa):
    text = "Day,Shift,Cane\n12/06/2026,1,1250\n13/06/2026,1,1300\nTotal,,\n"
    assert 'name="alike"' not in upload(rosa, text, "lab.csv")[1].text
