"""Issued reports by mail, through a real server, and laid into a folder; and nothing else ever."""

import io
from datetime import timedelta

import pytest
from pypdf import PdfReader
from starlette.testclient import TestClient

from app.exports import paper
from app.main import create_app
from app.settings import Settings
from tests.bench import NOON
from tests.sending.conftest import PAGE
from tests.sending.mailbox import FROM, MAIL, TO, sending, told
from tests.web.conftest import Visitor


def test_an_issued_report_is_sent_once_as_pdf_to_whom_was_set(bench, issued, server, post):
    issued()
    sender = sending(bench, smtp=server, **MAIL)
    for _again in range(3):
        sender.look()
    sending(bench, smtp=server, **MAIL).look()  # also after a restart
    ((mail_from, to, read, _encrypted),) = post.taken
    assert (mail_from, to) == (FROM, ["manager@mill.example", "owner@mill.example"])
    assert read["Subject"] == "Willow Bend: morning report, issue 2026-06-03/1"
    assert (read["From"], read["To"]) == (FROM, TO)
    assert "2026-06-03 was issued as 2026-06-03/1 by Cora Chief" in read.get_body().get_content()
    (attached,) = read.iter_attachments()
    assert attached.get_filename() == "2026-06-03-issue-1.pdf"
    words = PdfReader(io.BytesIO(attached.get_content())).pages[0].extract_text()
    assert "Overall recovery 84.68" in words
    assert "Copy of the frozen issue" in words
    assert [(each.issue, each.way, each.where) for each in told(bench)] == [
        ("2026-06-03/1", "mail", TO)
    ]


def test_a_report_that_is_issued_again_is_sent_again_and_says_which_it_replaces(
    bench, issued, server, post
):
    sender = sending(bench, smtp=server, **MAIL)
    issued()
    sender.look()
    issued("a ticket was found")
    sender.look()
    assert [read["Subject"].rpartition(" ")[2] for _f, _t, read, _e in post.taken] == [
        "2026-06-03/1", "2026-06-03/2",
    ]  # fmt: skip
    assert "It replaces 2026-06-03/1." in post.taken[1][2].get_body().get_content()


def test_where_no_pdf_can_be_made_the_page_itself_goes_byte_for_byte(
    bench, issued, server, post, monkeypatch
):
    monkeypatch.setattr(paper, "can_print", lambda: False)
    issued()
    sending(bench, smtp=server, **MAIL).look()
    (attached,) = post.taken[0][2].iter_attachments()
    assert attached.get_filename() == "2026-06-03-issue-1.html"
    assert attached.get_payload(decode=True) == PAGE.encode()


@pytest.mark.parametrize("refuses", [True, False])
def test_what_fails_is_told_and_tried_again_until_it_goes(
    bench, issued, server, post, monkeypatch, refuses
):
    made = issued()
    post.refuses = refuses
    sender = sending(bench, smtp=server if refuses else "127.0.0.1:9", **MAIL)
    sender.look()
    trouble = sender.troubles[made.name, "mail"]
    assert ("disk is full" if refuses else "ConnectionRefusedError") in trouble.why
    assert not told(bench)
    post.refuses = False
    monkeypatch.setattr(sender._settings, "smtp", server)
    sender.look()
    assert not post.taken  # it waits a minute, then two
    trouble.since -= 61
    sender.look()
    assert len(post.taken) == len(told(bench)) == 1
    assert not sender.troubles


def test_each_failure_doubles_the_wait_up_to_an_hour(bench, issued):
    made = issued()
    sender = sending(bench, smtp="127.0.0.1:9", **MAIL)
    waits = []
    for _again in range(8):
        sender.look()
        trouble = sender.troubles[made.name, "mail"]
        waits.append(trouble.wait)
        trouble.since -= trouble.wait
    assert waits == [60, 120, 240, 480, 960, 1920, 3600, 3600]


def test_a_report_is_laid_whole_into_a_folder(bench, issued, tmp_path):
    folder = tmp_path / "reports"
    made = issued()
    sender = sending(bench, reports_folder=folder)
    sender.look()
    assert "FileNotFoundError" in sender.troubles[made.name, "folder"].why
    folder.mkdir()
    sender.troubles[made.name, "folder"].since -= 61
    sender.look()
    assert [file.name for file in folder.iterdir()] == ["2026-06-03-issue-1.pdf"]
    words = PdfReader(folder / "2026-06-03-issue-1.pdf").pages[0].extract_text()
    assert "Overall recovery 84.68" in words
    assert [(each.way, each.where) for each in told(bench)] == [("folder", str(folder))]


def test_nothing_goes_unless_it_was_set_is_new_and_can_be_told(bench, issued, server, post):
    issued()
    sending(bench, smtp=server, mail_from=FROM).look()  # a server, but nobody to send to
    later = NOON + timedelta(hours=49)
    sending(bench, at=later, smtp=server, **MAIL).look()  # from before it was turned on
    sending(bench, closed="a fault was found", smtp=server, **MAIL).look()
    assert not post.taken
    assert not told(bench)


@pytest.fixture
def visit(database_url):
    """The page of the issues of 3 June, of a ledger with some settings."""

    def page(sender):
        app = create_app(Settings(database_url=database_url, clock=NOON, hosts="testserver"))
        app.state.sending = sender
        visitor = Visitor(TestClient(app, follow_redirects=False))
        assert visitor.sign_in("ann").status_code == 303
        said = visitor.get("/days/2026-06-03/issues").text, visitor.get("/trail").text
        app.state.engine.dispose()
        return said

    return page


def test_the_page_of_issues_says_what_was_sent_and_what_was_not(
    bench, issued, server, post, visit, tmp_path
):
    bench.write("cane", "1250")
    issued()
    sender = sending(bench, smtp=server, reports_folder=tmp_path / "away", **MAIL)
    sender.look()
    page, trail = visit(sender)
    assert f"sent to {TO} on 3 Jun 2026, 12:00" in page
    assert f"could not be laid into {tmp_path / 'away'}" in page
    assert "It is tried again." in page
    assert f"issue 2026-06-03/1 sent to {TO}" in trail
    assert len(post.taken) == 1


def test_the_server_sends_by_itself_while_it_serves(database_url, bench, issued, tmp_path):
    issued()
    settings = Settings(
        database_url=database_url, clock=NOON, hosts="testserver", reports_folder=tmp_path
    )
    app = create_app(settings)
    with TestClient(app):
        for _waiting in range(200):
            if told(bench):
                break
            app.state.sending._over.wait(0.05)
    app.state.engine.dispose()
    assert (tmp_path / "2026-06-03-issue-1.pdf").is_file()
