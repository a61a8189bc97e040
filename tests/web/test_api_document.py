"""The published description of the way in for programs, held against what is really answered."""

import json
import re

import jsonschema
import pytest
import schemathesis
from fastapi.routing import APIRoute
from hypothesis import HealthCheck, Phase, given, settings
from schemathesis.checks import not_a_server_error
from schemathesis.generation import GenerationMode
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_headers_conformance,
    response_schema_conformance,
    status_code_conformance,
)
from starlette.testclient import TestClient

from app.database import reading, writing
from app.keeping.folder import Folder
from app.ledger import chain, instruments, people
from app.main import create_app
from app.plant.books import BOOKS
from app.plant.measures import MEASURES
from app.settings import Settings
from app.web import api
from app.web.api_document import document
from app.web.api_examples import ASKED, EXAMPLES, FILES
from demo_data.season import PASSWORD
from tests.look import NOW
from tests.served import demo_database

HOLDS = (
    not_a_server_error,
    status_code_conformance,
    content_type_conformance,
    response_headers_conformance,
    response_schema_conformance,
)
TRIED = 40  # requests of each route


@pytest.fixture(scope="module")
def ledger(tmp_path_factory):
    """The demonstration, and the token of an instrument that may write everything."""
    database = demo_database(tmp_path_factory.mktemp("demonstration"))
    app = create_app(
        Settings(database_url=f"sqlite:///{database}", clock=NOW, demo=True, hosts="testserver")
    )
    with writing(app.state.engine) as connection:
        token = instruments.add_instrument(
            connection, name="Historian", measures=MEASURES, books=BOOKS, at=NOW,
            by=people.person_named(connection, "noor"),
        )[1]  # fmt: skip
    yield app, {"Authorization": f"Bearer {token}"}
    app.state.engine.dispose()


@pytest.fixture(scope="module")
def client(ledger):
    app, shown = ledger
    return TestClient(app, headers=shown)


def test_it_is_served_as_openapi_3_1(client):
    said = client.get("/api/openapi.json", headers={"Authorization": ""}).json()
    assert said == json.loads(json.dumps(document()))
    assert said["openapi"].startswith("3.1.")
    assert said["components"]["securitySchemes"]["token"]["scheme"] == "bearer"
    schemathesis.openapi.from_dict(said).validate()


def test_it_describes_every_way_in_for_programs_and_no_other():
    routes = {(r.path, m.lower()) for r in api.router.routes for m in r.methods}
    assert all(isinstance(route, APIRoute) for route in api.router.routes)
    described = {(path, m) for path, methods in document()["paths"].items() for m in methods}
    assert described == routes
    for path, methods in document()["paths"].items():
        for operation in methods.values():
            assert operation["summary"], path
            assert operation["description"], path
            assert operation["security"] == [{"token": []}], path


def test_every_field_is_explained():
    for name, schema in document()["components"]["schemas"].items():
        assert schema["description"], name
        for field, said in schema["properties"].items():
            assert said["description"], (name, field)


@pytest.fixture
def operations(ledger, monkeypatch):
    """What is described, by path, with no limit to how often it is tried."""
    app, _shown = ledger
    monkeypatch.setattr(api, "A_MINUTE", 100_000)
    app.state.pace = api.Pace()
    loaded = schemathesis.openapi.from_asgi("/api/openapi.json", app)
    return {each.ok().path: each.ok() for each in loaded.get_all_operations()}


def ask(ledger, case):
    """Return the status of an answer, which is as it is described."""
    _app, shown = ledger
    answer = case.call(headers=shown, base_url="http://testserver")
    case.validate_response(answer, checks=HOLDS)
    return answer.status_code


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda example: example.name)
def test_every_example_is_taken_by_the_demonstration(ledger, operations, client, example):
    case = operations[example.path].Case(body=example.sends, media_type="application/json")
    assert ask(ledger, case) == 200
    first = client.post(example.path, json=example.sends).json()
    assert client.post(example.path, json=example.sends).json() == first


@pytest.mark.parametrize(("title", "text"), FILES)
def test_every_file_of_the_manual_is_taken_by_the_demonstration(ledger, tmp_path, title, text):
    app, _shown = ledger
    home = tmp_path / "historian"
    home.mkdir()
    (home / "file.csv").write_text(text)
    folder = Folder(
        app.state.engine, tmp_path, clock=lambda: NOW, closed=lambda: "", refusals={}, settled=0
    )
    folder.look()
    folder.look()
    assert [file.parent.name for file in home.rglob("*.csv")] == ["taken"], title


def test_a_day_that_is_over_is_answered_as_described(ledger, operations):
    case = operations["/api/days/{day}"].Case(path_parameters={"day": "2026-10-27"})
    assert ask(ledger, case) == 200


@pytest.mark.parametrize(
    "name", ["days/2026-10-27", "weeks/2026-W43", "months/2026-10", "seasons/2026"]
)
def test_a_report_is_answered_as_described(ledger, operations, name):
    kind, name = name.split("/")
    case = operations["/api/reports/{kind}/{name}"].Case(
        path_parameters={"kind": kind, "name": name}
    )
    assert ask(ledger, case) == 200


