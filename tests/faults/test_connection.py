"""Where the connection to PostgreSQL breaks while a sheet is kept, sending it again is enough."""

import tempfile
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
from sqlalchemy import func, select
from sqlalchemy.exc import OperationalError
from starlette.testclient import TestClient

from app.database import open_database, reading
from app.ledger import soundness, tables
from app.main import create_app
from app.settings import Settings
from tests.bench import NOON
from tests.faults.proxy import AFTER, AT_ONCE, BEFORE, Proxy
from tests.faults.table import Row
from tests.web.conftest import Visitor

WHEN = (BEFORE, AT_ONCE, AFTER)
pytestmark = pytest.mark.parametrize("database_url", ["postgresql"], indirect=True)


@pytest.fixture
def proxy(database_url):
    with (
        tempfile.TemporaryDirectory() as folder,  # the address of a socket may not be long
        Proxy(Path(folder), database_url) as proxy,
    ):
        yield proxy


@pytest.fixture
def behind(bench, proxy):
    """The bench, which reaches its ledger through the proxy."""
    engine = open_database(proxy.address)
    yield replace(bench, engine=engine)
    engine.dispose()


@pytest.fixture
def ann(bench, proxy):
    """A chemist whose server reaches its ledger through the proxy."""
    assert bench.ann.username == "ann"
    app = create_app(Settings(database_url=proxy.address, clock=NOON, hosts="testserver"))
    with TestClient(app, follow_redirects=False) as client:
        visitor = Visitor(client)
        assert visitor.sign_in("ann").status_code == 303
        yield visitor
    app.state.engine.dispose()


def count(bench, table):
    with reading(bench.engine) as connection:
        return connection.scalar(select(func.count()).select_from(table))


def write_cut(behind, proxy, when, *cell, **where):
    """Write a cell while the connection is cut, then once more; returns the entry that stands."""
    proxy.cut = when
    with pytest.raises(OperationalError) as broken:
        behind.write(*cell, **where)
    assert broken.value.connection_invalidated
    return behind.write(*cell, **where)


@pytest.mark.parametrize("when", WHEN)
def test_cells_sent_again_after_the_connection_broke_count_once(
    bench, behind, proxy, when, often, shown
):
    """F-21: the client knows only what it knew before, and repeats just that."""
    times, entries = often(2, full=34), []
    for turn in range(times):
        there = {"day": bench.day + timedelta(days=turn)}
        first = write_cut(behind, proxy, when, "cane", "1250", **there)
        again = write_cut(behind, proxy, when, "cane", "1260", first.id, "swapped", **there)
        entries += [first, again]
        assert again.supersedes_id == first.id
    assert proxy.cuts == 2 * times
    kept = count(bench, tables.entry)
    how = f"connection to PostgreSQL cut at COMMIT, {when}"
    shown(Row("F-21", how, proxy.cuts, len(entries), len(entries) - kept))
    assert kept == len({entry.id for entry in entries}) == 2 * times
    assert bench.read(soundness.faults) == []


@pytest.mark.parametrize("when", WHEN)
def test_a_page_says_that_it_is_not_known_and_sending_it_again_counts_once(bench, ann, proxy, when):
    """F-21, B-48: a cell by itself, the whole sheet, and a form that has a key."""
    dose = {"from_ph": "5.5", "to_ph": "7.6", "dose": "0.71", "once": "a key"}
    for send in (
        lambda: ann.save("cane", "1250"),
        lambda: ann.save_sheet({"imbibition": "300"}),
        lambda: ann.post("/bench/lime-doses", dose),
    ):
        proxy.cut = when
        broken = send()
        assert broken.status_code == 502
        assert "Send it again: it counts once." in broken.text
        assert "Nothing was saved" not in broken.text
        assert send().status_code in (200, 303)
    assert proxy.cuts == 3
    assert count(bench, tables.entry) == 2
    assert count(bench, tables.lime_dose) == 1
    assert bench.read(soundness.faults) == []
