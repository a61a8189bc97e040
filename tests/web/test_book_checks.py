"""What pages ask of a standard check that failed, of what is unusual and of old reagents."""

import re
from datetime import date
from html import unescape

import pytest

from app.language import _, speaking
from app.plant.books import BOOKS
from tests.bench import PASSWORD
from tests.web.conftest import SHEET

SHIFT = "2026-06-03/1"
CHECK = {"at": "09:15", "kind": "polarimeter", "instrument": "P-2", "standard": "other",
         "certified": "10", "reading": "10", "tolerance": "0.1"}  # fmt: skip


def write(ann, book, **typed):
    """Write a record, and return the page that it leads to."""
    answer = ann.post(f"/books/{book}/{SHIFT}", {f"field:{n}": text for n, text in typed.items()})
    assert answer.status_code == 303, re.findall(r'class="wrong"[^>]*>([^<]+)', answer.text)
    return unescape(ann.get(answer.headers["location"]).text)


def sign(ann, **said):
    form = {"password": PASSWORD} | said
    return ann.post(f"{SHEET}/signature", form)


def test_a_shift_is_signed_once_it_is_said_what_was_seen_of_a_failed_check(ann):
    ann.save("mixed_juice_pol", "13.1")
    write(ann, "standard_checks", **CHECK | {"at": "07:15"})
    fail = write(ann, "standard_checks", **CHECK | {"reading": "11"})
    ann.post(f"{SHEET}/blanks", {"state": "not measured", "reason": "no more was sampled"})
    words = (
        "Polarimeter P-2 failed on 3 Jun 2026, 09:15, off by 1.000: what was measured since "
        "3 Jun 2026, 07:15 is in doubt"
    )
    page = unescape(ann.get(f"{SHEET}/signature").text)
    assert words in page
    assert words in unescape(ann.get(SHEET).text)
    (name,) = re.findall(r'name="(answer:standard_check_failed:[^"]+)"', page)
    assert name.endswith(":mixed_juice_pol")
    refused = sign(ann)
    assert refused.status_code == 422
    assert "An instrument failed its standard check: say what you saw" in refused.text
    assert sign(ann, **{name: "kept flasks read again on P-1"}).status_code == 303
    assert "kept flasks read again on P-1" in ann.get(f"{SHEET}/signature").text
    told = unescape(ann.get(f"{SHEET}/cells/mixed_juice_pol").text)
    assert 'in answer to <a href="/manual/checks#standard_check_failed">' in told
    assert "failed: off by 1.000, 0.100 is allowed" in fail


def test_a_check_in_tolerance_asks_nothing_of_the_sheet(ann):
    ann.save("mixed_juice_pol", "13.1")
    page = write(ann, "standard_checks", **CHECK)
    assert "Look at it again" not in page
    assert "standard_check_failed" not in ann.get(f"{SHEET}/signature").text


def test_a_check_that_failed_is_marked_where_it_is_typed_and_asks_what_was_done(ann):
    page = write(ann, "standard_checks", **CHECK | {"reading": "11"})
    words = "failed: off by 1.000, 0.100 is allowed"
    assert f"again:</strong> {words}; write what was done." in page
    assert f'<span class="tag">{words}; write what was done</span>' in page
    assert '1000 <span class="mark"' in page
    report = ann.get("/books/standard_checks?first=2026-06-03&last=2026-06-03").text
    assert words in report
    done = write(ann, "standard_checks", **CHECK | {"reading": "11", "at": "09:20", "done": "off"})
    assert f'<span class="tag">{words}</span>' in done


@pytest.mark.parametrize(
    ("what", "amount", "mark"),
    [("lime", "0.354", "below"), ("lime", "354", ""), ("lime", "9000", "above"),
     ("flocculant", "3.54", ""), ("flocculant", "354", "above")],
)  # fmt: skip
def test_a_dose_is_held_against_what_is_usual_of_that_substance(ann, what, amount, mark):
    page = write(ann, "dosing", at="07:30", what=what, amount=amount)
    assert ("again:</strong> Amount is" in page) is bool(mark)
    if mark:
        assert f"Amount is {mark} the usual: {amount}." in page
        assert f'title="{mark} the usual"' in page


