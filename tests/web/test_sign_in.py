"""Signing in, and who may go where."""

import json
import re

import pytest
from sqlalchemy import select

from app.database import reading
from app.ledger import tables
from app.ledger.people import ROLES
from tests.web.conftest import SHEET


@pytest.mark.parametrize("address", ["/", SHEET, "/people", "/days/2026-06-03", "/manual"])
def test_who_has_not_signed_in_is_asked_to(visit, address):
    answer = visit().get(address)
    assert answer.status_code == 303
    onward = "" if address == "/" else f"?next={address}"
    assert answer.headers["location"] == f"/sign-in{onward}"


def test_sign_in_goes_on_to_where_one_was_going(visit):
    answer = visit().sign_in("ann", onward=SHEET)
    assert (answer.status_code, answer.headers["location"]) == (303, SHEET)


@pytest.mark.parametrize("elsewhere", ["https://evil.test/", "//evil.test", "/\\evil.test", "x"])
def test_sign_in_never_goes_elsewhere(visit, elsewhere):
    assert visit().sign_in("ann", onward=elsewhere).headers["location"] == "/"


@pytest.mark.parametrize("who", [("ann", "wrong wrong wrong"), ("nobody", "wrong wrong wrong")])
def test_a_wrong_name_and_a_wrong_password_are_answered_alike(visit, who):
    answer = visit().sign_in(*who)
    assert answer.status_code == 422
    assert "do not fit together" in answer.text
    assert "Error:" in answer.text
    assert "set-cookie" not in answer.headers


def test_the_cookie_cannot_be_read_by_scripts_or_sent_by_other_sites(visit):
    cookie = visit().sign_in("ann").headers["set-cookie"]
    assert "HttpOnly" in cookie
    assert "SameSite=lax" in cookie
    assert "Secure" not in cookie  # plain HTTP on a local network


def test_signing_out_ends_the_sign_in(visit, ann):
    cookie = ann.client.cookies["ledger"]
    assert ann.post("/sign-out").status_code == 303
    other = visit()
    other.client.cookies.set("ledger", cookie)
    assert other.get(SHEET).status_code == 303


@pytest.mark.parametrize("role", [r for r in ROLES if "chemist" not in r])
def test_only_chemists_type_results(visit, bench, role):
    visitor = visit(role.split()[0])
    page = visitor.get(SHEET)
    assert page.status_code == 200
    assert 'name="result:' not in page.text
    assert visitor.save("mixed_juice_brix", "14.5").status_code == 403
    assert visitor.save_sheet({"mixed_juice_brix": "14.5"}).status_code == 403
    assert bench.trail("mixed_juice_brix") == []


@pytest.mark.parametrize("role", ["ann", "manager", "auditor"])
def test_only_administrators_see_people(visit, role):
    visitor = visit(role.split()[0])
    assert visitor.get("/people").status_code == 403
    assert ">People</a>" not in visitor.get(SHEET).text
    assert visitor.post("/people", {"username": "eve"}).status_code == 403


EVE = {"username": "eve", "printed_name": "Eve Mill", "role": "chemist"}
GOOD = "long enough for it"


def code_in(page):
    """The code or token that a page shows, this once."""
    return re.search(r'class="secret">([^<]+)<', page.text).group(1)


def set_password(visitor, username, code, password=GOOD, again=None):
    form = {"username": username, "code": code, "new_password": password}
    return visitor.post("/set-password", form | {"again": password if again is None else again})


def test_an_administrator_adds_a_person_without_knowing_the_password(visit, bench):
    """B-76"""
    administrator = visit("administrator")
    added = administrator.post("/people", EVE)
    assert added.status_code == 200
    code = code_in(added)
    assert visit().sign_in("eve", code).status_code == 422
    assert set_password(visit(), "eve", code).headers["location"] == "/sign-in?done=password"
    assert visit().sign_in("eve", GOOD).status_code == 303
    assert code not in administrator.get("/people").text
    with reading(bench.engine) as connection:
        events = connection.execute(select(tables.event.c.content, tables.event.c.name)).all()
    told = [(json.loads(content)["what"], name) for content, name in events if "eve" in content]
    assert told == [
        ("added", "Administrator"), ("code given", "Administrator"), ("password set", "Eve Mill"),
    ]  # fmt: skip
    assert not any(secret in str(events) for secret in (code, GOOD, "argon2"))


def test_what_is_wrong_with_a_new_person_is_said_and_what_was_typed_stays(visit):
    administrator = visit("administrator")
    twice = administrator.post("/people", EVE | {"username": " Ann"})
    assert twice.status_code == 422
    assert "already somebody with the user name ann" in twice.text
    assert 'value="Eve Mill"' in twice.text
    assert administrator.post("/people", EVE | {"role": "instrument"}).status_code == 422


def test_an_administrator_deactivates_and_activates_people(visit):
    """B-77: who is deactivated is out at the next request, with every cookie."""
    administrator, at_work = visit("administrator"), visit("bob")
    unsure = administrator.post("/people/bob/deactivation")
    assert unsure.status_code == 422
    assert "Nobody was deactivated" in unsure.text
    assert at_work.get(SHEET).status_code == 200
    gone = administrator.post("/people/bob/deactivation", {"sure": "yes"})
    assert "Bob Stone was deactivated" in administrator.get(gone.headers["location"]).text
    assert at_work.get(SHEET).status_code == 303
    assert at_work.save("cane", "1800").status_code == 401
    assert visit().sign_in("bob").status_code == 422
    assert administrator.post("/people/bob/code").status_code == 422
    back = administrator.post("/people/bob/activation")
    assert "Bob Stone may sign in again" in administrator.get(back.headers["location"]).text
    assert visit().sign_in("bob").status_code == 303


def test_a_role_counts_from_the_next_request_on(visit, ann):
    administrator = visit("administrator")
    assert administrator.post("/people/ann/role", {"role": "auditor"}).status_code == 303
    assert ann.save("cane", "1800").status_code == 403
    assert ann.get(SHEET).status_code == 200
    assert administrator.post("/people/ann/role", {"role": "king"}).status_code == 422
    assert administrator.post("/people/ann/role", {"role": "chemist"}).status_code == 303
    assert ann.save("cane", "1800").status_code == 200


def test_what_was_done_is_said_of_people_alone(visit):
    page = visit("administrator").get("/people?done=added&who=%3Cb%3Enoone").text
    assert "was added" not in page
    assert "noone" not in page


def test_an_administrator_stays(visit):
    administrator = visit("administrator")
    for what in ("deactivation", "role"):
        form = {"sure": "yes", "role": "chemist"}
        assert administrator.post(f"/people/administrator/{what}", form).status_code == 403
    assert administrator.get("/people").status_code == 200
