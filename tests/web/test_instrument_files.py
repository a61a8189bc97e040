"""Files of instruments while the ledger is served: taken, and told of where people look."""

import re
import time

import pytest
from starlette.testclient import TestClient

from app.database import writing
from app.keeping import folder
from app.ledger import instruments
from app.main import create_app
from app.settings import Settings
from tests.bench import NOON
from tests.web.conftest import Visitor

TABLE = "day,shift,measure,typed\n2026-06-03,1,cane,{typed}\n"


@pytest.fixture
def home(bench, tmp_path):
    with writing(bench.engine) as connection:
        scale, _token = instruments.add_instrument(
            connection, name="Belt scale", measures=["cane"], by=bench.ann, at=NOON
        )
    home = tmp_path / "incoming" / scale.folder
    home.mkdir(parents=True)
    return home


@pytest.fixture
def client(app, database_url, home, monkeypatch):
    """The ledger, served with a watched folder; `app` gave it its people."""
    assert app.state.watch.folder is None
    monkeypatch.setattr(folder, "_LOOK_EVERY", 0.05)
    served = create_app(
        Settings(database_url=database_url, clock=NOON, hosts="testserver", folder=home.parent)
    )
    served.state.watch.folder._settled = 0.1
    with TestClient(served, follow_redirects=False) as client:
        yield client
        thread = served.state.watch.folder._thread
    assert not thread.is_alive()
    served.state.engine.dispose()


def wait_for(condition):
    until = time.monotonic() + 10
    while not condition():
        assert time.monotonic() < until
        time.sleep(0.05)


def test_a_file_is_taken_while_the_ledger_is_served(client, home, bench):
    (home / "a.csv").write_text(TABLE.format(typed="1850"))
    wait_for(lambda: (home / "taken").exists() and any((home / "taken").iterdir()))
    assert client.get("/health").text == "ok"
    assert [entry.typed for entry in bench.trail("cane")] == ["1850"]


def test_what_ails_the_folder_is_told_to_administrators(client, home):
    home.parent.rename(home.parent.with_name("away"))
    wait_for(lambda: client.get("/health").status_code == 503)
    assert "folder: The folder of the instruments: incoming" in client.get("/health").text
    notices = client.app.state.watch.notices
    assert any("incoming" in said for said in notices("administrator"))
    assert not any("incoming" in said for said in notices("chemist"))


def test_the_page_says_where_files_are_laid_and_why_the_last_was_refused(client, home):
    (home / "a.csv").write_text(TABLE.format(typed="much"))
    wait_for(lambda: (home / "refused").exists() and len([*(home / "refused").iterdir()]) == 2)
    visitor = Visitor(client)
    assert visitor.sign_in("administrator").status_code == 303
    page = visitor.get("/instruments").text
    row = re.search(r'id="instrument-\d+".*?</tr>', page, re.DOTALL).group()
    assert f"<code>{home.name}</code>" in row
    assert f"<code>{home.parent}</code>" in page
    assert "a.csv: line 2, cane: Write a number" in row


def test_refused_files_are_told_of_on_the_first_page_and_listed_for_good(client, home):
    (home / "a.csv").write_text(TABLE.format(typed="unreadable") + "2026-06-03,9,cane,1\n")
    (home / "b.csv").write_text(TABLE.format(typed="a lot"))
    (home / "c.xlsx").write_bytes(b"PK")
    (home.parent / "Old scale").mkdir()
    (home.parent / "loose.csv").write_text(TABLE)
    wait_for(lambda: (home / "refused").exists() and len(list((home / "refused").iterdir())) == 4)
    wait_for(lambda: client.app.state.watch.folder.astray)
    visitor = Visitor(client)
    visitor.sign_in("ann")
    assert '<a href="/instruments/refused">2 files of instruments</a>' in visitor.get("/").text
    page = visitor.get("/instruments/refused").text
    assert "a.csv" in page
    assert "line 2, cane: Write a number" in page
    assert "line 3: shifts of this mill are numbered 1 to 3" in page
    for name in ("Old scale/", "loose.csv", f"{home.name}/c.xlsx"):
        assert f"<li><code>{name}</code></li>" in page
    anew = folder.Folder(
        client.app.state.engine, home.parent, clock=lambda: NOON, closed=lambda: "", refusals={}
    )
    anew.look()
    assert {each.file for each in anew.refused} == {"a.csv", "b.csv"}


def test_a_manager_is_not_told_of_refused_files(client, home):
    (home / "a.csv").write_text(TABLE.format(typed="unreadable"))
    wait_for(lambda: (home / "refused").exists() and len(list((home / "refused").iterdir())) == 2)
    visitor = Visitor(client)
    visitor.sign_in("manager")
    assert "of instruments</a>" not in visitor.get("/").text
    assert visitor.get("/instruments/refused").status_code == 403