def test_the_usual_of_every_dose_lies_within_its_hard_limits():
    amount = BOOKS["dosing"].field("amount")
    assert amount.usual_by.keys() == BOOKS["dosing"].field("what").choices.keys()
    low, high = amount.hard
    assert all(low < least < most < high for least, most in amount.usual_by.values())


def test_a_reagent_that_is_good_no_more_is_marked_and_asked_about_when_used(ann):
    lot = {"lot": "B-7", "kind": "buffer", "name": "Buffer 7", "good_until": "2026-06-02"}
    words = "expired: it was good until 2 Jun 2026"
    assert f"again:</strong> {words}." in write(ann, "reagents", **lot)
    assert words in ann.get("/books/reagents?first=2026-06-03&last=2026-06-03").text
    good = write(
        ann, "reagents", lot="B-8", kind="buffer", name="Buffer 7", good_until="2026-06-03"
    )
    assert good.count("expired") == 1
    used = write(ann, "standard_checks", **CHECK | {"standard_code": "b-7"})
    assert "again:</strong> lot b-7 was good until 2 Jun 2026 only: say why it was used." in used
    fresh = write(ann, "standard_checks", **CHECK | {"standard_code": "B-8", "at": "09:20"})
    assert "Look at it again" not in fresh


def test_below_detection_is_a_result_and_needs_no_reason(ann):
    ann.save("mixed_juice_pol", "bd")
    ann.post(f"{SHEET}/blanks", {"state": "not measured", "reason": "no more was sampled"})
    page = unescape(ann.get(f"{SHEET}/signature").text)
    assert "<p>Mixed juice, pol: below detection</p>" in page
    assert sign(ann).status_code == 303


def test_a_record_that_is_not_finished_is_known_by_its_time_and_cause(ann):
    stop = {"begins": "7.25", "cause": "mechanical_stop", "crushing": "stopped"}
    write(ann, "stops", **stop)
    page = unescape(ann.get(f"{SHEET}/signature").text)
    assert ">Stop 07:25 Mechanical stops</a>" in page
    why = "Stops gives none: 1 record is not finished, 07:25 Mechanical stops"
    assert f'title="{why}"' in unescape(ann.get(SHEET).text)
    assert why in unescape(ann.get(f"{SHEET}/cells/mechanical_stop_hours").text)


def test_what_a_form_needs_is_marked_and_a_wrong_one_has_the_keyboard_on_its_summary(ann):
    page = ann.get(f"/books/stops/{SHIFT}").text
    assert page.index('id="new"') < page.index("Nothing is written on this shift yet")
    assert page.count('<span class="needed" aria-hidden="true"> *</span>') == sum(
        field.needed for field in BOOKS["stops"].fields
    )
    refused = ann.post(f"/books/stops/{SHIFT}", {"field:begins": "07:00"})
    assert re.findall(r"<\w+ [^>]*\bautofocus\b[^>]*>", refused.text)[0].startswith("<section")
    kept = write(ann, "stops", begins="7", cause="no_cane", crushing="no")
    (first,) = re.findall(r"<\w+ [^>]*\bautofocus\b[^>]*>", kept)
    assert 'id="field-begins"' in first
    assert 'aria-describedby="said-done"' in first


def test_a_refusal_names_a_day_as_the_language_does():
    with speaking("es"):
        said = _("{key} is there already, on shift {number} of {day}", key="7", number=1,
                 day=date(2026, 6, 3))  # fmt: skip
        assert "3 jun 2026" in said
    assert "2026-06-03" in _("{day} is not a day of the season {season}", day=date(2026, 6, 3),
                             season="2026")  # fmt: skip
