"""What stands out of a day, in its JSON and its workbook: as its page has it, exactly."""

import io
import math
import re
from csv import DictReader
from html import unescape
from zipfile import ZipFile

import pytest
from python_calamine import CalamineWorkbook
from starlette.testclient import TestClient

from app.database import writing
from app.ledger import instruments, people
from app.reports.numbers import plus_minus, printed
from app.web.languages import COOKIE
from demo_data.season import NOW

# a scale that drifts; losses and lost time; a day of which nothing stands out; losses of molasses
DRIFT, LOST_TIME, CLEAN = "/days/2026-10-27", "/days/2026-10-16", "/days/2026-07-06"
ALL_DIGITS = 1e-15  # spreadsheets keep no more than about 16 of a float's 17
DAYS = (DRIFT, LOST_TIME, CLEAN, "/days/2026-09-15")


@pytest.fixture
def ruth(demo_visit):
    """The manager of the demonstration."""
    return demo_visit("ruth")


def said(visitor, day):
    return visitor.get(f"{day}.json").json()


def on_the_page(visitor, day):
    """The things that stand out, as the page lists them."""
    text = visitor.get(day).text
    found = []
    for part in re.findall(r'class="exceptions".*?</section>', text, re.DOTALL):
        for item in re.findall(r"<li[ >].*?</li>", part, re.DOTALL):
            words = re.sub(r"<svg.*?</svg>|<[^>]+>", " ", item, flags=re.DOTALL)
            found.append(re.sub(r"[ \n]+", " ", unescape(words)).strip(" >"))
    return found


@pytest.mark.parametrize("day", DAYS)
def test_the_json_has_each_thing_of_the_page_in_its_order_with_its_numbers(ruth, day):
    report, page = said(ruth, day), on_the_page(ruth, day)
    assert len(report["exceptions"]) == len(page)
    assert bool(page) == (day != CLEAN)
    for each, words in zip(report["exceptions"], page, strict=True):
        assert words.startswith(each["title"])
        assert each["verdict"] in words
        if each["target"] is not None:
            assert f" {printed(each['value'], 2)}" in words
            assert f"target {printed(each['target'], 2)}" in words
            by = "above" if each["difference"] > 0 else "below"
            assert f"{printed(abs(each['difference']), 2)} {by}: worse" in words
        if each["sugar"] is not None:
            lost = "lost" if each["is_lost"] else "not made"
            money = f"{printed(each['money'], 0)}\u00a0{each['currency']}"
            tonnes = f"{printed(each['sugar'], 1)} {plus_minus(each['standard_uncertainty'], 1)}"
            assert f"{tonnes} t of sugar {lost} , {money}" in words
    text = ruth.get(day).text
    for note in report["exceptions_notes"]:
        assert note in unescape(text)


def rows(answer):
    return list(DictReader(io.StringIO(answer.text, newline="")))


@pytest.mark.parametrize("day", [DRIFT, "/days/2026-09-15"])
def test_a_loss_is_the_part_of_the_points_that_its_csv_has(ruth, day):
    """Sugar by the pol in a tonne of it; its uncertainty as that of the points."""
    parts = {row["name"]: row for row in rows(ruth.get(f"{day}/points.csv?against=target"))}
    known = {row["name"]: row["value"] for row in rows(ruth.get(f"{day}.csv"))
             if row["record"] == "total"}  # fmt: skip
    per_pol = float(known["sugar"]) / float(known["pol_in_sugar_bagged"])
    losses = [each for each in said(ruth, day)["exceptions"] if each["kind"] == "loss_of_recovery"]
    assert losses
    for loss in losses:
        part = parts[loss["name"]]
        assert (loss["value"], loss["target"]) == (float(part["now"]), float(part["before"]))
        assert loss["sugar"] == pytest.approx(-float(part["tonnes"]) * per_pol, rel=1e-9)
        share = float(part["standard_uncertainty"]) / -float(part["points"])
        assert loss["standard_uncertainty"] == pytest.approx(loss["sugar"] * share, rel=1e-9)
        assert loss["is_real"] == (loss["sugar"] > 2 * loss["standard_uncertainty"])


