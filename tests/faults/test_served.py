"""A server whose disk fails refuses what it cannot keep, says so, and goes on with the rest."""

import re
import sqlite3
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing

import httpx2
import pytest
from sqlalchemy import make_url, select

from app.database import reading
from app.ledger import soundness, tables
from tests.faults.kills import found
from tests.faults.server import Server
from tests.faults.table import Row
from tests.web.conftest import SHEET

REFERENCE = r"Nothing was saved\. Tell your administrator: [0-9a-f]{8}\."


@pytest.fixture
def address(another, disk):
    return another(disk.data)


@pytest.fixture
def server(address, disk):
    with Server(address, disk.environment) as server:
        yield server


@pytest.fixture
def entries(address):
    """Return all entries, as (measure, typed), after asserting that the ledger is whole."""

    def entries():
        with found(address) as engine, reading(engine) as connection:
            assert soundness.faults(connection) == []
            c = tables.entry.c
            rows = connection.execute(select(c.measure, c.typed).order_by(c.id))
            return [tuple(row) for row in rows]

    return entries


def test_what_cannot_be_flushed_is_not_called_saved(server, disk, entries, shown):
    """F-05, B-11: what was acknowledged before and after stays, also when the power goes."""
    ann = server.visit()
    assert ann.save("cane", "1250").status_code == 200
    disk.fault("flush fails")
    cell, sheet = ann.save("imbibition", "300"), ann.save_sheet({"imbibition": "301"})
    disk.fault("")
    for refused in (cell, sheet):
        assert refused.status_code == 500
        assert re.search(REFERENCE, refused.text)
    assert 'name="result:imbibition" value="301"' in sheet.text  # kept to be sent again
    assert ann.save("mixed_juice", "1200").status_code == 200
    server.kill()
    disk.cut()
    kept = entries()
    lost = {("cane", "1250"), ("mixed_juice", "1200")} - set(kept)
    shown(Row("F-05", "flush fails with EIO, then the power goes", 2, 2, len(lost)))
    assert kept == [("cane", "1250"), ("mixed_juice", "1200")]


def pages_of(address, table):
    """Return from which byte to which a table of few rows lies in its file."""
    with closing(sqlite3.connect(make_url(address).database)) as connection:
        query = "SELECT rootpage FROM sqlite_master WHERE name = ?"
        (page,) = connection.execute(query, (table,)).fetchone()
        (size,) = connection.execute("PRAGMA page_size").fetchone()
        # another writer, so that nobody goes by what they read before
        connection.execute("PRAGMA user_version = 1")
    return (page - 1) * size, page * size


def test_what_cannot_be_read_fails_alone(server, disk, address, entries, shown):
    """F-06: the page that needs it fails with a reference, all others answer."""
    ann = server.visit()
    first, last = pages_of(address, "lime_dose")
    disk.fault(f"read fails {first} {last}")
    failed = ann.get("/bench")
    others = [ann.get(SHEET), ann.get("/"), ann.save("cane", "1250")]
    disk.fault("")
    assert failed.status_code == 500
    assert re.search(REFERENCE, failed.text)
    assert [answer.status_code for answer in others] == [200, 200, 200]
    assert ann.get("/bench").status_code == 200
    kept = entries()
    shown(Row("F-06", "reads of one table fail with EIO", 1, 1, 1 - len(kept)))
    assert kept == [("cane", "1250")]


def test_what_takes_long_to_flush_is_written_once(server, disk, entries, shown):
    """F-07: two windows send the same, and somebody gives up and sends it again."""
    ann = server.visit()
    assert ann.save("cane", "1250").status_code == 200
    disk.fault("flush slow")
    with ThreadPoolExecutor(2) as threads:
        answers = threads.map(lambda _: ann.save("imbibition", "300"), range(2))
        assert [answer.status_code for answer in answers] == [200, 200]
    patient, ann.client.timeout = ann.client.timeout, httpx2.Timeout(0.5)
    with pytest.raises(httpx2.ReadTimeout):
        ann.save("mixed_juice", "1200")
    ann.client.timeout = patient
    assert ann.save("mixed_juice", "1200").status_code == 200
    server.kill()
    disk.cut()
    kept = entries()
    wanted = [("cane", "1250"), ("imbibition", "300"), ("mixed_juice", "1200")]
    shown(Row("F-07", "flush of 2 s, cells sent twice", 2, 3, len(set(wanted) - set(kept))))
    assert kept == wanted
