"""While it is served the ledger watches itself, says what ails it, takes nothing when unsure."""

import json
import re
import shutil
import time
from collections import namedtuple
from datetime import timedelta

import pytest
from sqlalchemy import select

from app.database import file_of, reading, writing
from app.keeping import backups, signs, watch
from app.keeping.watch import Watch
from app.ledger import chain, soundness, tables
from app.main import create_app
from app.settings import Settings
from tests.bench import NOON
from tests.keeping import unguarded
from tests.web.conftest import SHEET

Disk = namedtuple("Disk", "total used free")


class Clock:
    """A clock that a test sets."""

    now, steady = NOON, 0.0

    def __call__(self):
        return self.now


@pytest.fixture
def clock(monkeypatch):
    """A clock, and beside it steady seconds that stand still unless told."""
    clock = Clock()
    monkeypatch.setattr(watch, "_steady", lambda: clock.steady)
    return clock


@pytest.fixture
def real(app, clock):
    """The watch of the served ledger, as with a clock that is not invented."""
    app.state.clock = clock
    app.state.watch = Watch(app.state.engine, clock)
    return app.state.watch


def tamper(bench):
    bench.write("cane", "1250")
    with unguarded(bench.engine) as connection:
        connection.execute("UPDATE entry SET typed = '9' WHERE id = 1")


def notices(page):
    return re.findall(r'<div class="notice" role="status">(.*?)</div>', page.text)


def test_a_fault_closes_the_ledger_for_writing_but_not_for_reading(ann, visit, bench, real):
    """A-25, B-16: with plain words, on every page; a repair opens it again."""
    assert ann.save("imbibition", "100").status_code == 200
    tamper(bench)
    real.verify()
    refused = ann.save("cane", "1300")
    assert refused.status_code == 503
    assert "Nothing can be written for now" in refused.text
    assert "entry 1 is not as event" in refused.text
    for page in (ann.get(SHEET), ann.get("/"), ann.get("/manual")):
        assert page.status_code == 200
        assert "Nothing can be written for now" in notices(page)[0]
    assert visit("bob").get("/").status_code == 200  # who signs in still reads
    assert visit().get("/health").status_code == 503
    with unguarded(bench.engine) as connection:
        connection.execute("UPDATE entry SET typed = '100' WHERE id = 1")
    real.verify()
    assert notices(ann.get("/")) == []
    assert ann.save("lime", "1.5").status_code == 200


def test_what_was_typed_stays_on_the_page_that_refuses_it(ann, bench, real):
    tamper(bench)
    real.verify()
    refused = ann.save_sheet({"mixed_juice": "5580", "mixed_juice_brix": "14,2"})
    assert refused.status_code == 503
    assert 'name="result:mixed_juice_brix" value="14,2"' in refused.text
    assert "mixed juice: <strong>5580</strong>" in refused.text
    assert f'action="{SHEET}"' in refused.text


def test_the_end_of_the_chain_is_verified_before_the_first_page(
    bench, database_url, app, monkeypatch
):
    monkeypatch.setattr(watch, "TAIL", 1)
    tamper(bench)
    opened = create_app(Settings(database_url=database_url, clock=NOON))
    assert "entry 1 is not as event" in opened.state.watch.closed
    assert not opened.state.watch.verified.whole
    opened.state.engine.dispose()
    assert app.state.watch.closed == ""  # until it looks again


def test_an_accepted_fault_lets_writing_go_on_under_a_banner(ann, bench, real):
    """A-25: and a further fault closes the ledger again."""
    tamper(bench)
    real.verify()
    assert real.closed
    with writing(bench.engine) as connection:
        found = real.verified.faults
        signs.accept(connection, found, reason="the disk failed", by=bench.ann, at=NOON)
    real.look_around()
    assert ann.save("lime", "1.5").status_code == 200
    banner = "Faults of this ledger were accepted by Ann Field on 3 June 2026: the disk failed"
    assert notices(ann.get("/")) == [banner]
    with unguarded(bench.engine) as connection:
        connection.execute("UPDATE entry SET typed = '8' WHERE measure = 'lime'")
    real.verify()
    assert "entry 2 is not as event" in real.closed


def test_little_space_is_told_early(ann, visit, real, monkeypatch):
    """B-15: under the larger of a tenth and 500 MB."""
    for total, free, low in (
        (10**12, 101 * 10**9, False), (10**12, 99 * 10**9, True),
        (2 * 10**9, 501 * 10**6, False), (2 * 10**9, 499 * 10**6, True),
    ):  # fmt: skip
        monkeypatch.setattr(shutil, "disk_usage", lambda _, t=total, f=free: Disk(t, t - f, f))
        assert bool(real.disk_is_low()) == low
        assert ["nearly full" in notice for notice in notices(ann.get("/"))] == [True] * low
        assert ("disk: " in visit().get("/health").text) == low


def clock_events(bench):
    e = tables.event.c
    with reading(bench.engine) as connection:
        told = select(e.content).where(e.kind == signs.CLOCK).order_by(e.number)
        return [json.loads(content)["says"] for content in connection.scalars(told)]


