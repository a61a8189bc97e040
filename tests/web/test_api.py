"""The way in for programs: what is answered, by which status, in which language."""

import re
from http import HTTPStatus

import pytest

from app.database import writing
from app.language import chosen
from app.ledger import instruments
from app.locks import Busy
from app.web import api
from tests.bench import NOON
from tests.web.conftest import SHEET

CANE = {"day": "2026-06-03", "shift": 1, "measure": "cane", "typed": "1850"}
STOP = {
    "book": "stops", "day": "2026-06-03", "shift": 1,
    "fields": {
        "begins": "07:00", "ends": "07:45", "cause": "mechanical_stop", "crushing": "stopped",
    },
}  # fmt: skip


@pytest.fixture
def token(bench):
    with writing(bench.engine) as connection:
        return instruments.add_instrument(
            connection, name="Scale", measures=["cane"], books=["stops"], by=bench.ann, at=NOON
        )[1]


@pytest.fixture
def ask(visit, token):
    client = visit().client

    def ask(address, sent=None, token=token, **headers):
        method = "GET" if sent is None else "POST"
        headers |= {"Authorization": f"Bearer {token}"} if token else {}
        return client.request(method, f"/api/{address}", json=sent, headers=headers)

    return ask


def is_problem(answer, status, words=""):
    assert answer.status_code == status, answer.text
    assert answer.headers["content-type"] == "application/problem+json"
    said = answer.json()
    assert (said["type"], said["status"]) == ("about:blank", status)
    assert said["title"]
    assert said["detail"]
    assert words in " ".join(said["problems"])
    return said


def test_what_is_wrong_is_answered_as_problem_details(ask):
    said = is_problem(ask("results", CANE | {"typed": "much"}), 422, "cane: Write a number")
    assert said["title"] == HTTPStatus(422).phrase
    assert said["detail"] == said["problems"][0]
    many = [CANE | {"typed": ""}, CANE | {"day": "2026-06-02", "shift": "1"}]
    said = is_problem(ask("results", many), 422)
    assert said["detail"] == "2 things are wrong"
    assert said["problems"] == ["item 1, typed: it is blank", "item 2, shift: it is a whole number"]


def test_each_refusal_has_its_status(ask, bench):
    is_problem(ask("results", CANE, token=""), 401, "no instrument")
    assert ask("results", CANE, token="guess").headers["www-authenticate"] == "Bearer"
    is_problem(ask("results", CANE | {"measure": "bagasse_pol"}), 403, "may not write bagasse_pol")
    is_problem(ask("records", STOP | {"shift": 3}), 404, "has not begun")
    bench.write("cane", "1500")
    is_problem(ask("results", CANE), 409, "Ann Field has meanwhile written 1500")
    is_problem(ask("results", [CANE] * 1001), 422, "at most 1000")
    is_problem(ask("results", "x" * 300_001), 413)


def test_what_is_wrong_is_said_in_the_language_asked_for(ask, monkeypatch):
    """Names and numbers are the same in every language; words are not."""
    monkeypatch.setattr(api, "_", lambda words, **_: f"{chosen()}: {words}")
    refused = ask("measures", token="guess", **{"Accept-Language": "fr-CI, en;q=0.5"})
    is_problem(refused, 401, "fr: This token")
    is_problem(ask("measures", token="guess"), 401, "en: This token")


@pytest.mark.parametrize("address", ["", "nothing", "days/2026-13-01", "days/tomorrow", "results"])
def test_an_address_that_is_none_is_answered_as_a_program_is(ask, address):
    is_problem(ask(address), 405 if address == "results" else 404)


def test_who_asks_too_often_is_told_how_long_to_wait(ask, monkeypatch):
    monkeypatch.setattr(api, "A_MINUTE", 3)
    assert [ask("measures").status_code for _ in range(5)] == [200] * 3 + [429] * 2
    refused = ask("results", CANE)
    is_problem(refused, 429, "at most 3 times a minute")
    assert 0 < int(refused.headers["retry-after"]) <= 61


def test_nothing_is_taken_while_nothing_may_be_written(app, ask, monkeypatch):
    monkeypatch.setattr(type(app.state.watch), "closed", "The ledger is not as it was written.")
    is_problem(ask("results", CANE), 503, "not as it was written")
    is_problem(ask("records", STOP), 503)
    assert ask("measures").status_code == 200


