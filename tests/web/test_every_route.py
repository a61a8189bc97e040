"""Every route with whatever can be sent: none fails, all are safe, none is forged, GET only reads.

The schema is made for the test alone, by the routes themselves; the ledger serves none.
"""

import re
from dataclasses import dataclass
from pathlib import Path

import pytest
import schemathesis
from hypothesis import HealthCheck, Phase, given, settings
from sqlalchemy import func, select

from app.database import reading
from app.ledger import chain, tables
from app.ledger.people import ROLES
from tests.web.conftest import OURS
from tests.web.test_roles import IN_ADDRESS, TABLE, USERS, filled
from tests.web.test_safety import POLICY

ROOT = Path(__file__).parents[2]
FORM = "application/x-www-form-urlencoded"
AT_MOST = 4  # requests to one route by one person
LAST = ("/sign-out", "/account/others", "/account/password")  # they may end the visit
BARE = (
    "application/json", "application/problem+json", "application/zip", "application/pdf",
    "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
)  # fmt: skip
HEADERS = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "cache-control": "no-store",
}


def field_names():
    """Every name that a template gives a field or a route asks for, the sheet's for one measure."""
    found = {"relative", "code"}  # which are asked for by a list of names
    for template in (ROOT / "templates").rglob("*.html"):
        found |= set(re.findall(r'\bname="([\w:]+)(?:{{[^}]*}})?"', template.read_text("utf-8")))
    for module in (ROOT / "app" / "web").glob("*.py"):
        found |= set(re.findall(r'\bform\.get\(f?"([\w:]+)', module.read_text("utf-8")))
    return {f"{name}cane" if name.endswith(":") else name for name in found}


def document(app):
    """What the routes say of themselves, with the fields of our forms, and places that exist."""
    schema = app.openapi()
    text = {"type": "string"}
    known = {name: {"anyOf": [{"const": value}, text]} for name, value in IN_ADDRESS.items()}
    body = {"type": "object", "properties": dict.fromkeys(sorted(field_names()), text)}
    for operations in schema["paths"].values():
        for method, operation in operations.items():
            for parameter in operation.get("parameters", ()):
                if parameter["in"] == "path":
                    parameter["schema"] = known[parameter["name"]]
            if method == "post":
                operation["requestBody"] = {"content": {FORM: {"schema": body}}}
    return schema


def operations(app, method=""):
    """The operations of every route; those that may end the visit come last."""
    found = [
        each.ok() for each in schemathesis.openapi.from_dict(document(app)).get_all_operations()
    ]
    found = [each for each in found if method in ("", each.method.upper())]
    return sorted(found, key=lambda each: each.path in LAST)


def send(visitor, case, **hidden):
    """Send a case as a browser sends a form, with what its page hides in it."""
    sent = case.as_transport_kwargs(base_url="http://testserver")
    body = {name: f"{value}" for name, value in (sent.get("data") or {}).items()} | hidden
    data = body if case.method.upper() == "POST" else None
    return visitor.client.request(
        case.method, sent["url"], params=sent["params"], data=data, headers=OURS
    )


def check_safe(answer):
    place = (answer.request.method, str(answer.request.url), answer.request.content[:400])
    assert answer.status_code < 500, place
    assert {name: answer.headers.get(name) for name in HEADERS} == HEADERS, place
    if answer.content:
        kind = answer.headers["content-type"]
        assert "charset=utf-8" in kind or kind in BARE, place


def every_case(operation, do):
    """Do something with some cases of an operation, the same at each run."""
    quietly = settings(
        max_examples=AT_MOST, derandomize=True, database=None, deadline=None,
        phases=[Phase.generate], suppress_health_check=list(HealthCheck),
    )  # fmt: skip
    quietly(given(operation.as_strategy())(do))()


@dataclass
class Kept:
    """What a ledger holds: its last event, and how many rows each table has."""

    head: chain.Head
    rows: dict[str, int]


def kept(bench):
    counted = [table for table in tables.metadata.sorted_tables if table is not tables.sign_in]
    with reading(bench.engine) as connection:
        rows = {
            table.name: connection.scalar(select(func.count()).select_from(table))
            for table in counted
        }
        return Kept(chain.head(connection), rows)