@pytest.mark.parametrize(
    ("step", "says"),
    [
        (timedelta(hours=-3), "The clock was changed by -180 minutes"),
        (timedelta(days=2), "The clock was changed by +2880 minutes"),
        (timedelta(minutes=-2, seconds=-1), "The clock was changed by -2 minutes"),
    ],
)
def test_a_changed_clock_is_noticed_and_shown_for_a_day(ann, bench, real, clock, step, says):
    """A-54, F-22: writing goes on, in the order of the numbers."""
    bench.write("cane", "1250")
    real.look_around()
    assert clock_events(bench) == []
    clock.now += step
    real.look_around()
    clock.now += timedelta(minutes=1)
    clock.steady += 60
    real.look_around()
    assert clock_events(bench) == [says]
    with writing(bench.engine) as connection:
        written = chain.tell(connection, "export", {}, by=bench.ann, at=clock.now)
    told = f"{says}. Events keep their order; look at the times beside them."
    assert real.notices("chemist") == [told]
    if step < timedelta(0):  # else the sign-in is over
        assert notices(ann.get("/manual")) == [told]
    assert bench.read(chain.head) == written
    assert bench.read(soundness.faults) == []
    clock.now += timedelta(hours=24)
    assert not any("clock" in notice for notice in real.notices("chemist"))


def test_a_clock_behind_the_last_event_at_the_start_is_noticed(bench, clock):
    """F-24."""
    bench.write("cane", "1250")
    clock.now = NOON - timedelta(minutes=90)
    Watch(bench.engine, clock)
    assert clock_events(bench) == ["The clock is 90 minutes behind the last event"]


def test_a_clock_that_runs_on_is_not_noticed(bench, real, clock):
    for minutes in (1, 30, 600):
        clock.now += timedelta(minutes=minutes)
        clock.steady += minutes * 60 + 100  # drifts, but by less than two minutes
        real.look_around()
    assert clock_events(bench) == []


def test_managers_and_administrators_see_that_a_backup_is_due(visit, bench, real, clock, tmp_path):
    """B-25: after 26 hours, on every page, until one is made."""
    assert real.backup_is_due() == ""
    clock.now, clock.steady = NOON + timedelta(hours=27), 27 * 3600
    for who, told in (("manager", 1), ("administrator", 1), ("ann", 0), ("auditor", 0)):
        visitor = visit(who)
        for address in ("/manual", "/bench"):
            found = notices(visitor.get(address))
            assert ["There was no backup for 27 hours" in n for n in found] == [True] * told
    assert "backup: There was no backup" in visit().get("/health").text
    made = backups.back_up(bench.engine, tmp_path / "backups", at=clock.now)
    backups.record(bench.engine, "backup", made.path, made.head, clock.now)
    real.look_around()
    assert notices(visit("manager").get("/manual")) == []
    assert visit().get("/health").text == "ok"


def test_nobody_is_told_of_backups_in_a_demonstration(bench, clock):
    clock.now += timedelta(days=99)
    assert Watch(bench.engine, clock, invented=True).backup_is_due() == ""


@pytest.mark.parametrize("who", ["ann", "chief", "auditor", "manager"])
def test_only_those_who_keep_the_ledger_see_how_it_is_kept(visit, who):
    visitor = visit(who)
    assert visitor.get("/status").status_code == (200 if who == "manager" else 403)
    assert visitor.post("/status/verification").status_code == 403


@pytest.mark.parametrize(("name", "broken"), [("reading", "reading"), ("writing", "writing")])
def test_what_ails_the_ledger_is_named(visit, app, monkeypatch, name, broken):
    """B-17."""

    def fails(_):
        raise OSError("broken")

    assert visit().get("/health").text == "ok"
    monkeypatch.setattr(watch, broken, fails)
    answer = visit().get("/health")
    assert answer.status_code == 503
    assert answer.text.startswith(f"{name}: failed: OSError")
    assert app.state.watch.ails().keys() >= {name}


def test_asking_how_the_ledger_is_changes_nothing(visit, bench):
    """B-80: though it is tried whether it can be written."""

    def everything():
        with reading(bench.engine) as connection:
            return {
                table.name: connection.execute(select(table)).all()
                for table in tables.metadata.sorted_tables
                if table.name != "sign_in"
            }

    folder = file_of(bench.engine).parent
    before, files = everything(), sorted(path.name for path in folder.iterdir())
    assert visit().get("/health").text == "ok"
    assert everything() == before
    assert sorted(path.name for path in folder.iterdir()) == files


def test_the_watch_goes_on_while_the_ledger_is_served(bench, clock, monkeypatch):
    """A-25: the whole ledger soon after the start, and again after a day."""
    monkeypatch.setattr(watch, "_WHOLE_AFTER", 0.01)
    monkeypatch.setattr(watch, "_LOOK_EVERY", 0.01)
    monkeypatch.setattr(watch, "TAIL", 1)
    keeping, looked = Watch(bench.engine, clock), [0]
    look_around = keeping.look_around

    def look():
        look_around()
        looked[0] += 1

    monkeypatch.setattr(keeping, "look_around", look)
    assert not keeping.verified.whole
    keeping.start()
    try:
        assert soon(lambda: keeping.verified.whole)
        tamper(bench)
        looks = looked[0]
        assert soon(lambda: looked[0] >= looks + 3)
        assert keeping.closed == ""
        clock.steady += 25 * 3600
        clock.now += timedelta(hours=25)
        assert soon(lambda: keeping.closed)
    finally:
        keeping.stop()


def soon(true):
    until = time.monotonic() + 5
    while time.monotonic() < until and not true():
        time.sleep(0.01)
    return true()
