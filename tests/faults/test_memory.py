"""Where memory is short, making an archive fails alone, and says so."""

import os
import re
import resource
import subprocess
import sys
import zlib
from hashlib import sha256
from pathlib import Path

import pytest
from sqlalchemy import func, select

from app.database import open_database, reading, writing
from app.ledger import chain, mills, soundness, tables
from tests.bench import NOON
from tests.faults.kills import ROOT, found
from tests.faults.server import Server
from tests.faults.table import Row
from tests.keeping import add_administrator

FROZEN = bytes(100_000_000)  # what the archive has to hold, and there is no memory for
TO_SPARE = 60_000_000  # bytes: enough for pages and results, beside what the program has
ARCHIVE = "/seasons/2026/archive"


@pytest.fixture
def address(another, tmp_path):
    """A ledger with an issue that takes much memory."""
    address = another(tmp_path)
    engine = open_database(address)
    joan = add_administrator(engine)
    with writing(engine) as connection:
        season = mills.season_named(connection, mills.the_mill(connection), "2026")
        last = chain.head(connection)
        who = {"recorded_by": joan.id, "recorded_name": joan.printed_name, "recorded_at": NOON}
        issue = {
            "season_id": season.id, "day": season.first_day, "number": 1, "role": joan.role,
            "chain_number": last.number, "chain_hash": last.hash, **who,
        }  # fmt: skip
        by = {"by": joan, "at": NOON}
        issue_id = chain.add(connection, tables.issue, issue, **by)
        digest, packed = sha256(FROZEN).hexdigest(), zlib.compress(FROZEN)
        file = {"issue_id": issue_id, "name": "a.html", "sha256": digest, "packed": packed}
        chain.add(connection, tables.issue_file, file, **by)
    engine.dispose()
    return address


def counts(address):
    """Return how many entries and archives a ledger tells of, which has to be whole."""
    with found(address) as engine, reading(engine) as connection:
        assert soundness.faults(connection) == []
        exports = select(func.count()).where(tables.event.c.kind == "export")
        entries = select(func.count()).select_from(tables.entry)
        return connection.scalar(entries), connection.scalar(exports)


def limit(server, spare):
    """Let the server have so much memory more than it has; returns the limit there was."""
    status = Path(f"/proc/{server.pid}/status").read_text()
    held = 1024 * int(re.search(r"VmSize:\s+(\d+) kB", status).group(1))
    _, most = resource.prlimit(server.pid, resource.RLIMIT_AS)
    return resource.prlimit(server.pid, resource.RLIMIT_AS, (held + spare, most))


def test_a_server_without_memory_for_an_archive_goes_on(address, often, shown):
    """F-38: entry works beside it. The control is the same archive once there is memory."""
    times = often(1, full=10)
    with Server(address, {}) as server:
        ann, joan = server.visit(), server.visit("joan")
        assert ann.save("cane", "1250").status_code == 200
        assert ann.get("/days/2026-06-03").status_code == 200  # as on any day
        for turn in range(1, times + 1):
            usual = limit(server, TO_SPARE)
            failed = joan.post(ARCHIVE)
            assert failed.status_code == 500
            assert re.search(r"Tell your administrator: [0-9a-f]{8}", failed.text)
            corrected = ann.save("cane", str(1250 + turn), str(turn), reason="more")
            assert corrected.status_code == 200
            assert counts(address) == (1 + turn, turn - 1)
            resource.prlimit(server.pid, resource.RLIMIT_AS, usual)
            assert joan.post(ARCHIVE).status_code == 200
    kept, _ = counts(address)
    how = "server with no memory for an archive"
    shown(Row("F-38", how, times, 1 + times, 1 + times - kept))
    assert kept == 1 + times


COMMAND = """\
import resource, sys
import app.cli, app.exports.archive
held = int(open("/proc/self/statm").read().split()[0]) * resource.getpagesize()
resource.setrlimit(resource.RLIMIT_AS, (held + int(sys.argv[1]),) * 2)
sys.exit(app.cli.main(sys.argv[2:]))
"""


def archive(address, path, spare):
    """Run the command that makes an archive with memory to spare; returns its code and words."""
    ran = subprocess.run(
        [sys.executable, "-c", COMMAND, str(spare), "archive", "2026", path, "--by", "joan"],
        cwd=ROOT, env=os.environ | {"LEDGER_DATABASE_URL": address}, timeout=60,
        capture_output=True, text=True,
    )  # fmt: skip
    return ran.returncode, ran.stderr


def test_a_command_without_memory_for_an_archive_says_so(address, tmp_path, shown):
    """F-38: it leaves no half archive, and the ledger does not tell of one."""
    path = tmp_path / "season.zip"
    said = "mill-ledger: there is not enough memory for this\n"
    assert archive(address, path, TO_SPARE) == (2, said)
    assert not path.exists()
    assert counts(address) == (0, 0)
    assert archive(address, path, 100 * TO_SPARE) == (0, "")
    assert counts(address) == (0, 1)
    shown(Row("F-38", "command with no memory for an archive", 1, 0, 0, "whole; it says so"))
