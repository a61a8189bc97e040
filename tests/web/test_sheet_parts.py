"""Boxes that go together, where the keyboard begins, and the sheet of one station."""

from tests.web.conftest import SHEET
from tests.web.test_shifts import box, said


def save_cells(visitor, **typed):
    form = {f"result:{measure}": text for measure, text in typed.items()}
    return visitor.post(f"{SHEET}/cells", form, **{"X-Fragment": "sheet"})


def test_boxes_that_go_together_are_written_each_for_itself(ann, bench):
    answer = save_cells(ann, cane="1800", lime="much", mixed_juice_brix="14.5")
    assert answer.status_code == 422
    assert answer.headers["x-fragment"] == "sheet"
    assert "Write a number" in said(answer, "lime")
    assert "2 results saved" in answer.text
    assert [entry.typed for entry in bench.trail("cane")] == ["1800"]
    assert [entry.typed for entry in bench.trail("mixed_juice_brix")] == ["14.5"]
    assert bench.trail("lime") == []


def test_what_the_shift_has_no_box_for_keeps_nothing_else_from_being_written(ann, bench):
    answer = save_cells(ann, cane="1800", press_water_brix="1.2")
    assert answer.status_code == 200
    assert "cell-press_water_brix" not in answer.text
    assert [entry.typed for entry in bench.trail("cane")] == ["1800"]


def test_the_keyboard_begins_at_the_first_due_empty_box(ann):
    """C-14"""
    assert "autofocus" in box(ann.get(SHEET), "cane")
    ann.save("cane", "1800")
    page = ann.get(SHEET)
    assert "autofocus" not in box(page, "cane")
    assert page.text.count("autofocus>") + page.text.count("autofocus ") >= 1
    assert "autofocus" not in ann.save_sheet({"lime": "much"}).text  # there the summary has it


def test_one_station_has_its_own_boxes_and_leads_to_the_others(ann):
    page = ann.get(f"{SHEET}?station=clarification")
    assert 'name="result:clear_juice_ph"' in page.text
    assert 'name="result:cane"' not in page.text
    assert 'href="?station=cane_receiving#cane"' in page.text  # it is missing elsewhere
    assert 'aria-current="true">Clarification</a>' in page.text
    assert ann.get(f"{SHEET}?station=nowhere").status_code == 404