def test_what_has_no_loss_is_judged_real_or_not_by_nobody(ruth):
    first = said(ruth, DRIFT)["exceptions"][0]
    assert (first["kind"], first["name"]) == ("measurement_reads_wrong", "mixed_juice")
    assert (first["unit"], first["value"], first["sugar"], first["money"]) == (
        "%", None, None, None,
    )  # fmt: skip
    assert first["is_real"] is None
    assert f"about {printed(first['difference'], 1)}" in first["title"]
    assert f"makes {printed(first['seeming_sugar'], 1)} t of sugar a day" in first["verdict"]


def test_the_trend_is_the_figure_of_each_of_the_last_days(ruth):
    for each in said(ruth, LOST_TIME)["exceptions"]:
        if not each["trend_of"]:
            continue
        assert [day["day"] for day in each["trend"]][-1] == LOST_TIME.rpartition("/")[2]
        assert len(each["trend"]) == 14
        for day in each["trend"][-2:]:
            known = rows(ruth.get(f"/days/{day['day']}.csv"))
            (total,) = (row for row in known if row["name"] == each["trend_of"]
                        and row["record"] == "total")  # fmt: skip
            assert day["value"] == pytest.approx(float(total["value"]), rel=1e-15, abs=0)


def test_programs_read_the_same_with_a_token(ruth, demo_app):
    with writing(demo_app.state.engine) as connection:
        token = instruments.add_instrument(
            connection, name="Historian", measures=["cane"], books=[], at=NOW,
            by=people.person_named(connection, "noor"),
        )[1]  # fmt: skip
    programs = TestClient(demo_app, headers={"Authorization": f"Bearer {token}"})
    told = programs.get(f"/api/reports{DRIFT}").json()
    own = said(ruth, DRIFT)
    for name in ("exceptions", "exceptions_notes"):
        assert told[name] == own[name]
        assert own[name]


def sheet_of(visitor, day):
    content = visitor.get(f"{day}.xlsx").content
    read = CalamineWorkbook.from_filelike(io.BytesIO(content))
    assert read.sheet_names[1] == "What to look at first"
    return content, read.get_sheet_by_index(1).to_python(skip_empty_area=False)


def numbers(cells):
    """The numbers of some cells, none where a cell is empty."""
    assert all(isinstance(cell, float) or cell == "" for cell in cells)
    return [math.nan if cell == "" else cell for cell in cells]


def exactly(expected):
    known = [math.nan if value is None else value for value in expected]
    return pytest.approx(known, rel=ALL_DIGITS, abs=0, nan_ok=True)


@pytest.mark.parametrize("day", [DRIFT, LOST_TIME])
def test_the_workbook_has_them_live_in_the_same_order(ruth, day):
    found, (_content, sheet) = said(ruth, day)["exceptions"], sheet_of(ruth, day)
    assert sheet[3][:9] == [
        "What stands out", "Unit", "Value", "Target", "Difference", "Sugar, t", "± of sugar, t",
        "Money, USD", "What is known of it",
    ]  # fmt: skip
    for each, cells in zip(found, sheet[4:], strict=False):
        assert cells[:2] == [each["title"], each["unit"]]
        doubled = each["standard_uncertainty"] and 2 * each["standard_uncertainty"]
        expected = [*(each[name] for name in ("value", "target", "difference", "sugar")), doubled,
                    each["money"]]  # fmt: skip
        assert numbers(cells[2:8]) == exactly(expected)
        assert cells[8] == each["verdict"]
        assert numbers(cells[10:24])[: len(each["trend"])] == exactly(
            [day["value"] for day in each["trend"]]
        )


def test_the_headings_of_that_sheet_stay_in_sight_and_nothing_in_it_runs(ruth):
    content, _sheet = sheet_of(ruth, DRIFT)
    with ZipFile(io.BytesIO(content)) as packed:
        sheet = packed.read("xl/worksheets/sheet2.xml").decode()
    assert '<pane xSplit="2" ySplit="4" topLeftCell="C5"' in sheet
    assert "<f>" not in sheet


def test_the_sheet_of_a_clean_day_says_that_nothing_stands_out(ruth):
    _content, sheet = sheet_of(ruth, CLEAN)
    assert sheet[4][0] == "Nothing stands out."
    assert said(ruth, CLEAN)["exceptions"] == []


def test_the_json_reads_alike_in_every_language(ruth):
    plain = said(ruth, DRIFT)["exceptions"]
    ruth.client.cookies.set(COOKIE, "fr")
    assert said(ruth, DRIFT)["exceptions"] == plain
