"""Every connection keeps the rules of SQLite that a ledger needs, and writers take turns."""

import os
import resource
import signal
import sys
from contextlib import ExitStack
from subprocess import PIPE, Popen
from threading import Event, Thread, Timer

import pytest
from sqlalchemy.exc import OperationalError

from app import locks
from app.database import PRAGMAS, Unfit, file_of, reading, writing
from app.ledger import soundness, tables
from app.locks import Busy, turn


def said(connection, name):
    return connection.exec_driver_sql(f"PRAGMA {name}").scalar()


@pytest.mark.parametrize("way", [reading, writing])
def test_every_connection_keeps_the_rules(engine, way):
    """B-01, B-04: read back on many connections at once; who reads cannot write or checkpoint."""
    with ExitStack() as open_ones:
        connections = [open_ones.enter_context(reading(engine)) for _ in range(10)]
        connections.append(open_ones.enter_context(way(engine)))
        for connection in connections:
            assert {name: said(connection, name) for name in PRAGMAS} == PRAGMAS
        readers = connections if way is reading else connections[:-1]
        assert {said(each, "query_only") for each in readers} == {1}
        assert {said(each, "wal_autocheckpoint") for each in readers} == {0}
        if way is writing:
            assert said(connections[-1], "query_only") == 0
            assert said(connections[-1], "wal_autocheckpoint") == 1000


def test_who_reads_cannot_write(bench):
    with pytest.raises(OperationalError, match="readonly"), reading(bench.engine) as connection:
        connection.execute(tables.sign_in_failure.delete())


@pytest.mark.parametrize("name", sorted(PRAGMAS))
def test_a_setting_that_is_not_taken_stops_the_ledger(engine, monkeypatch, name):
    """B-01."""
    monkeypatch.setitem(PRAGMAS, name, "never")
    with pytest.raises(Unfit, match=f"does not take the setting {name} = never"), reading(engine):
        pass


def test_writers_of_other_programs_are_waited_for_and_then_named(bench, monkeypatch):
    """F-20: one second is waited for; one that goes on is given up."""
    path = file_of(bench.engine)
    held, release = Event(), Event()

    def hold():
        with turn(path):
            held.set()
            release.wait(10)

    for seconds, patience in ((0.3, 5.0), (10, 0.2)):
        monkeypatch.setattr(locks, "PATIENCE", patience)
        held.clear()
        release.clear()
        holder = Thread(target=hold)
        holder.start()
        held.wait()
        timer = Timer(seconds, release.set)
        timer.start()
        if patience > seconds:
            bench.write("cane", "1250")
        else:
            with pytest.raises(Busy):
                bench.write("lime", "1")
        release.set()
        timer.cancel()
        holder.join()
    assert len(bench.trail("cane")) == 1


def test_another_process_takes_its_turn(bench, monkeypatch):
    """B-04: the lock holds between processes, and is let go of when its holder is killed."""
    path = file_of(bench.engine)
    program = "from app.locks import turn; from pathlib import Path; import time\n"
    program += f"with turn(Path({str(path)!r})): print('held', flush=True); time.sleep(30)"
    with Popen([sys.executable, "-c", program], stdout=PIPE, text=True) as other:
        assert other.stdout.readline() == "held\n"
        monkeypatch.setattr(locks, "PATIENCE", 0.2)
        with pytest.raises(Busy, match="Another program"):
            bench.write("cane", "1250")
        other.kill()
    assert bench.write("cane", "1250").id == 1


def test_a_file_that_may_not_grow_stays_whole(bench):
    """F-09, M10: the system refuses a process more of a file; what was confirmed is kept."""
    path = file_of(bench.engine)
    bench.write("cane", "1250")
    bench.engine.dispose()
    child = os.fork()
    if child == 0:
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        size = path.stat().st_size
        resource.setrlimit(resource.RLIMIT_FSIZE, (size, size))
        try:
            for n in range(10_000):
                standing = bench.trail("cane")[-1]
                bench.write("cane", f"{n}", standing.id, "more")
        except OperationalError as problem:
            os._exit(7 if "full" in str(problem) or "I/O" in str(problem) else 8)
        finally:
            os._exit(9)
    assert os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 7
    trail = bench.trail("cane")
    assert bench.read(soundness.faults) == []
    assert bench.write("cane", "1300", trail[-1].id, "room again").id == trail[-1].id + 1
