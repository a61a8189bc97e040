"""The archive of a season over HTTP: who gets it, and what is recorded of it."""

import io
import zipfile

import pytest
from sqlalchemy import select

from app.database import reading
from app.exports.travelling import verify
from app.ledger import tables
from tests.web.conftest import OURS

ADDRESS = "/seasons/2026/archive"
PAGE = "/seasons/2026"


@pytest.fixture
def entered(ann):
    answer = ann.save_sheet({"cane": "1250.0", "mixed_juice": "1290.0"})
    assert answer.status_code == 303
    return ann


def exports(app):
    with reading(app.state.engine) as connection:
        query = select(tables.event).where(tables.event.c.kind == "export")
        return list(connection.execute(query))


@pytest.mark.parametrize("who", ["auditor", "manager", "chief", "administrator"])
@pytest.mark.usefixtures("entered")
def test_who_checks_the_mill_gets_an_archive_that_verifies(app, visit, who):
    """A-43, A-45: by a form of the season's page that works without script."""
    visitor = visit(who)
    assert f'action="{ADDRESS}"' in visitor.get(PAGE).text
    answer = visitor.post(ADDRESS)
    assert answer.status_code == 200
    assert answer.headers["content-type"] == "application/zip"
    assert answer.headers["cache-control"] == "no-store"
    with zipfile.ZipFile(io.BytesIO(answer.content)) as archive:
        files = {name: archive.read(name) for name in archive.namelist()}
    head = verify.check(files)["head"]
    assert (
        f'filename="season-2026-to-event-{head["number"]}.zip"'
        in answer.headers["content-disposition"]
    )
    (event,) = exports(app)
    assert (event.number, event.day, event.season_id) == (int(head["number"]) + 1, None, 1)
    assert f'"head":"{head["number"]}:{head["hash"][:16]}"' in event.content


@pytest.mark.usefixtures("entered")
def test_two_archives_of_an_unchanged_ledger_are_the_same_bytes(app, visit):
    """A-45: though each was recorded."""
    auditor = visit("auditor")
    assert auditor.post(ADDRESS).content == auditor.post(ADDRESS).content
    assert len(exports(app)) == 2


def test_a_chemist_neither_sees_the_button_nor_gets_an_archive(app, entered):
    assert ADDRESS not in entered.get(PAGE).text
    assert entered.post(ADDRESS).status_code == 403
    assert exports(app) == []


@pytest.mark.usefixtures("entered")
def test_an_archive_is_not_made_for_another_site_or_by_a_link(app, visit):
    auditor = visit("auditor")
    assert auditor.get(ADDRESS).status_code == 405
    assert auditor.client.post(ADDRESS, data={"token": "x"}, headers=OURS).status_code == 403
    elsewhere = {"Origin": "http://elsewhere.example"}
    sent = auditor.client.post(ADDRESS, data={"token": auditor.token}, headers=elsewhere)
    assert sent.status_code == 403
    assert exports(app) == []


@pytest.mark.usefixtures("entered")
def test_a_season_that_is_not_there_has_no_archive(visit):
    answer = visit("auditor").post("/seasons/2031/archive")
    assert answer.status_code == 404
    assert "There is no season called 2031." in answer.text


@pytest.mark.usefixtures("entered")
def test_other_tables_have_no_button(visit):
    assert "/archive" not in visit("auditor").get("/weeks/2026-W23").text
