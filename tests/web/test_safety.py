"""What every answer says to browsers, and which changes are refused."""

import re

import pytest

from app.web.requests import allow
from tests.web.conftest import OURS, SHEET

POLICY = (
    "default-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'; "
    "object-src 'none'"
)


@pytest.mark.parametrize("address", [SHEET, "/sign-in", "/static/style.css", "/nothing-here"])
def test_every_answer_carries_the_policy(ann, address):
    headers = ann.get(address).headers
    assert headers["content-security-policy"] == POLICY
    assert headers["x-content-type-options"] == "nosniff"
    assert headers["referrer-policy"] == "same-origin"
    assert headers["cache-control"] == ("no-cache" if "static" in address else "no-store")


def test_pages_hold_no_script_or_style_that_the_policy_refuses(ann, visit):
    for page in (ann.get(SHEET), ann.get("/sign-in"), visit("administrator").get("/people")):
        assert page.status_code == 200
        assert not re.search(r"<script(?![^>]*\ssrc=)|<style|\sstyle=|\son\w+=|://", page.text)


@pytest.mark.parametrize("origin", ["https://evil.test", "null", "http://testserver:81"])
def test_a_change_sent_by_another_site_is_refused(ann, bench, origin):
    answer = ann.client.post(
        f"{SHEET}/cells/cane", data={"token": ann.token, "result:cane": "1800"},
        headers={"Origin": origin},
    )  # fmt: skip
    assert answer.status_code == 403
    assert bench.trail("cane") == []


def test_a_change_from_another_site_is_refused_where_the_browser_says_so(ann, bench):
    assert ann.post(SHEET, {"result:cane": "1"}, **{"Sec-Fetch-Site": "cross-site"}).is_error
    assert bench.trail("cane") == []


@pytest.mark.parametrize("token", ["", "guess"])
def test_a_change_without_the_token_of_the_sign_in_is_refused(ann, bench, token):
    form = {"token": token, "result:cane": "1800"}
    answer = ann.client.post(f"{SHEET}/cells/cane", data=form, headers=OURS)
    assert answer.status_code == 403
    assert "Load it again" in answer.text
    assert bench.trail("cane") == []


def test_one_person_s_token_is_not_another_s(ann, visit):
    bob = visit("bob")
    bob.token = ann.token
    assert bob.save("cane", "1800").status_code == 403


def test_htmx_hears_in_a_few_words_that_one_is_signed_out(visit):
    answer = visit().save("cane", "1800")
    assert answer.status_code == 403
    assert answer.text.startswith("You are signed out")


def test_reading_changes_nothing(ann, bench):
    assert ann.get(f"{SHEET}?result:cane=1800").status_code == 200
    assert ann.get(f"{SHEET}/cells/cane").status_code == 200
    assert bench.trail("cane") == []


@pytest.mark.parametrize("address", ["/docs", "/openapi.json", "/redoc", "/shifts/never/1"])
def test_an_unknown_address_is_answered_plainly(ann, address):
    answer = ann.get(address)
    assert answer.status_code == 404
    assert "There is no such page" in answer.text


def test_a_role_nobody_has_cannot_be_allowed():
    with pytest.raises(ValueError, match="a role is one of"):
        allow("king")


def test_the_ledger_says_that_it_is_well(visit):
    answer = visit().get("/health")
    assert (answer.status_code, answer.text) == (200, "ok")
