"""What every answer says to browsers, and which changes are refused."""

import re
import socket

import pytest
from starlette.responses import Response
from starlette.testclient import TestClient

from app.database import reading
from app.ledger import sign_ins
from app.main import create_app
from app.settings import Settings
from app.web.requests import allow
from app.web.safety import STYLE
from tests.bench import NOON, PASSWORD
from tests.web.conftest import OURS, SHEET

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; "
    "connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'; "
    "object-src 'none'"
)


@pytest.mark.parametrize("address", [SHEET, "/sign-in", "/static/style.css", "/nothing-here"])
def test_every_answer_carries_the_policy(ann, address):
    headers = ann.get(address).headers
    assert headers["content-security-policy"] == POLICY
    assert headers["x-content-type-options"] == "nosniff"
    assert headers["referrer-policy"] == "same-origin"
    assert headers["cross-origin-opener-policy"] == "same-origin"
    assert headers["cross-origin-resource-policy"] == "same-origin"
    assert "camera=()" in headers["permissions-policy"]
    assert "strict-transport-security" not in headers  # this one is served without encryption
    assert headers["cache-control"] == ("no-cache" if "static" in address else "no-store")


def test_pages_hold_no_script_or_style_that_the_policy_refuses(ann, visit):
    for page in (ann.get(SHEET), ann.get("/sign-in"), visit("administrator").get("/people")):
        assert page.status_code == 200
        assert not re.search(r"<script(?![^>]*\ssrc=)|<style|\sstyle=|\son\w+=|://", page.text)


@pytest.mark.parametrize("origin", ["https://evil.test", "null", "http://testserver:81"])
def test_a_change_sent_by_another_site_is_refused(ann, bench, origin):
    answer = ann.client.post(
        f"{SHEET}/cells", data={"token": ann.token, "result:cane": "1800"},
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
    answer = ann.client.post(f"{SHEET}/cells", data=form, headers=OURS)
    assert answer.status_code == 403
    assert "Load it again" in answer.text
    assert bench.trail("cane") == []


def test_one_person_s_token_is_not_another_s(ann, visit):
    bob = visit("bob")
    bob.token = ann.token
    assert bob.save("cane", "1800").status_code == 403


def test_a_script_hears_in_a_few_words_that_one_is_signed_out(visit):
    answer = visit().save("cane", "1800")
    assert answer.status_code == 401
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


@pytest.mark.parametrize(
    ("host", "status"),
    [
        ("testserver", 200), ("localhost:8765", 200), ("LOCALHOST", 200), ("127.0.0.1", 200),
        ("192.168.1.20:8765", 200), ("[::1]:8765", 200), (socket.gethostname(), 200),
        ("evil.test", 400), ("testserver.evil.test", 400), ("127.0.0.1.evil.test", 400),
        ("", 400), ("[::1", 400), ("1", 400),
    ],
)  # fmt: skip
def test_the_ledger_answers_to_its_own_names_alone(visit, host, status):
    """B-92: another site's name that leads here reads nothing."""
    answer = visit().client.get("/sign-in", headers={"Host": host})
    assert answer.status_code == status
    assert answer.headers["content-security-policy"] == POLICY


@pytest.mark.parametrize("header", ["X-Forwarded-For", "Forwarded", "X-Real-IP"])
def test_who_forwards_is_not_believed(visit, bench, header):
    """B-92: spoofed headers do not spread guesses over addresses."""
    visitor = visit()
    for number in range(5):
        told = OURS | {header: f"10.0.0.{number}"}
        form = {"username": "ann", "password": "wrong wrong wrong"}
        assert visitor.client.post("/sign-in", data=form, headers=told).status_code == 422
    told = OURS | {header: "10.0.0.99", "X-Forwarded-Host": "evil.test"}
    form = {"username": "ann", "password": PASSWORD}
    assert visitor.client.post("/sign-in", data=form, headers=told).status_code == 422
    with reading(bench.engine) as connection:
        assert sign_ins.wait_before(connection, "ann", "testclient", NOON)


@pytest.fixture
def encrypted(bench):
    url = bench.engine.url.render_as_string(hide_password=False)
    settings = Settings(database_url=url, clock=NOON, hosts="ledger.mill", secure_cookies=True)
    with TestClient(create_app(settings), "https://ledger.mill", follow_redirects=False) as client:
        yield client
        client.app.state.engine.dispose()


def test_with_encryption_cookie_and_headers_are_stricter(encrypted):
    """B-79, B-82"""
    form = {"username": "ann", "password": PASSWORD}
    answer = encrypted.post("/sign-in", data=form, headers={"Origin": "https://ledger.mill"})
    cookie = answer.headers["set-cookie"]
    assert cookie.startswith("__Host-ledger=")
    assert all(words in cookie for words in ("Secure", "HttpOnly", "Path=/", "SameSite=lax"))
    assert "Domain" not in cookie
    assert answer.headers["strict-transport-security"] == "max-age=31536000"
    assert "Served without encryption" not in encrypted.get("/").text


def test_without_encryption_every_page_says_so(ann, visit):
    """B-79"""
    for page in (ann.get(SHEET), ann.get("/account"), visit().get("/sign-in"), ann.get("/no")):
        assert "Served without encryption" in page.text


def test_a_frozen_document_may_bring_its_own_style(app, visit):
    digest = "'sha256-" + "a" * 43 + "='"
    told = {"good": digest, "bad": "'unsafe-inline'", "two": f"{digest} *"}

    def frozen(style: str):
        return Response("frozen", headers={STYLE: told[style]})

    app.add_api_route("/frozen", frozen)
    answers = {name: visit().get(f"/frozen?style={name}").headers for name in told}
    assert not any(STYLE in headers for headers in answers.values())
    policies = {name: headers["content-security-policy"] for name, headers in answers.items()}
    assert policies["good"] == POLICY.replace("style-src 'self'", f"style-src 'self' {digest}")
    assert policies["bad"] == policies["two"] == POLICY


def test_the_ledger_says_that_it_is_well(visit):
    answer = visit().get("/health")
    assert (answer.status_code, answer.text) == (200, "ok")
