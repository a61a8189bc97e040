"""Mail goes encrypted, by settings that can be, and by command in somebody's own name."""

import re
import subprocess
import sys

import pytest
from pydantic import ValidationError

from app.database import reading
from app.ledger import chain
from app.settings import Settings
from tests.bench import NOON
from tests.sending.mailbox import FROM, MAIL, Secure, sending, told

LOGIN = {"smtp_user": "ledger", "smtp_password": "open sesame"}


def test_mail_is_encrypted_where_the_server_can_and_only_then_a_password_is_sent(
    bench, issued, post, monkeypatch, tmp_path
):
    made, trusted = issued(), tmp_path / "authority.pem"
    with (secure := Secure(post, encrypts=True)) as server:
        sender = sending(bench, smtp=server, **MAIL, **LOGIN)
        sender.look()  # nobody vouches for its certificate
        assert "CERTIFICATE_VERIFY_FAILED" in sender.troubles[made.name, "mail"].why
        assert not secure.asked
        secure.authority.cert_pem.write_to_path(trusted)
        monkeypatch.setenv("SSL_CERT_FILE", str(trusted))
        sending(bench, smtp=server, **MAIL, **LOGIN).look()
        assert [data.password for data in secure.asked] == [b"open sesame"]
    ((_from, _to, _read, encrypted),) = post.taken
    assert encrypted


def test_no_password_is_sent_in_the_open(bench, issued, post):
    made = issued()
    with (secure := Secure(post, encrypts=False)) as server:
        sender = sending(bench, smtp=server, **MAIL, **LOGIN)
        sender.look()
    assert "no password is sent without encryption" in sender.troubles[made.name, "mail"].why
    assert not secure.asked
    assert not post.taken


@pytest.mark.parametrize(
    ("settings", "why"),
    [
        ({"reports_to": "a@b"}, "needs LEDGER_SMTP and LEDGER_MAIL_FROM"),
        ({"smtp": "mail.mill.lan", "mail_from": FROM}, "is written like mail.mill.lan:587"),
        ({"smtp": "mail:25", "mail_from": FROM, "reports_to": "a@b, nobody"}, "nobody is no addr"),
        ({"smtp": "mail:25", "mail_from": "a@b\nBcc: c@d"}, "is no address of mail"),
    ],
)
def test_settings_that_cannot_be_are_refused_at_once(settings, why):
    with pytest.raises(ValidationError, match=re.escape(why)):
        Settings(**settings)


def send(database_url, server, *arguments):
    environment = {"LEDGER_DATABASE_URL": database_url, "LEDGER_SMTP": server, "PATH": "",
                   "LEDGER_MAIL_FROM": FROM, "LEDGER_CLOCK": NOON.isoformat()}  # fmt: skip
    return subprocess.run(
        [sys.executable, "-m", "app.cli", "send", "2026-06-03", *arguments],
        capture_output=True, text=True, check=False, env=environment,
    )  # fmt: skip


def test_a_person_sends_an_issue_by_command_in_their_own_name(
    bench, issued, server, post, database_url
):
    issued()
    refused = send(database_url, server, "--to", "owner@mill.example", "--by", "ann")
    assert refused.returncode == 2
    assert "nobody who may issue reports" in refused.stderr
    done = send(database_url, server, "--to", "owner@mill.example", "--by", "chief")
    assert done.stdout == "Issue 2026-06-03/1 was sent to owner@mill.example\n", done.stderr
    assert [to for _from, to, _read, _encrypted in post.taken] == [["owner@mill.example"]]
    with reading(bench.engine) as connection:
        last = chain.head(connection).number
    assert last > 0
    post.knows_not = {"nobody@mill.example"}
    part = send(
        database_url, server, "--to", "owner@mill.example, nobody@mill.example", "--by", "chief"
    )
    assert part.stdout == "Issue 2026-06-03/1 was sent to owner@mill.example\n"
    assert part.returncode == 2
    assert "It was not sent to nobody@mill.example: 550 no such mailbox" in part.stderr
    assert {each.where for each in told(bench)} == {"owner@mill.example"}
    lacking = send(database_url, server, "--to", "a@b", "--by", "chief", "--issue", "2")
    assert "No such report of 2026-06-03 was issued" in lacking.stderr
