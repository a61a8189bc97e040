"""Signing in, and who may go where."""

import pytest
from fastapi.routing import APIRoute
from starlette.routing import Mount

from app.ledger.people import ROLES
from app.web.requests import Allow
from tests.web.conftest import SHEET

PUBLIC = {"/sign-in", "/health"}


def routes_of(routes):
    """Yield every route; a router that was included keeps its own."""
    for route in routes:
        if isinstance(route, APIRoute):
            yield route
        elif not (isinstance(route, Mount) and route.path == "/static"):
            yield from routes_of(route.original_router.routes)


def allowed(dependant):
    """Return the roles that a route's dependencies let pass."""
    found = [dependant.call.roles] if isinstance(dependant.call, Allow) else []
    for inner in dependant.dependencies:
        found += allowed(inner)
    return found


def test_every_route_declares_its_roles(app):
    paths = set()
    for route in routes_of(app.routes):
        paths.add(route.path)
        if route.path not in PUBLIC:
            assert allowed(route.dependant), f"{route.path} lets anybody pass"
    assert {"/shifts/{day}/{number}", "/people", "/days/{day}", "/"} <= paths


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


@pytest.mark.parametrize("role", [role for role in ROLES if role != "chemist"])
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


def test_an_administrator_adds_and_deactivates_people(visit):
    administrator = visit("administrator")
    eve = {"username": "eve", "printed_name": "Eve Mill", "role": "chemist"}
    short = administrator.post("/people", eve | {"password": "too short"})
    assert short.status_code == 422
    assert "at least 15" in short.text
    assert 'value="Eve Mill"' in short.text
    good = eve | {"password": "long enough for it"}
    added = administrator.post("/people", good)
    assert added.status_code == 303
    assert "Eve Mill was added" in administrator.get(added.headers["location"]).text
    twice = administrator.post("/people", good | {"printed_name": "Eve Miller"})
    assert twice.status_code == 422
    assert "already somebody with the user name eve" in twice.text
    at_work = visit()
    assert at_work.sign_in("eve", "long enough for it").status_code == 303
    unsure = administrator.post("/people/eve/deactivation")
    assert unsure.status_code == 422
    assert "Nobody was deactivated" in unsure.text
    assert at_work.get(SHEET).status_code == 200
    gone = administrator.post("/people/eve/deactivation", {"sure": "yes"})
    assert "Eve Mill was deactivated" in administrator.get(gone.headers["location"]).text
    assert at_work.get(SHEET).status_code == 303
    assert visit().sign_in("eve", "long enough for it").status_code == 422
    back = administrator.post("/people/eve/activation")
    assert "Eve Mill may sign in again" in administrator.get(back.headers["location"]).text
    assert visit().sign_in("eve", "long enough for it").status_code == 303


def test_what_was_done_is_said_of_people_alone(visit):
    page = visit("administrator").get("/people?done=added&who=%3Cb%3Enobody").text
    assert "was added" not in page
    assert "nobody" not in page


def test_an_administrator_stays(visit):
    administrator = visit("administrator")
    assert administrator.post("/people/administrator/deactivation").status_code == 403
    assert administrator.get("/people").status_code == 200
