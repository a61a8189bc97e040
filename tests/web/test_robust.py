"""What is sent wrongly, by halves or all at once keeps nobody from working."""

import socket
import sqlite3
import time
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from datetime import date, timedelta
from datetime import time as clock_time
from http.client import HTTPConnection
from urllib.parse import urlsplit

import pytest
from pydantic import TypeAdapter, ValidationError
from starlette.testclient import TestClient

from app.database import AT_MOST, writing
from app.ledger import mills, passwords, sign_ins
from app.plant.calendar import Clock, days_of_week
from app.settings import Settings
from app.web.requests import Day
from tests.bench import NOON, PASSWORD
from tests.served import served
from tests.web.conftest import OURS, SHEET
from tests.web.test_safety import POLICY

FORM = {"Content-Type": "application/x-www-form-urlencoded"} | OURS
ARABIC = "\u0662\u0660\u0662\u0666"  # 2026 in other digits
EVE = {"printed_name": "Eve Mill", "role": "chemist"}


@pytest.fixture
def server(database_url):
    """A real server of the same ledger: its requests share one pool of connections and threads."""
    with served(Settings(database_url=database_url, clock=NOON)) as address:
        yield urlsplit(address)


def may_write(bench):
    """Tell whether the write lock is free at this moment."""
    with closing(sqlite3.connect(bench.engine.url.database, timeout=0)) as connection:
        try:
            connection.execute("BEGIN IMMEDIATE")
        except sqlite3.OperationalError:
            return False
        return True


def status_of(server, address, cookie):
    with closing(HTTPConnection(server.netloc, timeout=30)) as connection:
        connection.request("GET", address, headers={"Cookie": f"ledger={cookie}"})
        return connection.getresponse().status


def cookie_of(visitor):
    return visitor.client.cookies["ledger"]


@pytest.mark.parametrize("address", ["/sign-in", "/people", SHEET])
def test_half_a_form_keeps_nobody_from_writing(server, visit, bench, address):
    cookie = cookie_of(visit("administrator"))
    head = [f"POST {address} HTTP/1.1", f"Host: {server.netloc}", f"Cookie: ledger={cookie}"]
    head += ["Content-Type: application/x-www-form-urlencoded", "Content-Length: 100", "", "a"]
    with socket.create_connection((server.hostname, server.port)) as half:
        half.sendall("\r\n".join(head).encode())
        time.sleep(0.3)  # what the server does with it, it has done by then
        assert may_write(bench)
        assert status_of(server, "/health", cookie) == 200


@pytest.mark.parametrize(("who", "status"), [("", 401), ("manager", 403), ("administrator", 403)])
def test_who_may_not_send_a_form_is_refused_before_the_lock_is_asked_for(visit, bench, who, status):
    visitor = visit(who)
    if who == "administrator":
        visitor.token = "guess"
    with writing(bench.engine):
        assert not may_write(bench)
        begun = time.monotonic()
        assert visitor.post("/people", EVE | {"username": "eve"}).status_code == status
        assert visitor.post("/people/ann/deactivation").status_code == status
        assert time.monotonic() - begun < 4  # who asks for the lock waits ten seconds


@pytest.mark.parametrize("password", [PASSWORD, "wrong wrong wrong"])
@pytest.mark.parametrize("again", [False, True])
def test_a_password_is_checked_while_others_may_write(visit, bench, monkeypatch, password, again):
    free = []

    def watched(*sent):
        free.append(may_write(bench))
        return passwords.fits(*sent)

    visitor = visit("ann" if again else "")
    monkeypatch.setattr(sign_ins, "fits", watched)
    if again:  # to sign what one did
        answer = visitor.post(f"{SHEET}/signature", {"password": password})
    else:
        answer = visitor.sign_in("ann", password)
    assert answer.status_code in (303, 422)
    assert free == [True]


def test_who_guesses_many_times_at_once_still_waits(bench):
    guess = ("ann", PASSWORD, "10.0.0.1", NOON)
    with writing(bench.engine) as connection:
        known = sign_ins.who_knows(connection, "ann", PASSWORD, "10.0.0.1", NOON)
        assert known.person_id == bench.ann.id
        for _ in range(5):
            assert sign_ins.let_in(connection, None, *guess) is None
        assert sign_ins.let_in(connection, known, *guess) is None


def test_an_administrator_writes_after_some_minutes(app, visit):
    administrator = visit("administrator")
    app.state.clock = lambda: NOON + timedelta(minutes=11)
    assert administrator.post("/people", EVE | {"username": "eve"}).status_code == 200


def test_as_many_as_like_read_at_once(server, ann):
    cookie, crowd = cookie_of(ann), 3 * AT_MOST
    begun = time.monotonic()
    with ThreadPoolExecutor(crowd) as threads:
        asked = [threads.submit(status_of, server, "/manual", cookie) for _ in range(crowd)]
        assert [answer.result() for answer in asked] == [200] * crowd
    assert time.monotonic() - begun < 20  # who waits in vain for a connection waits thirty seconds


@pytest.mark.parametrize(
    "sent",
    [
        {"json": {"token": "x"}},
        {"files": {"token": ("", "x")}},
        {"content": b"token=x"},
        {"content": b"token=x", "headers": {"Content-Type": "text/plain"}},
    ],
)
@pytest.mark.parametrize("address", ["/sign-in", "/people", SHEET])
def test_only_forms_are_taken(visit, address, sent):
    answer = visit().client.post(address, **sent)
    assert answer.status_code == 415
    assert "takes forms only" in answer.text


