"""What cannot be kept for now is refused in plain words, and what was typed stays to be sent."""

import pytest
from sqlalchemy import event

from app import locks
from app.database import writing
from app.ledger import soundness
from tests.web.conftest import SHEET


@pytest.fixture
def room(app):
    """How many pages the file may have: no more than it has, where that is more."""
    room = {"pages": 10**6}

    def limit(connection, *_):
        connection.execute(f"PRAGMA max_page_count = {room['pages']}")

    event.listen(app.state.engine, "checkout", limit)
    return room


def test_a_full_disk_refuses_in_plain_words_and_goes_on_when_there_is_room(ann, bench, visit, room):
    """F-08, B-15: what was typed stays on the page; no restart is needed."""
    assert ann.save("cane", "1250").status_code == 200
    room["pages"] = 1
    for n in range(100):
        kept = bench.trail("cane")
        answer = ann.save("cane", f"1{n}", kept[-1].id, reason="x" * 200)
        if answer.status_code != 200:
            break
    assert answer.status_code == 507
    assert "The disk of the ledger is full" in answer.text
    page = ann.save_sheet({"imbibition": "150"}, **{"note": "x" * 90})
    assert page.status_code == 507
    assert 'name="result:imbibition" value="150"' in page.text
    assert 'name="once"' in page.text
    assert ann.get(SHEET).status_code == 200
    assert bench.trail("cane") == kept
    assert bench.trail("imbibition") == []
    room["pages"] = 10**6
    assert ann.save("imbibition", "150").status_code == 200
    assert bench.read(soundness.faults) == []
    assert visit().get("/health").text == "ok"


def test_somebody_who_writes_for_too_long_is_told_of_plainly(ann, bench, monkeypatch):
    """F-20."""
    monkeypatch.setattr(locks, "PATIENCE", 0.2)
    with writing(bench.engine):
        answer = ann.save("cane", "1250")
        page = ann.save_sheet({"imbibition": "150"})
    assert (answer.status_code, page.status_code) == (503, 503)
    assert "Somebody else was writing for too long. Send it again." in answer.text
    assert 'name="result:imbibition" value="150"' in page.text
    assert bench.trail("cane") == []
