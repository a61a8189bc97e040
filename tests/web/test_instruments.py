"""Instruments: a token shown once, first entries of some measures, and nothing else."""

import json
import re
from datetime import timedelta

import pytest
from sqlalchemy import select

from app.database import reading, writing
from app.ledger import mills, tables
from app.plant.measures import MEASURES
from tests.bench import NOON, PASSWORD
from tests.web.conftest import SHEET

BRIX = {"day": "2026-06-03", "shift": 1, "measure": "mixed_juice_brix", "typed": "14.52"}
CANE = BRIX | {"measure": "cane", "typed": "1850"}


def add(visit, name="Refractometer 2", *measures):
    form = {f"measure:{measure}": "yes" for measure in measures or ("mixed_juice_brix", "cane")}
    return visit("administrator").post("/instruments", form | {"name": name})


@pytest.fixture
def token(visit):
    return re.search(r'class="secret">([^<]+)<', add(visit).text).group(1)


@pytest.fixture
def send(visit, token):
    client = visit().client

    def send(sent, token=token):
        headers = {"Authorization": f"Bearer {token}"}
        return client.post("/api/results", json=sent, headers=headers)

    return send


def ids(answer):
    assert answer.status_code == 200, answer.text
    return [line["entry"] for line in answer.json()["entries"]]


def test_an_instrument_writes_a_first_result(send, bench):
    answer = send(BRIX)
    (entry,) = bench.trail("mixed_juice_brix")
    assert answer.json() == {
        "entries": [
            {
                "day": "2026-06-03", "shift": 1, "measure": "mixed_juice_brix", "sample": 1,
                "determination": 1, "entry": entry.id,
            }
        ]
    }  # fmt: skip
    assert (entry.typed, entry.instrument) == ("14.52", "Refractometer 2")
    assert entry.recorded_name == "Refractometer 2"


def test_several_results_are_written_together_or_not_at_all(send, bench):
    assert send([BRIX, CANE | {"typed": "much"}]).status_code == 422
    assert bench.trail("mixed_juice_brix") == []
    assert len(ids(send([BRIX, CANE, CANE | {"shift": 1, "day": "2026-06-02"}]))) == 3


def test_sending_again_is_safe(send, bench):
    first, again = ids(send([BRIX, CANE])), ids(send([BRIX, CANE]))
    assert first == again
    assert len(bench.trail("cane")) == 1


def test_what_was_sent_before_is_answered_as_then_though_it_was_corrected(send, bench):
    (first,) = ids(send(BRIX))
    bench.write("mixed_juice_brix", "14.6", based_on=first, reason="read again")
    assert ids(send(BRIX)) == [first]
    assert [entry.typed for entry in bench.trail("mixed_juice_brix")] == ["14.52", "14.6"]


def test_what_was_sent_before_is_answered_as_then_though_the_shift_is_signed(send, ann):
    (first,) = ids(send(CANE))
    ann.save("lime", "1.5")
    ann.post(f"{SHEET}/blanks", {"state": "not measured", "reason": "the mill stood"})
    assert ann.post(f"{SHEET}/signature", {"password": PASSWORD}).status_code == 303
    assert ids(send(CANE)) == [first]
    assert send(BRIX | {"typed": "14.9"}).status_code == 403


def test_an_instrument_never_corrects(send, bench):
    bench.write("mixed_juice_brix", "14.1")
    refused = send(BRIX)
    assert refused.status_code == 409
    assert "Ann Field has meanwhile written 14.1" in refused.text
    ids(send(CANE))
    assert send(CANE | {"typed": "1851"}).status_code == 409
    assert [entry.typed for entry in bench.trail("cane")] == ["1850"]


@pytest.mark.parametrize(
    ("sent", "status", "words"),
    [
        (BRIX | {"measure": "bagasse_pol"}, 403, "may not write bagasse_pol"),
        (BRIX | {"measure": "mixed_juice_taste"}, 422, "no measure called mixed_juice_taste"),
        (BRIX | {"typed": "145"}, 422, "lies between"),
        (BRIX | {"typed": ""}, 422, "typed: it is blank"),
        (BRIX | {"typed": 14.52}, 422, "typed: it is a text"),
        (BRIX | {"shift": "1"}, 422, "shift: it is a whole number"),
        (BRIX | {"shift": 4}, 404, "numbered 1 to 3"),
        (BRIX | {"shift": 3, "day": "2026-06-04"}, 404, "has not begun"),
        (BRIX | {"day": "2025-01-01"}, 404, "in no season"),
        (BRIX | {"day": "3 June"}, 422, "day: "),
        (
            BRIX | {"recorded_at": "2020-01-01T00:00:00Z"},
            422,
            "recorded_at: there is no such field",
        ),
        (BRIX | {"reason": "because"}, 422, "reason: there is no such field"),
        ([BRIX, BRIX], 422, "there twice"),
        ([BRIX] * 1001, 422, "at most 1000"),
        ("14.52", 422, "an object with named fields is sent"),
        ([[BRIX]], 422, "item 1: an object with named fields is sent"),
    ],
)
def test_what_is_not_a_result_of_its_own_is_refused(send, bench, sent, status, words):
    """B-84: an instrument sets what it may and nothing else."""
    answer = send(sent)
    assert answer.status_code == status
    assert words in " ".join(answer.json()["problems"])
    assert bench.trail("mixed_juice_brix") == []


