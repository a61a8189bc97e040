"""What fails while reports are sent: told, never sent twice, and nothing else is kept back."""

import logging
import threading
from datetime import timedelta

import pytest
from sqlalchemy.exc import OperationalError
from starlette.testclient import TestClient

from app.keeping import sending as module
from app.keeping.sending import BACK
from app.main import create_app
from app.settings import Settings
from tests.bench import NOON
from tests.sending.mailbox import MAIL, TO, sending, told
from tests.web.conftest import Visitor

MANAGER, OWNER = TO.split(", ")


@pytest.fixture
def page_of(database_url, bench):
    """The page of the issues of 3 June, as it is at some moment."""
    bench.write("cane", "1250")

    def page(sender, at=NOON):
        app = create_app(Settings(database_url=database_url, clock=at, hosts="testserver"))
        app.state.sending = sender
        visitor = Visitor(TestClient(app, follow_redirects=False))
        assert visitor.sign_in("ann").status_code == 303
        text = visitor.get("/days/2026-06-03/issues").text
        app.state.engine.dispose()
        return text

    return page


def breaks_once(monkeypatch, name, problem):
    """Have a step of the sending fail the first time that it is done."""
    does, left = getattr(module, name), [problem]

    def step(*given, **more):
        if left:
            raise left.pop()
        return does(*given, **more)

    monkeypatch.setattr(module, name, step)


def again(sender, issue, way="mail"):
    """Look once the wait for an issue is over."""
    sender.troubles[issue.name, way].since -= 3600
    sender.look()


def test_only_who_took_a_report_is_told_and_the_rest_is_tried_again_alone(
    bench, issued, server, post, page_of
):
    made = issued()
    post.knows_not = {OWNER}
    sender = sending(bench, smtp=server, **MAIL)
    sender.look()
    sender.look()
    assert [each.where for each in told(bench)] == [MANAGER]
    page = page_of(sender)
    assert f"sent to {MANAGER} on" in page
    assert f"could not be sent to {OWNER} on 3 Jun 2026, 12:00: 550 no such mailbox" in page
    post.knows_not = set()
    again(sender, made)
    assert [to for _from, to, _read, _encrypted in post.taken] == [[MANAGER], [OWNER]]
    assert [each.where for each in told(bench)] == [MANAGER, OWNER]
    assert not sender.troubles
    sending(bench, smtp=server, **MAIL).look()  # also after a restart
    assert len(post.taken) == 2


def test_what_went_out_but_was_not_told_is_told_later_and_not_sent_again(
    bench, issued, server, post, page_of, monkeypatch
):
    made = issued()
    locked = OperationalError("INSERT", {}, Exception("database is locked"))
    breaks_once(monkeypatch, "tell_handed_out", locked)
    sender = sending(bench, smtp=server, **MAIL)
    sender.look()
    sender.look()  # it waits a minute
    assert not told(bench)
    assert "but on 3 Jun 2026, 12:00 the ledger could not note that" in page_of(sender)
    again(sender, made)
    assert len(post.taken) == len(told(bench)) == 1
    assert not sender.troubles


def test_a_report_that_cannot_be_told_does_not_keep_back_the_next(
    bench, issued, server, post, monkeypatch
):
    issued()
    issued("a ticket was found")
    breaks_once(monkeypatch, "tell_handed_out", OperationalError("INSERT", {}, Exception("locked")))
    sending(bench, smtp=server, **MAIL).look()
    assert len(post.taken) == 2
    assert [each.issue for each in told(bench)] == ["2026-06-03/2"]


def test_a_fault_of_the_program_is_a_trouble_too_and_logged_where_it_arose(
    bench, issued, tmp_path, monkeypatch, caplog
):
    made = issued()
    breaks_once(monkeypatch, "parcel_of", KeyError("mill"))
    sender = sending(bench, reports_folder=tmp_path)
    with caplog.at_level(logging.WARNING, "uvicorn.error"):
        sender.look()
    assert sender.troubles[made.name, "folder"].why == "KeyError: 'mill'"
    assert any(record.exc_info for record in caplog.records)
    again(sender, made, "folder")
    assert len(told(bench)) == 1


@pytest.mark.parametrize(
    ("problem", "words"),
    [
        (TypeError("a fault"), "sending: reports could not be looked at: TypeError"),
        (SystemExit(), "sending: what sends reports has ended: start the ledger again"),
    ],
)
@pytest.mark.usefixtures("bench")
@pytest.mark.filterwarnings("ignore::pytest.PytestUnhandledThreadExceptionWarning")
def test_health_tells_of_what_keeps_all_reports_back(
    database_url, tmp_path, monkeypatch, problem, words
):
    settings = Settings(
        database_url=database_url, clock=NOON, hosts="testserver", reports_folder=tmp_path
    )
    app = create_app(settings)
    sender, looked = app.state.sending, threading.Event()

    def look():
        looked.set()
        raise problem

    monkeypatch.setattr(sender, "look", look)
    with TestClient(app) as client:
        assert looked.wait(10)
        sender._thread.join(0.5)
        answer = client.get("/health")
    assert answer.status_code == 503
    assert words in answer.text.splitlines()
    assert "has ended" not in sender.ails  # it was told to end
    app.state.engine.dispose()


@pytest.mark.parametrize("by_hand", [True, False])
def test_what_no_longer_waits_is_not_said_to_be_tried_again(
    bench, issued, server, post, page_of, by_hand
):
    issued()
    post.refuses = True
    sender = sending(bench, smtp=server, **MAIL)
    sender.look()
    assert "It is tried again." in page_of(sender)
    at = NOON + BACK + timedelta(minutes=1)
    if by_hand:
        post.refuses, at = False, NOON
        sending(bench, smtp=server, **MAIL).look()
    page = page_of(sender, at)
    assert "It is tried again." not in page
    assert ("This is given up." in page) != by_hand
    assert ("could not be sent" in page) != by_hand
