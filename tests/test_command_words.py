"""What commands say of what was typed wrongly, and of files that only look like a ledger."""

import re
import shutil
import sqlite3
import subprocess
import sys
import urllib.error
import urllib.parse
import urllib.request
from contextlib import closing

import pytest

from app.database import file_of, writing
from app.ledger import people
from tests.bench import NOON
from tests.keeping import unguarded
from tests.test_commands import INIT, free_port, head_of, health, kept, ledger, note_a_backup

__all__ = ["kept"]


def test_a_plain_copy_of_a_ledger_in_use_is_no_backup(kept, tmp_path):
    """What was written last is not in it: verify says so, as restore does."""
    path = file_of(kept.engine)
    assert path.with_name(f"{path.name}-wal").exists()
    copy = shutil.copy(path, tmp_path / "copy.db")
    for command in ("verify", "restore"):
        run = ledger(command, copy)
        assert run.returncode == 1
        assert "is a plain copy of a ledger in use" in run.stderr
        assert "faults" not in run.stdout
    assert not copy.with_name("copy.db-wal").exists()
    assert ledger("verify", path).stdout.startswith("0 faults")
    kept.engine.dispose()
    assert ledger("verify", path).stdout.startswith("0 faults")


def test_a_ledger_that_lies_where_it_was_written_is_verified(kept, tmp_path, monkeypatch):
    """Though the settings name another, and nobody has it open."""
    kept.engine.dispose()
    monkeypatch.setenv("LEDGER_DATABASE_URL", f"sqlite:///{tmp_path}/another.db")
    assert ledger("verify", file_of(kept.engine)).stdout.startswith("0 faults")


@pytest.mark.parametrize("content", [b"", b"damaged" * 999])
def test_verify_answers_1_for_a_file_that_is_damaged(tmp_path, content):
    path = tmp_path / "damaged.db"
    path.write_bytes(content)
    assert ledger("verify", path).returncode == 1
    assert ledger("verify", tmp_path / "nowhere.db").returncode == 2


def test_a_fault_is_counted_in_plain_english(kept):
    with unguarded(kept.engine) as connection:
        connection.execute("UPDATE entry SET typed = '9' WHERE id = 3")
    assert re.search(r"^1 fault in \d+ events", ledger("verify").stdout, re.MULTILINE)


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        (("--day-starts", "24:00"), "argument --day-starts: 24:00 is no time of day like 06:00"),
        (("--zone", "Africa/Nowhere"), "argument --zone: Africa/Nowhere is no time zone like"),
        (("--zone", "../x"), "argument --zone: ../x is no time zone like"),
        (("--first-day", "2026-13-01"), "--first-day: 2026-13-01 is no day like 2026-07-14"),
        (("--season", "2026/27"), "--season, --first-day: A season’s name has"),
        (("--administrator", "two words"), "--administrator, --printed-name: A user name has no"),
        (("--mill", " "), "argument --mill: it is empty"),
    ],
)
def test_an_option_of_init_that_will_not_do_leaves_no_file(tmp_path, monkeypatch, changed, words):
    monkeypatch.setenv("LEDGER_DATABASE_URL", f"sqlite:///{tmp_path}/ledger.db")
    run = ledger(*INIT, *changed)
    assert run.returncode == 2
    assert words in run.stderr
    assert list(tmp_path.iterdir()) == []


def test_the_first_administrator_has_a_printed_name(tmp_path, monkeypatch):
    monkeypatch.setenv("LEDGER_DATABASE_URL", f"sqlite:///{tmp_path}/ledger.db")
    assert ledger(*INIT, "--printed-name", "Joan Abara").returncode == 0
    with closing(sqlite3.connect(tmp_path / "ledger.db")) as plain:
        found = plain.execute("SELECT username, printed_name FROM person").fetchall()
    assert found == [("joan", "Joan Abara")]


def test_a_day_that_is_none_is_named():
    said = ledger("target", "pol_extraction", "96", "--since", "2026-13-01", "--by", "joan").stderr
    assert "argument --since: 2026-13-01 is no day like 2026-07-14" in said


