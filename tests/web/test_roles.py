"""Who may do what: every role tries every route, over HTTP."""

import csv
import re
from pathlib import Path

import pytest
from fastapi.routing import APIRoute
from sqlalchemy import select

from app import main
from app.database import reading
from app.ledger import tables
from app.ledger.people import ROLES
from app.settings import Settings
from app.web.requests import _once
from app.web.roles import PUBLIC, access_of
from tests.bench import NOON

TABLE = list(csv.DictReader((Path(__file__).parent / "roles.csv").read_text().splitlines()))
USERS = {"chemist": "ann", "chief chemist": "chief"} | {role: role for role in ROLES[2:]}
IN_ADDRESS = {
    "day": "2026-06-03", "number": "1", "measure": "cane", "username": "bob", "pair": "1",
    "week": "2026-W23", "month": "2026-06", "season": "2026", "station": "milling",
    "first": "2026-06-01", "last": "2026-06-03",
    "name": "pol_extraction", "kind": "targets", "key": "mixed_juice_brix", "test": "1",
    "book": "stops", "record": "1", "upload": "a-file-not-kept",
}  # fmt: skip

# the boxes say what they are based on, which is as good as a key of the form; an archive is told
# each time it is handed out; the others write nothing that could be there twice, and a file that is
# brought in is only read
WITHOUT_KEY = {
    "/shifts/{day}/{number}",
    "/shifts/{day}/{number}/cells",
    "/shifts/{day}/{number}/paste",
    "/sign-in",
    "/sign-in/language",
    "/sign-out",
    "/unlock",
    "/imports",
    "/comparison",
    "/instruments/entries",
    "/api/results",
    "/api/records",
    "/status/verification",
    "/seasons/{name}/archive",
}


def filled(address):
    """An address with something in each of its places."""
    return re.sub(r"{(\w+)}", lambda place: IN_ADDRESS[place.group(1)], address)


def test_the_table_holds_every_route_and_no_other(app):
    """B-83: a new route without a row here fails."""
    told = {
        (access.method, access.address): {
            role: "public" if access.address in PUBLIC else "yes" if role in access.roles else "no"
            for role in ROLES
        }
        for access in access_of(app)
    }
    kept = {(row["method"], row["address"]): {role: row[role] for role in ROLES} for row in TABLE}
    assert told == kept


@pytest.mark.parametrize("role", ROLES)
def test_every_role_tries_every_route(visit, role):
    """B-83: what a role may not do is refused over HTTP, and nothing else is for its role's sake"""
    visitor = visit(USERS[role])
    for row in sorted(TABLE, key=lambda row: row["address"] == "/sign-out"):
        if row[role] == "public":
            continue
        ask = visitor.get if row["method"] == "GET" else visitor.post
        answer = ask(filled(row["address"]))
        refused = "This is for the" in answer.text and answer.status_code == 403
        assert refused == (row[role] == "no"), (row["method"], row["address"])
        assert answer.status_code not in (401, 405, 500), (row["method"], row["address"])


def test_nobody_does_anything_without_a_sign_in(visit):
    """A-02: no write route works without a personal sign-in."""
    visitor = visit()
    for row in TABLE:
        if row["chemist"] == "public":
            continue
        address = filled(row["address"])
        if row["method"] == "GET":
            answer = visitor.get(address)
            assert answer.status_code == 303, address
            assert answer.headers["location"].startswith("/sign-in"), address
        else:
            assert visitor.post(address).status_code == 401, address


def test_no_other_method_is_answered(visit):
    visitor = visit("administrator")
    for row in TABLE:
        for method in ("PUT", "PATCH", "DELETE"):
            answer = visitor.client.request(method, filled(row["address"]))
            assert answer.status_code in (403, 404, 405), (method, row["address"])


def test_asking_for_every_page_changes_nothing(visit, bench):
    """B-80: when somebody was last seen is all that is noted."""
    bench.write("cane", "1800")
    visitor = visit("administrator")

    def kept():
        others = [t for t in tables.metadata.sorted_tables if t is not tables.sign_in]
        with reading(bench.engine) as connection:
            return [connection.execute(select(table)).all() for table in others]

    before, asked = kept(), [row["address"] for row in TABLE if row["method"] == "GET"]
    for address in asked:
        visitor.get(filled(address))
        visitor.get(f"{filled(address)}?result:cane=1900&done=kept&sure=yes")
    assert len(asked) > 40
    assert kept() == before


def test_no_route_takes_a_person_away(visit, bench):
    """A-02: leavers are deactivated, never deleted."""
    assert not [row for row in TABLE if row["method"] == "DELETE" or "delet" in row["address"]]
    visit("administrator").post("/people/bob/deactivation", {"sure": "yes"})
    assert bench.read(main.people.people.person_named, "bob").printed_name == "Bob Stone"


def test_a_route_that_does_not_say_who_may_use_it_stops_the_ledger(database_url, monkeypatch):
    """B-83: deny by default."""
    open_to_all = APIRoute("/open", lambda: "come in")
    monkeypatch.setattr(main.today.router, "routes", [*main.today.router.routes, open_to_all])
    with pytest.raises(RuntimeError, match="/open does not say who may use it"):
        main.create_app(Settings(database_url=database_url, clock=NOON))


def routes_of(routes):
    for route in routes:
        if isinstance(route, APIRoute):
            yield route
        else:
            yield from routes_of(getattr(getattr(route, "original_router", None), "routes", ()))


def calls(dependant):
    yield dependant.call
    for inner in dependant.dependencies:
        yield from calls(inner)


def test_every_form_that_writes_has_a_key_of_its_own(app):
    """B-48"""
    writes = {route.path: route for route in routes_of(app.routes) if "POST" in route.methods}
    without = {path for path, route in writes.items() if _once not in calls(route.dependant)}
    assert without == WITHOUT_KEY


def test_the_manual_prints_the_table(visit):
    page = visit("auditor").get("/manual/roles").text
    for row in TABLE:
        assert f"{row['method']} {row['address']}" in page
    assert "What is not listed for a role is refused" in page
