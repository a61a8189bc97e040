"""What a page of a book says of a record beside others, over HTTP."""

import re
from datetime import timedelta

from tests.bench import NOON

SHIFT = "2026-06-03/1"
NEXT = "2026-06-03/2"
STOP = {"field:begins": "07:00", "field:ends": "09:00", "field:cause": "mechanical_stop",
        "field:crushing": "stopped"}  # fmt: skip


def kept(ann, book, shift, form):
    """The page that a record that was kept leads to."""
    answer = ann.post(f"/books/{book}/{shift}", form)
    assert answer.status_code == 303, re.findall(r'class="wrong"[^>]*>([^<]+)', answer.text)
    return ann.get(answer.headers["location"].partition("#")[0]).text


def test_whoever_writes_a_stop_over_another_is_told_of_the_other(ann):
    assert "Look at it again" not in kept(ann, "stops", SHIFT, STOP)
    over = {"field:begins": "08:00", "field:ends": "09:30", "field:cause": "no_cane"}
    page = kept(ann, "stops", SHIFT, STOP | over)
    words = "overlaps the stop 07:00 to 09:00, Mechanical stops, which began first: 0.50 h count"
    assert f"<strong>Look at it again:</strong> {words} here." in page
    assert page.count('<span class="tag">overlaps the stop') == 2
    record = re.findall(r'href="(/books/stops/records/\d+)"', page)[-1]
    assert "overlaps the stop" in ann.get(record).text


def test_a_load_of_a_lot_that_nobody_bagged_is_told_of(ann):
    load = {"field:ticket": "7", "field:left": "09:00", "field:lot": "L9", "field:customer": "K1"}
    words = "no lot L9 in the book of bagging of this season"
    assert f"again:</strong> {words}." in kept(ann, "dispatch", SHIFT, load)
    report = ann.get("/books/dispatch?first=2026-06-03&last=2026-06-03").text
    assert "not in the book of bagging of this season" in report


def test_the_effects_that_are_offered_are_those_of_the_mill(ann):
    form = ann.get(f"/books/evaporator/{SHIFT}").text.split('name="field:effect"')[1]
    offered = re.findall(r'<option value="(\d)"', form.split("</select>")[0])
    assert offered == ["1", "2", "3", "4"]


def test_what_is_yet_to_come_is_said_beside_its_time(ann):
    answer = ann.post(f"/books/stops/{SHIFT}", STOP | {"field:ends": "13:30"})
    assert answer.status_code == 422
    wrong = answer.text.split('id="field-ends-wrong">')[1].split("<")[0]
    assert wrong == "It is 12:00 now: write it once it has happened."


def test_a_strike_in_the_pan_is_listed_and_completed_on_the_next_shift(app, ann, visit):
    begun = {"field:strike": "C1", "field:grade": "c", "field:pan": "P7", "field:started": "09:00"}
    assert '<span class="tag">in the pan</span>' in kept(ann, "strikes", SHIFT, begun)
    signing = ann.get(f"/shifts/{SHIFT}/signature").text
    assert "1 of them tells of what still goes on: it is signed as it stands" in signing
    report = ann.get("/books/strikes?first=2026-06-03&last=2026-06-03").text
    assert "C1, C, P7</a>, since 3 Jun 2026, 09:00" in report
    app.state.clock = lambda: NOON + timedelta(hours=9)
    evening = visit("ann")
    page = evening.get(f"/books/strikes/{NEXT}").text
    assert "C1, C, P7</a>, since 3 Jun 2026, 09:00" in page
    onward = page.split(f'href="/books/strikes/{NEXT}?of=')[1].split("#")[0]
    form = evening.get(f"/books/strikes/{NEXT}?of={onward}").text
    typed = dict(re.findall(r'name="(field:\w+)" value="([^"]*)"', form))
    assert typed["field:started"] == "2026-06-03 09:00"
    typed |= {"field:grade": "c", "field:dropped": "15:00", "field:volume": "60"}
    page = kept(evening, "strikes", NEXT, typed)
    assert "completes what shift 1 of 3 Jun 2026 wrote" in page
    assert "complete it on this shift" not in page
    before = evening.get(f"/books/strikes/{SHIFT}").text
    assert "completed on shift 2 of 3 Jun 2026" in before
