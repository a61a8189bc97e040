"""What happens while a table is brought in: others accept it too, leave, or keep on writing."""

import time

import pytest
from sqlalchemy import event

from app.database import writing
from app.ledger import instruments
from app.ledger.people import deactivate, person_named
from app.locks import Busy
from app.web import api, uploads
from tests.bench import NOON
from tests.importing import LATER, season
from tests.web.test_imports import checked, fields, send, settled, sheet

SAME = season(3)


@pytest.fixture
def rosa(app, visit):
    app.state.clock = lambda: LATER
    return visit("ann")


def test_who_is_told_that_nothing_was_saved_finds_nothing_saved(app, bench, rosa):
    """The answer was not kept, so the work that it promises must not begin."""

    def fails(connection):
        if connection.get_execution_options().get("writing"):
            raise Busy("Others are writing")

    address = send(rosa, SAME).headers["location"]
    form = fields(rosa.get(address))
    event.listen(app.state.engine, "commit", fails)
    assert rosa.post(f"{address}/columns", form).status_code == 503
    event.remove(app.state.engine, "commit", fails)
    assert "What it would do" not in settled(rosa, address).text
    rosa.post(f"{address}/columns", form)
    settled(rosa, address)
    event.listen(app.state.engine, "commit", fails)
    assert rosa.post(f"{address}/acceptance").status_code == 503
    event.remove(app.state.engine, "commit", fails)
    assert "Accept: write all 6" in settled(rosa, address).text
    assert sheet(bench) == {}


def test_two_who_accept_the_same_table_write_it_once(rosa, visit):
    bob = visit("bob")
    one, other = checked(rosa, SAME)[0], checked(bob, SAME)[0]
    rosa.post(f"{one}/acceptance")
    assert "6 were written." in settled(rosa, one).text
    bob.post(f"{other}/acceptance")
    page = settled(bob, other)
    assert page.status_code == 200
    assert "0 were written. 6 were there already." in page.text
    assert "Each says in its trail" not in page.text


def test_who_is_deactivated_while_others_write_brings_nothing_in(bench, rosa, monkeypatch):
    address = checked(rosa, SAME)[0]

    def left_first(engine):
        with writing(engine) as connection:
            ann = person_named(connection, "ann")
            deactivate(connection, ann, by=bench.ann, at=LATER)
        return writing(engine)

    upload = next(iter(rosa.client.app.state.uploads._kept.values()))
    monkeypatch.setattr(uploads, "writing", left_first)
    rosa.post(f"{address}/acceptance")
    for _look in range(200):
        time.sleep(0.05 * upload.busy)
    assert upload.trouble == "Nothing was written: you may not write here any more"
    assert sheet(bench) == {}


@pytest.mark.parametrize("way", ["results", "records"])
def test_a_token_that_is_revoked_while_others_write_writes_no_more(bench, visit, way, monkeypatch):
    with writing(bench.engine) as connection:
        scale, token = instruments.add_instrument(
            connection, name="Scale", measures=["cane"], books=["stops"], by=bench.ann, at=NOON
        )
    read = api.read_json

    def revoked_first(body, kind):
        with writing(bench.engine) as connection:
            instruments.revoke(connection, scale, by=bench.ann, at=NOON)
        return read(body, kind)

    monkeypatch.setattr(api, "read_json", revoked_first)
    client, header = visit().client, {"Authorization": f"Bearer {token}"}
    answer = client.post(f"/api/{way}", json=[], headers=header)
    assert answer.status_code == 401
    assert "no instrument that may write here" in answer.text


def test_a_blank_result_of_a_program_is_refused_in_words(bench, visit):
    with writing(bench.engine) as connection:
        _scale, token = instruments.add_instrument(
            connection, name="Scale", measures=["cane"], by=bench.ann, at=NOON
        )
    sent = {"measure": "cane", "typed": "\u2003", "day": "2026-06-03", "shift": 1}
    header = {"Authorization": f"Bearer {token}"}
    answer = visit().client.post("/api/results", json=sent, headers=header)
    assert answer.status_code == 422
    assert answer.json()["problems"] == ["typed: it is blank"]
