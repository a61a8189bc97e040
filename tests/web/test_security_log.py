"""The security log: what it tells, and what it never does."""

import json
from datetime import datetime, timedelta

import pytest
from starlette.testclient import TestClient

from app.main import create_app
from app.settings import Settings
from app.web import security_log
from tests.bench import NOON, PASSWORD
from tests.web.conftest import OURS, SHEET, Visitor
from tests.web.test_sign_in import GOOD, code_in, set_password


@pytest.fixture
def file(tmp_path):
    yield tmp_path / "security.log"
    security_log.open_log(None)


@pytest.fixture
def visitor(app, database_url, file):
    """A visitor of a ledger whose security log is a file."""
    settings = {"database_url": database_url, "clock": NOON, "hosts": "testserver"}
    watched = create_app(Settings(**settings, security_log=file))
    app.state.engine.dispose()
    with TestClient(watched, raise_server_exceptions=False, follow_redirects=False) as client:
        yield Visitor(client)
    watched.state.engine.dispose()


def lines(file):
    return [json.loads(line) for line in file.read_text(encoding="utf-8").splitlines()]


def what(file):
    return [line["what"] for line in lines(file)]


def test_it_tells_who_got_in_and_who_did_not(visitor, file):
    """B-89"""
    visitor.sign_in("ann", "wrong wrong wrong")
    visitor.sign_in("ann")
    visitor.get("/people")
    visitor.post("/sign-out")
    assert what(file) == ["sign-in failed", "signed in", "refused", "signed out"]
    refused = lines(file)[2]
    assert datetime.fromisoformat(refused.pop("at")).utcoffset() == timedelta(0)
    assert refused == {
        "what": "refused", "who": "ann", "address": "testclient", "method": "GET",
        "path": "/people", "status": "403",
    }  # fmt: skip


def test_it_tells_what_administrators_do(visitor, file):
    """B-89"""
    visitor.sign_in("administrator")
    eve = {"username": "eve", "printed_name": "Eve Mill", "role": "chemist"}
    code = code_in(visitor.post("/people", eve))
    visitor.post("/people/eve/role", {"role": "auditor"})
    token = code_in(visitor.post("/instruments", {"name": "Scale", "measure:cane": "yes"}))
    set_password(visitor, "eve", code)
    assert what(file)[1:] == [
        "person added", "code given", "role changed", "token made", "password set",
    ]  # fmt: skip
    assert lines(file)[3]["person"] == "eve"
    assert lines(file)[3]["role"] == "auditor"
    told = file.read_text()
    assert not [secret for secret in (PASSWORD, GOOD, code, token) if secret in told]


def test_it_tells_what_left_the_ledger(visitor, file, bench):
    """B-89"""
    bench.write("cane", "1800")
    visitor.sign_in("auditor")
    assert visitor.get("/days/2026-06-03.csv").status_code == 200
    assert lines(file)[-1]["what"] == "export"
    assert lines(file)[-1]["file"].endswith(".csv")
    assert visitor.get("/days/2026-06-03.pdf").headers["content-disposition"].startswith("inline")
    assert lines(file)[-1]["what"] == "export"
    assert lines(file)[-1]["file"].endswith(".pdf")


def test_nobody_forges_a_line(visitor, file):
    """B-89: a line break in a name stays within its line; nothing grows without end."""
    visitor.sign_in('ann\r\n{"what": "signed in"}' + "x" * 1000, "wrong wrong wrong")
    visitor.client.get("/%0d%0asigned%20in", headers={"Host": "evil.test"})
    assert what(file) == ["sign-in failed", "refused"]
    assert all(len(line) < 1000 for line in file.read_text().splitlines())


def test_an_error_is_told_by_its_reference_alone(visitor, file):
    """B-88, B-89"""

    def fail():
        raise RuntimeError("what nobody should read")

    visitor.client.app.add_api_route("/fails", fail)
    page = visitor.get("/fails")
    told = lines(file)[-1]
    assert (page.status_code, told["what"], told["error"]) == (500, "failed", "RuntimeError")
    assert told["reference"] in page.text
    assert "nobody should read" not in file.read_text() + page.text


def test_it_is_bounded_in_size(visitor, file, monkeypatch):
    """B-89"""
    handler = security_log._log.handlers[0]
    monkeypatch.setattr(handler, "maxBytes", 2000)
    for _ in range(200):
        visitor.client.post(SHEET, data={"token": "x"}, headers=OURS)
    kept = list(file.parent.glob("security.log*"))
    assert len(kept) == 10
    assert all(path.stat().st_size <= 2000 for path in kept)


@pytest.mark.parametrize("address", ["/docs", "/redoc", "/openapi.json"])
def test_nothing_but_our_pages_is_served(visitor, address):
    """B-88"""
    assert visitor.get(address).status_code == 404