@pytest.fixture
def entered(bench):
    """A ledger with a few results to show."""
    for measure, typed in (("cane", "1250"), ("mixed_juice", "1290"), ("bagasse_pol", "nm")):
        bench.write(measure, typed)
    return bench


def test_the_schema_has_every_route_and_the_fields_of_our_forms(app):
    assert {(o.method.upper(), o.path) for o in operations(app)} == {
        (row["method"], row["address"]) for row in TABLE
    }
    wanted = {"token", "once", "password", "result:cane", "reason:cane", "printed_name", "why"}
    assert field_names() >= wanted


@pytest.mark.parametrize("who", ["administrator", "chief", ""])
@pytest.mark.usefixtures("entered")
def test_whatever_is_sent_no_route_fails_and_every_answer_is_safe(app, visit, who):
    """B-82, B-85, F-35"""
    visitor, seen = visit(who), set()
    for operation in operations(app):

        def do(case):
            for hidden in ({}, {"token": visitor.token, "once": "a key"}):
                answer = send(visitor, case, **hidden)
                check_safe(answer)
                seen.add(answer.status_code)
                if case.method.upper() == "GET":
                    break

        every_case(operation, do)
    assert seen >= ({200, 404, 422, 428} if who else {200, 303, 401, 422})


# anybody may look at the page that unlocks, and choose a language before there is a form of theirs
HARMLESS = {"/unlock", "/sign-in/language"}


@pytest.mark.parametrize("who", ["administrator", "chief", ""])
def test_without_the_secret_of_the_form_nothing_changes(app, visit, entered, who):
    """B-80: whatever else is sent."""
    visitor, before = visit(who), kept(entered)
    for operation in operations(app, "POST"):

        def do(case):
            answer = send(visitor, case, token="forged", once="a key")
            check_safe(answer)
            assert answer.status_code >= 400 or case.operation.path in HARMLESS, case

        every_case(operation, do)
    after = kept(entered)
    failures = after.rows.pop("sign_in_failure") - before.rows.pop("sign_in_failure")
    assert failures > 0  # wrong passwords are counted: that is no change of the ledger
    assert after == before


@pytest.mark.parametrize("role", ["", *ROLES])
def test_no_page_changes_anything_whoever_asks_for_it(visit, entered, role):
    """B-80: for each role and for nobody."""
    visitor, before = visit(USERS[role] if role else ""), kept(entered)
    for row in TABLE:
        if row["method"] == "GET":
            more = "?result:cane=9&once=a&done=kept&sure=yes&password=x"
            check_safe(visitor.get(filled(row["address"]) + more))
    assert kept(entered) == before


def test_fields_that_no_form_has_are_never_stored(ann, bench):
    """B-84: who, when, and in which state is the ledger's to say."""
    told = {
        "recorded_at": "2020-01-01T00:00:00Z", "recorded_by": "2", "recorded_name": "Bob Stone",
        "state": "void", "value": "9", "late": "true", "instrument": "balance", "id": "77",
        "sample": "5", "role": "manager",
    }  # fmt: skip
    told |= {f"{name}:cane": value for name, value in told.items()}
    assert ann.save_sheet({"cane": "1250"}, **told).status_code == 303
    (entry,) = bench.trail("cane")
    assert (entry.id, entry.typed, entry.state) == (1, "1250", "number")
    assert (entry.recorded_name, entry.recorded_at.year) == ("Ann Field", 2026)
    assert (entry.late, entry.instrument) == (False, "none")


def test_a_field_is_taken_from_the_body_alone_and_the_last_one_counts(ann, bench):
    """B-85: one that is sent twice, or in the address too, is read in one way."""
    body = f"token={ann.token}&result%3Acane=9999&result%3Acane=1250"
    kind = {"Content-Type": FORM}
    address = "/shifts/2026-06-03/1/cells?result%3Acane=7777&token=x"
    assert ann.client.post(address, content=body, headers=OURS | kind).status_code == 200
    assert [entry.typed for entry in bench.trail("cane")] == ["1250"]