@pytest.mark.parametrize("body", [b"", b"{", b"\xff\xfe", b"[" * 10_000, b" " * 300_001])
def test_a_body_that_is_no_result_is_refused(visit, token, body):
    headers = {"Authorization": f"Bearer {token}", "Content-Type": "application/json"}
    answer = visit().client.post("/api/results", content=body, headers=headers)
    assert answer.status_code == (413 if len(body) > 300_000 else 422)
    assert answer.json()["problems"]


@pytest.mark.parametrize("shown", ["", "guess", "Bearer", "Bearer ", "Basic {}", "{}"])
def test_without_its_token_nothing_is_written(visit, token, bench, shown):
    headers = {"Authorization": shown.format(token)}
    answer = visit().client.post("/api/results", json=BRIX, headers=headers)
    assert answer.status_code == 401
    assert bench.trail("mixed_juice_brix") == []


def test_no_cookie_opens_the_way_of_instruments(ann, bench):
    assert ann.client.post("/api/results", json=BRIX).status_code == 401
    assert bench.trail("mixed_juice_brix") == []


def test_the_token_opens_nothing_else(visit, token, bench):
    client = visit().client
    headers = {"Authorization": f"Bearer {token}"}
    assert client.get(SHEET, headers=headers).status_code == 303
    assert client.post(SHEET, data={"result:cane": "1"}, headers=headers).status_code == 401
    assert visit().sign_in("refractometer-2", token).status_code == 422
    assert bench.trail("cane") == []


def test_only_a_hash_of_the_token_is_kept(visit, token, bench):
    with reading(bench.engine) as connection:
        everything = [connection.execute(select(t)).all() for t in tables.metadata.sorted_tables]
        told = connection.scalars(
            select(tables.event.c.content).where(tables.event.c.kind == "instrument")
        ).all()
    assert token not in str(everything)
    assert token not in visit("administrator").get("/instruments").text
    assert len(token) >= 43  # 256 bits
    assert json.loads(told[0]) == {
        "what": "token made", "name": "Refractometer 2", "measures": ["cane", "mixed_juice_brix"],
    }  # fmt: skip


def test_a_token_that_is_revoked_writes_no_more(visit, send, bench):
    ids(send(BRIX))
    administrator = visit("administrator")
    address = "/instruments/refractometer-2/revocation"
    assert administrator.post(address).status_code == 422
    assert administrator.post(address, {"sure": "yes"}).status_code == 303
    assert send(CANE).status_code == 401
    assert administrator.post(address, {"sure": "yes"}).status_code == 404
    assert "revoked" in administrator.get("/instruments").text
    assert bench.trail("mixed_juice_brix")[0].recorded_name == "Refractometer 2"


def test_its_page_says_what_it_may_write_and_when_it_last_did(app, visit, send):
    assert ">never<" in visit("administrator").get("/instruments").text
    app.state.clock = lambda: NOON + timedelta(hours=1)
    ids(send(BRIX))
    page = visit("administrator").get("/instruments").text
    assert "3 Jun 2026, 13:00" in page
    assert MEASURES["mixed_juice_brix"].title in page


@pytest.mark.parametrize(
    ("form", "words"),
    [
        ({"name": "Scale"}, "writes at least one measure or book"),
        ({"name": "Scale", "measure:nothing": "yes"}, "writes at least one measure or book"),
        ({"name": " ", "measure:cane": "yes"}, "has a user name and a printed name"),
        ({"name": "Ann Field", "measure:cane": "yes"}, "already printed as Ann Field"),
    ],
)
def test_what_is_wrong_with_a_new_instrument_is_said(visit, form, words):
    answer = visit("administrator").post("/instruments", form)
    assert answer.status_code == 422
    assert words in answer.text


@pytest.mark.parametrize("name", ["refractometer  2", "Refractometer 2", "ann"])
def test_a_name_that_is_taken_is_refused_as_a_name(visit, token, name):
    """Also that of an instrument which was revoked."""
    assert token
    for _ in range(2):
        answer = add(visit, name)
        assert answer.status_code == 422
        words = f"There is already an instrument or somebody called {' '.join(name.split())}."
        assert f'id="name-wrong">{words}<' in answer.text
        assert "user name" not in answer.text
        address = "/instruments/refractometer-2/revocation"
        visit("administrator").post(address, {"sure": "yes"})


def test_no_instrument_is_called_none(visit):
    """Exports say none where a person typed."""
    answer = add(visit, " None ")
    assert answer.status_code == 422
    assert "An instrument may not be called “none”." in answer.text


def test_only_what_this_mill_takes_is_offered(visit, bench):
    def offered():
        page = visit("administrator").get("/instruments").text
        return set(re.findall(r'name="measure:(\w+)"', page))

    before = offered()
    assert {"cane", "mixed_juice_brix", "bagasse_pol"} <= before < set(MEASURES)
    absent = {MEASURES[name].stream for name in set(MEASURES) - before}
    assert {"press_water", "sulphur"} <= absent
    with writing(bench.engine) as connection:
        mills.add_convention(
            connection, bench.mill, name="sulphitation", value="juice", source="the mill",
            since=bench.day, by=bench.ann, at=NOON,
        )  # fmt: skip
    assert {MEASURES[name].stream for name in offered() - before} >= {"sulphur"}


def test_an_instrument_is_no_person_to_look_after(visit, token):
    assert token
    administrator = visit("administrator")
    assert "Refractometer" not in administrator.get("/people").text
    for what in ("code", "role", "activation", "deactivation"):
        form = {"role": "administrator", "sure": "yes"}
        assert administrator.post(f"/people/refractometer-2/{what}", form).status_code == 404
