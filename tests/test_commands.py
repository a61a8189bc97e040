"""The commands that set up, serve, verify and keep the ledger, as typed at a prompt."""

import re
import shutil
import signal
import sqlite3
import subprocess
import sys
import time
import urllib.request
from contextlib import closing, suppress
from datetime import UTC, datetime
from pathlib import Path
from socket import socket

import pytest
from alembic import command
from sqlalchemy import select

from app.database import file_of, migrations, reading, rebuilding
from app.keeping import backups
from app.ledger import chain, soundness, tables
from tests.keeping import add_administrator, fill, unguarded

INIT = (
    "init", "--mill", "Our mill", "--zone", "Africa/Nairobi", "--season", "2027",
    "--first-day", "2027-06-01", "--administrator", "joan",
)  # fmt: skip


def ledger(*arguments, typed=""):
    return subprocess.run(
        [sys.executable, "-m", "app.cli", *map(str, arguments)],
        input=typed, capture_output=True, text=True, check=False,
    )  # fmt: skip


@pytest.fixture
def kept(bench, database_url, monkeypatch):
    """A filled ledger, with an administrator, that commands reach."""
    fill(bench)
    add_administrator(bench.engine)
    monkeypatch.setenv("LEDGER_DATABASE_URL", database_url)
    return bench


def head_of(bench):
    return bench.read(chain.head)


def kept_in_ledger(bench):
    with reading(bench.engine) as connection:
        return connection.execute(select(tables.backup).order_by(tables.backup.c.id)).all()


def test_a_new_ledger_has_an_administrator_without_a_password(tmp_path, monkeypatch):
    """B-74: a code is printed, which works once, within an hour."""
    path = tmp_path / "ledger.db"
    monkeypatch.setenv("LEDGER_DATABASE_URL", f"sqlite:///{path}")
    run = ledger(*INIT)
    assert (run.returncode, run.stderr) == (0, "")
    code = run.stdout.splitlines()[2].strip()
    assert run.stdout.splitlines()[3].strip().endswith("/set-password")
    with closing(sqlite3.connect(path)) as plain:
        assert plain.execute("SELECT username, password_hash FROM person").fetchall() == [
            ("joan", None)
        ]
        assert code not in "".join(plain.iterdump())
    again = ledger("code", "joan").stdout.splitlines()[1].strip()
    assert again != code
    assert ledger("code", "eve").returncode == 2
    assert "kept for Our mill already" in ledger(*INIT).stderr
    assert ledger("verify").stdout.startswith("0 faults")


@pytest.mark.both_engines
def test_verify_answers_with_what_it_found(kept):
    """A-23 to A-27 by command: 0 sound, 1 with the first event, 2 for what cannot be read."""
    head = head_of(kept)
    sound = ledger("verify", "--anchor", head.short)
    assert sound.returncode == 0
    assert f"The chain ends at {head.short}, 2026-06-03 17:00 UTC" in sound.stdout
    assert sound.stdout.endswith(f"{soundness.CANNOT}\n")
    short = ledger("verify", "--anchor", f"{head.number + 9}:{head.hash}")
    assert short.returncode == 1
    assert f"Events {head.number + 1} to {head.number + 9} are missing" in short.stdout
    assert ledger("verify", "--anchor", "12").returncode == 2
    with unguarded(kept.engine) as connection:
        connection.execute("UPDATE entry SET typed = '9' WHERE id = 1")
    wrong = ledger("verify")
    assert wrong.returncode == 1
    assert wrong.stdout.startswith("entry 1 is not as event")