def test_the_sheet_of_a_shift_is_answered_as_described(ledger, operations):
    case = operations["/api/reports/shifts/{day}/{number}"].Case(
        path_parameters={"day": "2026-10-27", "number": 1}
    )
    assert ask(ledger, case) == 200


@pytest.mark.parametrize(("path", "parts"), ASKED.items())
def test_every_address_that_is_shown_is_answered_as_described(ledger, operations, path, parts):
    assert ask(ledger, operations[path].Case(path_parameters=dict(parts))) == 200
    chosen = document()["paths"][path]["get"]["parameters"]
    assert {each["name"]: each["example"] for each in chosen} == parts


@pytest.mark.parametrize("name", ["runs/2026-10-12/2026-10-22", "seasons/2026/return"])
def test_a_run_and_a_return_are_given_back_as_their_pages_give_them(ledger, client, name):
    app, _shown = ledger
    reader = TestClient(app, follow_redirects=True)
    form = {"username": "ines", "password": PASSWORD, "next": "/"}
    reader.post("/sign-in", data=form, headers={"Origin": "http://testserver"})
    own, told = reader.get(f"/{name}.json").json(), client.get(f"/api/reports/{name}").json()
    assert told | {"known_at": ""} == own | {"known_at": ""}
    assert len(told["tables"]) > 5


@pytest.mark.parametrize(
    "name",
    ["runs/2026-10-22/2026-10-12", "runs/2026-01-12/2026-10-12", "runs/2026-10-12/soon",
     "runs/2030-01-01/2030-01-02", "seasons/1999/return"],
)  # fmt: skip
def test_a_run_or_a_return_that_is_none_is_refused_as_described(client, name):
    answer = client.get(f"/api/reports/{name}")
    assert answer.status_code in (404, 422)
    assert answer.headers["content-type"] == "application/problem+json"


@pytest.mark.parametrize(
    ("changed", "status"),
    [
        ({"typed": "32"}, 409),
        ({"day": "2026-10-29"}, 404),
        ({"day": "2026-10-27"}, 403),
        ({"measure": "taste"}, 422),
    ],
)
def test_each_refusal_is_answered_as_described(ledger, operations, changed, status):
    cane = {"day": "2026-10-28", "shift": 1, "measure": "mixed_juice_temperature", "typed": "31"}
    operation = operations["/api/results"]
    ask(ledger, operation.Case(body=cane, media_type="application/json"))
    case = operation.Case(body=cane | changed, media_type="application/json")
    assert ask(ledger, case) == status


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda example: example.name)
def test_every_example_is_what_the_description_describes(example):
    said = document()
    body = said["paths"][example.path]["post"]["requestBody"]["content"]["application/json"]
    assert body["examples"][example.name]["value"] == example.sends
    jsonschema.validate(
        example.sends,
        {**body["schema"], "components": said["components"]},
        cls=jsonschema.Draft202012Validator,
    )


@pytest.mark.parametrize("mode", list(GenerationMode))
@pytest.mark.parametrize(
    "path",
    ["/api/results", "/api/records", "/api/days/{day}", "/api/reports/{kind}/{name}",
     "/api/reports/runs/{first}/{last}", "/api/reports/seasons/{name}/return"],
)  # fmt: skip
def test_whatever_is_sent_is_answered_as_described(ledger, operations, path, mode):
    """No failure of the server, and no status, kind, header or body that is not described."""
    seen = set()

    @settings(
        max_examples=TRIED, derandomize=True, database=None, deadline=None,
        phases=[Phase.generate], suppress_health_check=list(HealthCheck),
    )  # fmt: skip
    @given(case=operations[path].as_strategy(generation_mode=mode))
    def send(case):
        seen.add(ask(ledger, case))

    send()
    assert seen <= {200, 401, 404, 413, 422}
    assert seen & {404, 422}


def test_without_a_token_everything_described_is_refused(ledger):
    app, _shown = ledger
    with reading(app.state.engine) as connection:
        before = chain.head(connection)
    nobody = TestClient(app)
    for path, methods in document()["paths"].items():
        for method in methods:
            address = path.format(**ASKED.get(path, {}))
            answer = nobody.request(method, address, json={})
            assert answer.status_code == 401, path
            assert answer.headers["content-type"] == "application/problem+json"
    with reading(app.state.engine) as connection:
        assert chain.head(connection) == before


def test_the_manual_shows_each_route_with_examples_that_can_be_sent(ledger):
    app, _shown = ledger
    browser = TestClient(app, follow_redirects=True)
    form = {"username": "ines", "password": PASSWORD, "next": "/manual/api"}
    page = browser.post("/sign-in", data=form, headers={"Origin": "http://testserver"}).text
    for path, methods in document()["paths"].items():
        for method in methods:
            assert f"<code>{method.upper()} {path}</code>" in page
            assert f"http://testserver{path.format(**ASKED.get(path, {}))}" in page
    sent = re.findall(r"-d &#39;(.*?)&#39; http://testserver(/api/\w+)", page, re.DOTALL)
    assert [(json.loads(body.replace("&#34;", '"')), path) for body, path in sent] == [
        (example.sends, example.path) for example in EXAMPLES
    ]