@pytest.mark.parametrize(
    ("body", "status"),
    [
        (b"token=%ED%A0%80", 403),
        (b"token=\xed\xa0\x80\xff", 403),
        (b"token=%zz&=&&&%00=", 400),
        (b"token=a%00b", 400),
        (b"token=" + b"a" * 1_000_001, 413),
        (b"&".join(b"a%d=1" % n for n in range(1001)), 413),
    ],
)
def test_a_form_that_nobody_typed_is_refused(ann, bench, body, status):
    for address in (SHEET, f"{SHEET}/cells", "/sign-out"):
        assert ann.client.post(address, content=body, headers=FORM).status_code == status
    assert bench.trail("cane") == []


@pytest.mark.parametrize("name", [b"%ED%A0%80", b"%00", b"\xff", b"%F0%9F%98%80"])
def test_a_name_that_nobody_has_signs_nobody_in(visit, name):
    sent = b"username=" + name + b"&password=" + name + b"&next=" + name
    assert visit().client.post("/sign-in", content=sent, headers=FORM).status_code in (400, 422)


def test_a_form_may_say_how_its_letters_are_written(ann):
    kind = {"Content-Type": "Application/X-WWW-Form-Urlencoded; charset=UTF-8"}
    sent = f"token={ann.token}&result%3Acane=12+50"
    answer = ann.client.post(f"{SHEET}/cells", content=sent, headers=FORM | kind)
    assert answer.status_code == 422
    assert "12 50" in answer.text


def test_a_failure_carries_the_policy_too(app):
    def fail():
        raise RuntimeError("what nobody should read")

    app.add_api_route("/fails", fail)
    with TestClient(app, raise_server_exceptions=False) as client:
        answer = client.get("/fails")
    assert answer.status_code == 500
    assert "Nothing was saved" in answer.text
    assert "nobody should read" not in answer.text
    assert answer.headers["content-security-policy"] == POLICY
    assert answer.headers["x-content-type-options"] == "nosniff"
    assert answer.headers["cache-control"] == "no-store"


@pytest.mark.parametrize(
    "address", ["/", SHEET, "/manual", "/sign-in", "/health", "/static/style.css", "/nothing"]
)
def test_the_head_of_a_page_is_that_of_the_page(ann, address):
    page, head = ann.get(address), ann.client.head(address)
    assert head.status_code == page.status_code
    assert head.headers["content-type"] == page.headers["content-type"]
    assert head.headers["content-length"] == page.headers["content-length"]
    assert (head.content, bool(page.content)) == (b"", True)


def test_who_asks_for_a_head_signs_in_first(visit):
    answer = visit().client.head("/manual")
    assert (answer.status_code, answer.headers["location"]) == (303, "/sign-in?next=/manual")


def test_a_refusal_tells_which_method_is_allowed(ann):
    answer = ann.get("/sign-out")
    assert (answer.status_code, answer.headers["allow"]) == (405, "POST")


@pytest.mark.parametrize(
    "name",
    [
        "2026\r\n-W29", "2026-W29\n", "2_026-W29", f"{ARABIC}-W43",
        f"2026-W{ARABIC[:2]}", " 2026-W29",
        "+2026-W29", "2026-W029", "2026-W9", "-1-W01", "0000-W01", "9999-W53", "9" * 5000 + "-W01",
    ],
)  # fmt: skip
def test_a_week_is_written_in_one_way(name):
    with pytest.raises(ValueError, match=r"."):
        days_of_week(name)


@pytest.mark.parametrize("day", [date(9999, 12, 31), date(9999, 1, 1), date.min])
@pytest.mark.parametrize("zone", ["America/Chicago", "Australia/Sydney"])
def test_no_shift_runs_at_either_end_of_time(day, zone):
    with pytest.raises(ValueError, match="no shift runs on"):
        Clock(zone, clock_time(6), 3).shift_bounds(day, 3)
    for near in (date(9998, 12, 31), date(2, 1, 1)):
        assert Clock(zone, clock_time(6), 3).shift_bounds(near, 3)


@pytest.mark.parametrize(
    "text",
    [
        "1793059200", "0", "1e9", "inf", "2026-7-14", "20260714", "2026-07-14T00:00",
        "2026-07-14\n", f"{ARABIC}-07-14", "2026-02-30", "9999-12-31", "0001-01-01", "",
    ],
)  # fmt: skip
def test_a_day_is_written_in_one_way(text):
    with pytest.raises(ValidationError):
        TypeAdapter(Day).validate_python(text)


def test_a_day_that_is_written_so_is_read():
    assert TypeAdapter(Day).validate_python("2026-07-14") == date(2026, 7, 14)


@pytest.mark.parametrize(
    "name", ["2026/27", "", "-2026", "2026 27", "2026\n", "Zafra ñ", "..", ARABIC, "a" * 41]
)
def test_a_season_s_name_fits_in_an_address(bench, name):
    with (
        writing(bench.engine) as connection,
        pytest.raises(ValueError, match="Write 2026/27 like 2026-27"),
    ):
        mills.add_season(connection, bench.mill, name=name, first_day=date(2027, 6, 1), at=NOON)


def test_a_season_of_two_years_has_a_name(bench):
    with writing(bench.engine) as connection:
        added = mills.add_season(
            connection, bench.mill, name="2026-27", first_day=date(2027, 6, 1), at=NOON
        )  # fmt: skip
    assert added.name == "2026-27"


def test_no_token_is_kept_and_what_is_noted_is_forgotten(app, visit):
    earlier, later = visit("ann"), visit("bob")
    assert len(app.state.noted) == 2
    for visitor in (earlier, later):
        assert cookie_of(visitor) not in str(app.state.noted)
    app.state.clock = lambda: NOON + timedelta(minutes=11)
    assert later.get(SHEET).status_code == 200
    assert len(app.state.noted) == 1
