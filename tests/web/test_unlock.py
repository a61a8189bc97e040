"""A sign-in that locks keeps its person and what was typed."""

import re
from datetime import timedelta
from html import unescape

import pytest

from tests.bench import NOON, PASSWORD
from tests.web.conftest import OURS, SHEET

IN_PLACE = OURS | {"Accept": "application/json"}


def later(app, **passed):
    # the clock of the ledger had run on a little when somebody signed in
    app.state.clock = lambda: NOON + timedelta(**passed) + timedelta(seconds=30)


def unlock(visitor, username="ann", password=PASSWORD, **more):
    form = {"username": username, "password": password} | more
    return visitor.client.post("/unlock", data=form, headers=OURS)


def hidden_in(page):
    found = re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)"', page.text)
    return {name: unescape(text) for name, text in found}


@pytest.mark.parametrize("passed", [{"minutes": 30}, {"hours": 11}, {"hours": 12}, {"hours": 30}])
def test_a_page_asked_for_later_is_unlocked_first(app, ann, passed):
    """B-78"""
    later(app, **passed)
    answer = ann.get(f"{SHEET}/cells/cane?a=b")
    assert answer.status_code == 303
    assert answer.headers["location"] == f"/unlock?next={SHEET}/cells/cane%3Fa%3Db"
    page = ann.get(answer.headers["location"])
    assert "Password of Ann Field" in page.text
    onward = hidden_in(page)["next"]
    before = ann.client.cookies["ledger"]
    answer = unlock(ann, next=onward)
    assert (answer.status_code, answer.headers["location"]) == (303, f"{SHEET}/cells/cane?a=b")
    assert ann.client.cookies["ledger"] != before
    assert ann.get(onward).status_code == 200


def test_who_is_at_work_is_not_locked_until_twelve_hours_are_over(app, ann):
    """B-78"""
    for minutes in range(25, 12 * 60, 25):
        later(app, minutes=minutes)
        assert ann.get("/account").status_code == 200, minutes
    later(app, hours=12)
    assert ann.get("/account").headers["location"] == "/unlock?next=/account"


def test_the_token_of_before_is_dead_after_unlocking(app, visit, ann):
    """B-77"""
    before, token = ann.client.cookies["ledger"], ann.token
    later(app, minutes=40)
    unlock(ann)
    assert ann.save("cane", "1800").status_code == 403  # its page still carries the old one
    thief = visit()
    thief.client.cookies.set("ledger", before)
    thief.token = token
    assert thief.save("cane", "1800").status_code == 401


@pytest.mark.parametrize("who", [("ann", "wrong wrong wrong"), ("nobody", PASSWORD)])
def test_only_the_right_password_unlocks(app, ann, who):
    later(app, minutes=40)
    answer = unlock(ann, *who)
    assert answer.status_code == 422
    assert "This is not your password" in answer.text
    assert ann.get(SHEET).status_code == 303


def test_a_form_that_meets_a_locked_sign_in_is_carried_along(app, ann, bench):
    """B-58: without script, nothing that was typed is lost."""
    later(app, minutes=40)
    met = ann.save_sheet({"cane": "1800", "mixed_juice_brix": "14<b>"})
    assert met.status_code == 401
    assert "<strong>not saved yet</strong>" in met.text
    wrong = unlock(ann, **hidden_in(met) | {"password": "wrong wrong wrong"})
    assert hidden_in(wrong)["kept:result:cane"] == "1800"
    back = unlock(ann, **hidden_in(wrong))
    assert back.status_code == 200
    again = hidden_in(back)
    assert "kept:token" not in hidden_in(met)
    assert again["result:mixed_juice_brix"] == "14<b>"
    again["result:mixed_juice_brix"] = "14.5"
    assert f'action="{SHEET}"' in back.text
    assert ann.client.post(SHEET, data=again, headers=OURS).status_code == 303
    assert [entry.typed for entry in bench.trail("cane")] == ["1800"]


def test_what_one_person_typed_is_never_given_to_another(app, ann, bench):
    """B-57"""
    later(app, minutes=40)
    met = ann.save_sheet({"cane": "1800"})
    answer = unlock(ann, **hidden_in(met) | {"username": "bob"})
    assert answer.status_code == 303
    assert "1800" not in answer.text
    assert bench.trail("cane") == []


def test_a_page_of_one_person_sends_nothing_under_the_name_of_another(ann, bench):
    """B-57: somebody else signed in at the same workstation meanwhile."""
    page_of_ann = ann.token
    ann.sign_in("bob")
    ann.token = page_of_ann
    answer = ann.save("cane", "1800")
    assert (answer.status_code, answer.headers["x-sign-in"]) == (403, "again")
    assert bench.trail("cane") == []


def test_passwords_are_not_carried_along(app, visit):
    chemist = visit("ann")
    later(app, minutes=40)
    met = chemist.post(f"{SHEET}/signature", {"password": PASSWORD, "remark:cane": "a remark"})
    assert met.status_code == 401
    assert "a remark" in met.text
    assert PASSWORD not in met.text


def test_in_place_the_answer_is_the_token_of_the_forms(app, ann, bench):
    """B-58"""
    later(app, minutes=40)
    met = ann.save("cane", "1800")
    assert (met.status_code, met.headers["x-sign-in"]) == (401, "again")
    form = {"username": "ann", "password": "wrong wrong wrong"}
    wrong = ann.client.post("/unlock", data=form, headers=IN_PLACE)
    assert wrong.status_code == 422
    assert "not your password" in wrong.json()["says"]
    right = ann.client.post("/unlock", data=form | {"password": PASSWORD}, headers=IN_PLACE)
    ann.token = right.json()["token"]
    assert ann.save("cane", "1800").status_code == 200
    assert [entry.typed for entry in bench.trail("cane")] == ["1800"]


def test_somebody_deactivated_cannot_unlock(ann, visit):
    visit("administrator").post("/people/ann/deactivation", {"sure": "yes"})
    assert ann.save("cane", "1800").status_code == 401
    form = {"username": "ann", "password": PASSWORD}
    assert ann.client.post("/unlock", data=form, headers=IN_PLACE).status_code == 422
    assert ann.get("/unlock").headers["location"] == "/sign-in"


def test_guessing_at_the_lock_is_limited(app, ann):
    later(app, minutes=40)
    for _ in range(5):
        assert unlock(ann, password="wrong wrong wrong").status_code == 422
    assert unlock(ann).status_code == 422


@pytest.mark.parametrize("elsewhere", ["https://evil.test/", "//evil.test", "/\\evil.test"])
def test_unlocking_never_goes_elsewhere(app, ann, elsewhere):
    later(app, minutes=40)
    assert f'value="{elsewhere}"' not in ann.get(f"/unlock?next={elsewhere}").text
    assert unlock(ann, next=elsewhere).headers["location"] == "/"


def test_nobody_else_goes_on_in_the_page_of_another(ann, bench):
    """B-57: with Bob's own password even, what Ann typed is not sent in his name."""
    form = {"username": "bob", "password": PASSWORD}
    answer = ann.client.post("/unlock", data=form, headers=IN_PLACE)
    assert (answer.status_code, "token" in answer.json()) == (403, False)
    assert ann.save("cane", "1800").status_code == 200
    assert bench.trail("cane")[0].recorded_name == "Ann Field"
