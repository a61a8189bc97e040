"""A shift is signed, a day approved and both opened again, over HTTP as browsers do it."""

import re
from datetime import timedelta

import pytest

from app.ledger.signed import signatures
from tests.bench import PASSWORD
from tests.web.conftest import SHEET

SIGNATURE, BLANKS, REOPENING = (f"{SHEET}/{what}" for what in ("signature", "blanks", "reopening"))
DAY = "/days/2026-06-03"


@pytest.fixture
def chief(visit):
    return visit("chief")


def fill(visitor, address=SHEET):
    """Enter one result, and say of the others why they lack."""
    number = visitor.post(address, {"result:cane": "1250", "based_on:cane": ""})
    assert number.status_code == 303
    said = {"state": "not measured", "reason": "the mill ran for an hour only"}
    assert visitor.post(f"{address}/blanks", said).status_code == 303


def sign(visitor, address=SHEET, password=PASSWORD, **remarks):
    return visitor.post(f"{address}/signature", {"password": password} | remarks)


def test_the_sheet_says_whether_it_is_signed(ann):
    assert "This shift is not signed yet." in ann.get(SHEET).text
    fill(ann)
    assert sign(ann).headers["location"] == f"{SIGNATURE}?did=signed"
    page = ann.get(SHEET).text
    assert re.search(r"signed as entered by Ann Field, chemist, on 3 Jun 2026, \d\d:\d\d", page)
    assert 'name="result:cane"' not in page


def test_a_blank_keeps_the_shift_from_being_signed_and_leads_to_its_cell(ann):
    """A-36"""
    ann.save("cane", "1250")
    page = ann.get(SIGNATURE)
    assert f'<a href="{SHEET}#bagasse_pol">Bagasse, pol</a>' in page.text
    refused = sign(ann)
    assert refused.status_code == 422
    assert 'href="#blank-bagasse_pol">Bagasse, pol is blank' in refused.text


@pytest.mark.parametrize(
    ("sent", "words"),
    [
        ({"state": "not measured", "reason": " "}, "Say in words why there is no number"),
        ({"state": "lost", "reason": "spilt"}, "Choose what they are"),
    ],
)
def test_blanks_are_not_filled_without_a_state_and_a_reason(ann, bench, sent, words):
    ann.save("cane", "1250")
    refused = ann.post(BLANKS, sent)
    assert refused.status_code == 422
    assert words in refused.text
    assert bench.trail("bagasse_pol") == []


def test_a_state_without_a_reason_is_explained_before_signing(ann):
    fill(ann)
    standing = re.search(r'name="based_on:cane" value="(\d+)"', ann.get(SHEET).text).group(1)
    ann.save("cane", "if", standing, reason="instrument found off, read again")
    ann.save("lime", "nm", based_on=re.search(
        r'name="based_on:lime" value="(\d*)"', ann.get(SHEET).text).group(1),
        reason="other", words="weigher stopped",
    )  # fmt: skip
    assert sign(ann).status_code == 303


@pytest.mark.parametrize(
    ("password", "words"),
    [("", "Type your password"), ("wrong wrong wrong", "This is not your password")],
)
def test_a_signature_asks_the_password_again(ann, password, words):
    """A-30"""
    fill(ann)
    refused = sign(ann, password=password)
    assert refused.status_code == 422
    assert words in refused.text
    assert "not signed yet" in ann.get(SIGNATURE).text


def test_after_signing_a_chemist_is_refused_and_the_chief_chemist_is_not(ann, chief, bench):
    """A-14"""
    fill(ann)
    sign(ann)
    standing = bench.trail("cane")[-1].id
    refused = ann.save("cane", "1205", standing, reason="other", words="swapped")
    assert refused.status_code == 403
    assert "signed by Ann Field: the chief chemist corrects it" in refused.text
    assert chief.save("cane", "1205", standing, reason="other", words="swapped").status_code == 200
    page = chief.get(SHEET).text
    assert "1 entry came later, and the signature does not cover them" in page