@pytest.mark.both_engines
def test_backup_and_drill_are_noted_in_the_ledger(kept, tmp_path):
    """B-20, B-22, B-25."""
    (tmp_path / "device").mkdir()
    run = ledger("backup", tmp_path / "backups", "--also", tmp_path / "device")
    assert (run.returncode, run.stderr) == (0, "")
    [one] = (tmp_path / "backups").iterdir()
    [other] = (tmp_path / "device").iterdir()
    assert ledger("verify", one).stdout.startswith("0 faults")
    assert ledger("drill", tmp_path / "backups").returncode == 0
    head = head_of(kept)
    assert [(row.place, row.kind, row.chain_number) for row in kept_in_ledger(kept)] == [
        (str(one), "backup", head.number),
        (str(other), "backup", head.number),
        (str(one), "drill", head.number),
    ]
    gone = ledger("backup", tmp_path / "backups", "--also", tmp_path / "nowhere")
    assert gone.returncode == 2
    assert "is the second device there" in gone.stderr


def test_drill_says_with_its_status_that_a_backup_is_not_sound(kept, tmp_path):
    assert ledger("backup", tmp_path).returncode == 0
    [one] = tmp_path.glob("mill-ledger-*.db")
    with closing(sqlite3.connect(one)) as plain:
        plain.execute("DROP TRIGGER entry_no_update")
        plain.execute("UPDATE entry SET typed = '9' WHERE id = 1")
        plain.commit()
    run = ledger("drill", tmp_path)
    assert run.returncode == 1
    assert "entry 1 is not as event" in run.stderr
    assert [row.kind for row in kept_in_ledger(kept)] == ["backup"]


def test_restore_asks_for_the_mill_s_name_and_names_what_is_lost(kept, tmp_path):
    """A-26, B-26, F-41."""
    ledger("backup", tmp_path / "backups")
    [backup] = (tmp_path / "backups").iterdir()
    before = head_of(kept)
    kept.write("lime", "1.5")
    kept.engine.dispose()
    lost = f"Events {before.number + 1} to {before.number + 1} of the present ledger"
    for arguments, words in (
        ((), "To replace it: --replace"),
        (("--replace",), "Nobody is there to ask"),
        (("--replace", "--yes-replace", "Willow"), "Willow is not Willow Bend"),
    ):
        run = ledger("restore", backup, *arguments)
        assert run.returncode == 2
        assert words in run.stderr
        assert lost in run.stdout
    assert head_of(kept).number == before.number + 1
    kept.engine.dispose()
    run = ledger("restore", backup, "--replace", "--yes-replace", "Willow Bend")
    assert (run.returncode, run.stderr) == (0, "")
    assert head_of(kept) == before
    [safe] = tmp_path.glob("ledger-before-*.db")
    assert f"{before.number + 1} events" in ledger("verify", safe).stdout


def test_restore_refuses_another_mill_s_file_unless_told(kept, tmp_path, migrated):
    """F-41."""
    other = f"sqlite:///{shutil.copy(migrated, tmp_path / 'other.db')}"
    with pytest.MonkeyPatch.context() as elsewhere:
        elsewhere.setenv("LEDGER_DATABASE_URL", other)
        assert "kept" not in ledger(*INIT).stderr
        ledger("backup", tmp_path / "others")
    [backup] = (tmp_path / "others").iterdir()
    sure = ("--replace", "--yes-replace", "Willow Bend")
    run = ledger("restore", backup, *sure)
    assert run.returncode == 2
    assert "The backup is of Our mill" in run.stderr
    kept.engine.dispose()
    assert ledger("restore", backup, *sure, "--another-ledger").returncode == 0
    assert "Our mill" in ledger("restore", backup).stdout


@pytest.mark.both_engines
def test_upgrade_makes_a_backup_first(kept, tmp_path):
    """B-35, B-39."""
    assert ledger("upgrade").stdout == "The ledger is up to date\n"
    with rebuilding(kept.engine) as connection:
        command.downgrade(migrations(connection), "uncertainty")
    old = ledger("verify")
    assert old.returncode == 2
    assert "Run: mill-ledger upgrade" in old.stderr
    run = ledger("upgrade", "--folder", tmp_path / "before")
    assert (run.returncode, run.stderr) == (0, "")
    [backup] = (tmp_path / "before").iterdir()
    assert ledger("verify").returncode == ledger("verify", backup).returncode == 0
    assert [row.place for row in kept_in_ledger(kept)] == [str(backup)]