def test_a_program_is_told_that_others_write_for_too_long(ask, monkeypatch):
    def busy(_engine):
        raise Busy("Others are writing")

    monkeypatch.setattr(api, "writing", busy)
    is_problem(ask("results", CANE), 503, "Somebody else was writing for too long")


def test_no_cookie_works_here_and_no_token_elsewhere(ann, visit, token):
    """B-83: neither way in opens the other."""
    is_problem(ann.client.get("/api/measures"), 401)
    is_problem(ann.client.post("/api/results", json=CANE), 401)
    shown = {"Authorization": f"Bearer {token}"}
    assert visit().client.get(SHEET, headers=shown).status_code == 303
    assert visit().client.get("/status", headers=shown).status_code == 303


def test_a_page_of_another_site_sends_nothing(ask, bench):
    for headers in ({"Origin": "http://evil.example"}, {"Sec-Fetch-Site": "cross-site"}):
        assert ask("results", CANE, **headers).status_code == 403
    assert bench.trail("cane") == []


def test_an_instrument_is_told_what_is_taken_and_what_it_may_send(ask):
    said = ask("measures").json()
    assert (said["mill"], said["zone"], said["day"], said["shift"]) == (
        "Willow Bend", "America/Chicago", "2026-06-03", 1,
    )  # fmt: skip
    measures = {measure["name"]: measure for measure in said["measures"]}
    assert {name for name, m in measures.items() if m["may_write"]} == {"cane"}
    cane = measures["cane"]
    assert (cane["unit"], cane["grain"], cane["every"], cane["rule"]) == ("t", "shift", 0, "sum")
    stops = next(book for book in said["books"] if book["name"] == "stops")
    assert stops["may_write"]
    cause = next(field for field in stops["fields"] if field["name"] == "cause")
    assert cause["needed"]
    assert "mechanical_stop" in cause["choices"]


def test_a_record_is_taken_and_answered(ask):
    answer = ask("records", STOP)
    assert answer.json() == {
        "records": [{"day": "2026-06-03", "shift": 1, "book": "stops", "record": 1}]
    }
    assert ask("records", [STOP]).json() == answer.json()


def test_the_figures_of_a_day_are_given_back(ask, bench):
    for measure, typed in {"cane": "1000", "imbibition": "250", "mixed_juice": "1010"}.items():
        bench.write(measure, typed)
    said = ask("days/2026-06-03").json()
    assert (said["day"], said["over"]) == ("2026-06-03", False)
    assert said["figures"]["mixed_juice_on_cane"] == {
        "value": 101.0, "unit": "% cane", "missing": [], "coverage": 1.0,
    }  # fmt: skip
    lacks = said["figures"]["pol_in_mixed_juice"]
    assert (lacks["value"], lacks["coverage"]) == (None, None)
    assert "mixed_juice_pol" in lacks["missing"]
    is_problem(ask("days/2026-06-03", token=""), 401)
    is_problem(ask("days/2025-06-03"), 404, "No season holds")


def test_reading_changes_nothing_not_even_when_it_was_used(ask, bench):
    assert ask("measures").status_code == 200
    (scale,) = bench.read(instruments.instruments)
    assert scale.used_at is None


def test_the_page_says_how_much_was_written_today_and_the_last_refusal(ask, visit):
    ask("results", CANE)
    ask("records", STOP)
    ask("results", CANE | {"typed": "1851"})
    page = visit("administrator").get("/instruments").text
    row = re.search(r'id="instrument-\d+".*?</tr>', page, re.DOTALL).group()
    assert '<td data-label="Written today" class="num">2</td>' in row
    assert "cane: Scale has already sent 1850 here" in row
    assert "Folder" not in page


def test_a_book_is_chosen_for_an_instrument_on_its_page(visit, bench):
    form = {"name": "Carrier", "book:stops": "yes"}
    page = visit("administrator").post("/instruments", form).text
    assert "The token of Carrier" in page
    (carrier,) = bench.read(instruments.instruments)
    assert (carrier.measures, carrier.books) == ((), ("stops",))
    wrong = visit("administrator").post("/instruments", form | {"name": " "}).text
    assert re.search(r'name="book:stops" value="yes" checked', wrong)


def test_instruments_that_send_where_they_sent_before_are_answered(visit, token, bench):
    shown = {"Authorization": f"Bearer {token}"}
    answer = visit().client.post("/instruments/entries", json=CANE, headers=shown)
    assert answer.json()["entries"][0]["entry"] == bench.trail("cane")[0].id