def at(app, bench, number, minutes):
    """Let it be so many minutes after shift `number` began."""
    begins, _ = bench.mill.clock.shift_bounds(bench.day, number)
    app.state.clock = lambda: begins + timedelta(minutes=minutes)


def test_a_day_is_approved_by_a_manager_and_then_takes_no_entries(app, visit, bench):
    """A-32, A-37"""
    for number in (1, 2, 3):
        at(app, bench, number, 60)
        ann, address = visit("ann"), f"/shifts/{bench.day}/{number}"
        fill(ann, address)
        if number == 3:
            manager = visit("manager")
            early = manager.post(f"{DAY}/approval", {"password": PASSWORD})
            assert "This day is not over yet" in early.text
        assert sign(ann, address).status_code == 303
    at(app, bench, 3, 9 * 60)
    manager, chief = visit("manager"), visit("chief")
    approved = manager.post(f"{DAY}/approval", {"password": PASSWORD})
    assert approved.headers["location"] == f"{DAY}/approval?did=approved"
    assert "This day is approved by Manager, manager" in chief.get(f"{DAY}/approval").text
    standing = bench.trail("cane")[-1].id
    refused = chief.save("cane", "1205", standing, reason="other", words="swapped")
    assert refused.status_code == 403
    assert "approved by Manager" in refused.text
    assert manager.post(f"{DAY}/reopening", {"why": ""}).status_code == 422
    assert manager.post(f"{DAY}/reopening", {"why": "a ticket was found"}).status_code == 303
    assert chief.save("cane", "1205", standing, reason="other", words="swapped").status_code == 200


def test_one_remark_about_many_results_is_told_once_with_their_number(ann, chief):
    ann.post(SHEET, {"result:cane": "1250", "based_on:cane": ""})
    ann.post(f"{SHEET}/blanks", {"state": "below detection", "reason": "below the limit"})
    about = ("bagasse_pol", "bagasse_moisture", "mixed_juice_brix", "mixed_juice_pol")
    remarks = {f"remark:{name}": "below the limit" for name in about}
    assert sign(ann, **remarks).status_code == 303
    page = chief.get(f"{DAY}/approval").text
    assert page.count("below the limit") == 1
    assert "below the limit: 4 results" in page


def test_a_day_with_an_unsigned_shift_is_not_approved(app, visit, bench):
    visit("ann").save("cane", "1250")
    at(app, bench, 3, 9 * 60)
    refused = visit("manager").post(f"{DAY}/approval", {"password": PASSWORD})
    assert refused.status_code == 422
    assert "Shifts 1, 2 and 3 are not signed yet" in refused.text


def test_the_chief_chemist_opens_a_shift_again_for_a_reason(ann, chief):
    fill(ann)
    sign(ann)
    assert chief.post(REOPENING, {"why": " "}).status_code == 422
    assert chief.post(REOPENING, {"why": "the scale was wrong"}).status_code == 303
    page = ann.get(SHEET).text
    assert "opened again by Chief Chemist, chief chemist" in page
    assert "the scale was wrong" in page
    assert 'name="result:cane"' in page


@pytest.mark.parametrize("who", ["ann", "auditor", "administrator"])
def test_who_may_not_open_or_approve_is_refused(visit, ann, who):
    """A-16, A-45"""
    fill(ann)
    sign(ann)
    visitor = visit(who)
    assert visitor.post(REOPENING, {"why": "I want"}).status_code == 403
    assert visitor.post(f"{DAY}/approval", {"password": PASSWORD}).status_code == 403
    assert visitor.post(f"{DAY}/issues", {"password": PASSWORD}).status_code == 403


def test_the_same_signature_sent_twice_signs_once(ann, bench):
    """B-48"""
    fill(ann)
    form = {"password": PASSWORD, "once": "a key of this form"}
    answers = [ann.post(SIGNATURE, form) for _ in range(2)]
    assert [answer.headers["location"] for answer in answers] == [f"{SIGNATURE}?did=signed"] * 2
    assert len(bench.read(signatures, bench.season, bench.day, bench.day)) == 1