def free_port():
    with closing(socket()) as tried:
        tried.bind(("127.0.0.1", 0))
        return tried.getsockname()[1]


@pytest.fixture
def serve():
    """Start servers: gives what runs, its port and whether it answered."""
    running = []

    def begin(*arguments):
        port = free_port()
        server = subprocess.Popen(
            [sys.executable, "-m", "app.cli", "serve", "--port", str(port), *arguments],
            stderr=subprocess.PIPE, text=True,
        )  # fmt: skip
        running.append(server)
        return server, port

    yield begin
    for server in running:
        server.kill()
        server.communicate()


def health(server, port):
    until = time.monotonic() + 20
    while time.monotonic() < until and server.poll() is None:
        with suppress(OSError):
            return urllib.request.urlopen(f"http://127.0.0.1:{port}/health").read().decode()
        time.sleep(0.05)
    return None


def note_a_backup(bench):
    """Let there be a backup of this minute, so that none is due."""
    backups.record(bench.engine, "backup", Path("somewhere"), head_of(bench), datetime.now(UTC))


def test_a_second_server_is_refused_and_the_first_goes_on(kept, serve):
    """B-05, F-19; B-18: told to end, it ends well."""
    note_a_backup(kept)
    first, port = serve()
    assert health(first, port) == "ok"
    began = time.monotonic()
    second, _ = serve()
    _, said = second.communicate(timeout=10)
    assert time.monotonic() - began < 5
    assert second.returncode == 2
    assert f"is in use already, by process {first.pid} on" in said
    assert health(first, port) == "ok"
    first.send_signal(signal.SIGTERM)
    assert first.wait(10) == 0


def test_what_is_not_fit_is_not_served(kept, serve):
    """F-13, F-15: and nothing is made in its place."""
    path = file_of(kept.engine)
    kept.engine.dispose()
    path.write_bytes(b"damaged" * 999)
    server, _ = serve()
    _, said = server.communicate(timeout=10)
    assert server.returncode == 2
    assert "damaged" in said
    assert "Traceback" not in said
    path.unlink()
    server, _ = serve()
    assert f"There is no ledger at {path}" in server.communicate(timeout=10)[1]
    assert not path.exists()


def test_a_fault_is_accepted_by_an_administrator_who_says_why(kept, serve):
    """A-25."""
    none = ledger("serve", "--accept-fault", "why not", "--by", "joan")
    assert "has no fault that could be accepted" in none.stderr
    with unguarded(kept.engine) as connection:
        connection.execute("UPDATE entry SET typed = '9' WHERE id = 1")
    for arguments, words in (
        (("--accept-fault", "known"), "Say who accepts it"),
        (("--accept-fault", "known", "--by", "ann"), "no administrator of this ledger"),
        (("--accept-fault", "  ", "--by", "joan"), "Say why the fault is accepted"),
    ):
        run = ledger("serve", *arguments)
        assert run.returncode == 2
        assert words in run.stderr
    note_a_backup(kept)
    server, port = serve("--accept-fault", "the disk failed", "--by", "joan")
    assert health(server, port) == "ok"
    with reading(kept.engine) as connection:
        told = connection.execute(
            select(tables.event.c.content, tables.event.c.name).where(
                tables.event.c.kind == "fault accepted"
            )
        ).one()
    assert told.name == "Joan Hill"
    assert re.search(r"entry 1 is not as event \d+ tells: typed.*the disk failed", told.content)


def test_help_begins_with_what_to_try():
    run = ledger("--help")
    assert run.returncode == 0
    for name in ("init", "serve", "verify", "backup", "restore", "drill", "upgrade", "code"):
        assert f"    {name} " in run.stdout
    assert "\033" not in run.stdout
