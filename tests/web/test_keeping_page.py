"""The page that tells how the ledger is kept, and a fault that no restart makes forgotten."""

import json
import re

import pytest
from sqlalchemy import select

from app.database import reading, writing
from app.keeping import backups, signs, watch
from app.keeping.watch import Watch
from app.ledger import chain, soundness, tables
from tests.bench import NOON
from tests.keeping import unguarded


@pytest.fixture
def keeping(bench, app, monkeypatch):
    """The watch of the served ledger, which at the start looks at the last event alone."""
    monkeypatch.setattr(watch, "TAIL", 1)
    bench.write("cane", "1250")
    bench.write("lime", "1.5")
    app.state.watch = Watch(app.state.engine, app.state.clock)
    return app.state.watch


def type_anew(bench, typed, entry=1):
    with unguarded(bench.engine) as connection:
        connection.execute(f"UPDATE entry SET typed = '{typed}' WHERE id = {entry}")


def told(bench):
    """What the chain tells of faults: the kind, and how many."""
    kinds = tables.event.c.kind.in_((signs.FOUND, signs.WHOLE))
    query = select(tables.event.c.kind, tables.event.c.content).where(kinds)
    with reading(bench.engine) as connection:
        rows = connection.execute(query.order_by(tables.event.c.number))
        return [(row.kind, len(json.loads(row.content)["faults"])) for row in rows]


@pytest.mark.both_engines
def test_a_ledger_that_was_closed_is_closed_after_a_restart(bench, app, keeping):
    """A-25: though what is verified at the start does not reach the fault."""
    type_anew(bench, "9")
    keeping.verify()
    keeping.verify()
    assert told(bench) == [("fault found", 1)]
    again = Watch(app.state.engine, app.state.clock)
    assert again.verified.faults == ()
    assert "entry 1 is not as event" in again.closed
    type_anew(bench, "1250")
    assert again.closed
    again.verify()
    again.verify()
    assert again.closed == ""
    assert told(bench) == [("fault found", 1), ("found whole", 0)]
    assert Watch(app.state.engine, app.state.clock).closed == ""
    assert bench.read(soundness.faults) == []


def test_a_fault_that_was_accepted_does_not_close_after_a_restart(bench, app, keeping):
    type_anew(bench, "9")
    keeping.verify()
    with writing(bench.engine) as connection:
        found = keeping.verified.faults
        signs.accept(connection, found, reason="the disk failed", by=bench.ann, at=NOON)
    again = Watch(app.state.engine, app.state.clock)
    assert again.closed == ""
    type_anew(bench, "8", entry=2)
    again.verify()
    assert "entry 2 is not as event" in Watch(app.state.engine, app.state.clock).closed
    assert told(bench) == [("fault found", 1), ("fault found", 2)]


def test_the_end_of_the_chain_takes_back_no_fault_found_before_it(bench, app, keeping):
    type_anew(bench, "9")
    keeping.verify()
    monday = Watch(app.state.engine, app.state.clock)
    bench.write("imbibition", "100")
    assert monday.closed
    assert told(bench) == [("fault found", 1)]


def lines(page):
    """What the page tells: of each thing, how it stands and whether that is well."""
    row = r'<tr><th scope="row">(.*?)</th><td>(.*?)</td><td>(.*?)</td></tr>'
    return {title: (says, well) for title, says, well in re.findall(row, page)}


def test_the_page_tells_how_the_ledger_is_kept(visit, keeping):
    """B-16, B-22: by the mill's clock."""
    assert keeping.verified.faults == ()
    page = visit("manager").get("/status").text
    here = lines(page)
    says, well = here["Verified"]
    assert says.startswith("the end of the chain is sound; the whole ledger not checked yet")
    assert well == "not known yet"
    backup = "never. Make one a day: mill-ledger backup FOLDER"
    drill = "never. Try one each month: mill-ledger drill FOLDER"
    assert here["Last backup"] == (backup, "no")
    assert here["Last proven restore"] == (drill, "no")
    assert soundness.CANNOT in page
    assert "UTC" not in page
    assert here["Clock"][0].endswith("it is 3 Jun 2026, 12:00")
    assert "Verify the whole ledger now" not in page


def test_the_page_tells_what_was_done(visit, bench, keeping, tmp_path):
    """B-22: a backup, a drill, a verification, and what that found."""
    made = backups.back_up(bench.engine, tmp_path / "backups", at=NOON)
    for kind in ("backup", "drill"):
        backups.record(bench.engine, kind, made.path, made.head, NOON)
    administrator = visit("administrator")
    assert administrator.post("/status/verification").headers["location"] == "/status"
    here = lines(administrator.get("/status").text)
    assert re.fullmatch(
        r"sound; the whole ledger in [\d.]+ s, 3 Jun 2026, 12:00", here["Verified"][0]
    )
    when = f"3 Jun 2026, 12:00, up to event {made.head.number}: {made.path}"
    assert here["Last backup"] == here["Last proven restore"] == (when, "yes")
    assert here["End of the chain"][0] == bench.read(chain.head).short
    type_anew(bench, "9")
    administrator.post("/status/verification")
    page = administrator.get("/status").text
    assert lines(page)["Verified"][0].startswith("1 fault; the whole ledger in")
    assert lines(page)["Verified"][1] == lines(page)["Writing"][1] == "no"
    assert "Not as it was written" in page
    assert "mill-ledger restore FILE --replace" in page
    assert keeping.closed


def test_a_demonstration_asks_for_no_backup(visit, app):
    app.state.settings = app.state.settings.model_copy(update={"demo": True})
    here = lines(visit("manager").get("/status").text)
    says = "never. None is asked for in a demonstration"
    assert here["Last backup"] == here["Last proven restore"] == (says, "–")


def test_a_fault_found_before_the_start_is_listed(visit, bench, app, keeping):
    type_anew(bench, "9")
    keeping.verify()
    app.state.watch = Watch(app.state.engine, app.state.clock)
    assert "<li>entry 1 is not as event" in visit("manager").get("/status").text