def test_nobody_acts_for_an_administrator_who_was_deactivated(kept):
    target = ("target", "pol_extraction", "96", "--since", "2026-06-03", "--by", "joan")
    assert ledger(*target).returncode == 0
    with writing(kept.engine) as connection:
        joan = people.person_named(connection, "joan")
        people.deactivate(connection, joan, by=kept.ann, at=NOON)
    assert "no administrator of this ledger is called joan" in ledger(*target).stderr


@pytest.mark.usefixtures("kept")
def test_who_may_not_export_is_named_once(tmp_path):
    run = ledger("archive", "2026", tmp_path / "season.zip", "--by", "nobody")
    assert run.stderr == "mill-ledger: nobody who may export is called nobody\n"


def test_a_backup_says_where_its_chain_ends(kept, tmp_path):
    assert f"Its chain ends at {head_of(kept).short}" in ledger("backup", tmp_path).stdout


@pytest.mark.usefixtures("kept")
def test_of_another_mill_s_ledger_it_is_never_said_that_nothing_is_lost(tmp_path, monkeypatch):
    """F-41."""
    ledger("backup", tmp_path / "backups")
    [backup] = (tmp_path / "backups").iterdir()
    monkeypatch.setenv("LEDGER_DATABASE_URL", f"sqlite:///{tmp_path}/other.db")
    assert ledger(*INIT).returncode == 0
    run = ledger("restore", backup, "--replace")
    assert run.returncode == 2
    assert "To replace it all the same: --another-ledger" in run.stderr
    assert "would be lost" not in run.stdout
    assert "The ledger of Our mill that is there is another one" in run.stdout


@pytest.fixture
def served(kept):
    """Serve the ledger: gives what runs, and its port."""
    running = []
    note_a_backup(kept)

    def begin(*arguments):
        port = free_port()
        server = subprocess.Popen(
            [sys.executable, "-m", "app.cli", "serve", "--port", str(port), *arguments],
            stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        )  # fmt: skip
        running.append(server)
        assert health(server, port) == "ok"
        return server, port

    yield begin
    for server in running:
        server.kill()
        server.communicate()


def test_serving_says_where_once(served):
    server, port = served()
    server.terminate()
    out, _ = server.communicate(timeout=10)
    assert out == f"Serving http://127.0.0.1:{port}/ (Ctrl+C ends it)\n"


def test_serving_says_what_was_accepted(kept, served):
    with unguarded(kept.engine) as connection:
        connection.execute("UPDATE entry SET typed = '9' WHERE id = 3")
    server, _ = served("--accept-fault", "the disk failed", "--by", "joan")
    server.terminate()
    out, _ = server.communicate(timeout=10)
    assert out.startswith("Accepted by Joan Hill, the disk failed:\n  entry 3 is not as event")


@pytest.mark.parametrize(("proxy", "seen"), [("", "127.0.0.1"), ("127.0.0.1", "203.0.113.9")])
def test_a_proxy_is_believed_only_where_the_settings_name_it(
    served, tmp_path, monkeypatch, proxy, seen
):
    """Else every browser behind it would count as one, or any could call itself another."""
    log = tmp_path / "security.log"
    monkeypatch.setenv("LEDGER_SECURITY_LOG", str(log))
    monkeypatch.setenv("LEDGER_PROXY", proxy)
    _, port = served()
    address = f"http://127.0.0.1:{port}"
    form = urllib.parse.urlencode({"username": "ann", "password": "wrong", "next": "/"}).encode()
    headers = {"Origin": address, "X-Forwarded-For": "203.0.113.9"}
    sent = urllib.request.Request(f"{address}/sign-in", form, headers)
    with pytest.raises(urllib.error.HTTPError):
        urllib.request.urlopen(sent)
    assert f'"address": "{seen}"' in log.read_text()


def test_a_ledger_without_a_mill_says_what_to_run(migrated, tmp_path, monkeypatch):
    path = shutil.copy(migrated, tmp_path / "ledger.db")
    monkeypatch.setenv("LEDGER_DATABASE_URL", f"sqlite:///{path}")
    run = ledger("serve")
    assert run.returncode == 2
    assert run.stderr == "mill-ledger: No mill is set up in this ledger. Run: mill-ledger init\n"
