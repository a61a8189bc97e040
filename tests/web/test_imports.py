"""The pages by which a table is brought in: upload, columns, what is wrong, acceptance."""

import io
import json
import re
import time
from datetime import timedelta

import pytest
import xlsxwriter
from sqlalchemy import select
from starlette.testclient import TestClient

from app.language import _, speaking
from app.ledger import book, tables
from app.locks import Busy
from app.main import create_app
from app.settings import Settings
from app.web import uploads
from app.web.languages import COOKIE
from tests.importing import FIRST, LATER, season
from tests.web.conftest import OURS, Visitor


def send(visitor, body, name="june.csv", **fields):
    """Send a file as a browser does."""
    data = {"token": visitor.token} | fields
    body = body.encode() if isinstance(body, str) else body
    return visitor.client.post("/imports", data=data, files={"file": (name, body)}, headers=OURS)


def settled(visitor, address):
    """Look again until the work on a file is done."""
    for _look in range(200):
        page = visitor.get(address)
        if "Refresh" not in page.headers:
            return page
        assert page.headers["Refresh"] == "1"
        time.sleep(0.05)
    raise AssertionError("it takes too long")


def fields(page):
    """What the form of the columns holds."""
    form = page.text.split('/columns"')[1].split("</form>")[0]
    found = dict(re.findall(r'name="([\w:]+)" value="([^"]*)"', form))
    return {name: text for name, text in found.items() if name not in ("token", "once")}


def checked(visitor, body, **otherwise):
    """Upload a file, take its columns as they are guessed, and return where it is and its page."""
    answer = send(visitor, body)
    assert answer.status_code == 303, answer.text
    address = answer.headers["location"]
    form = fields(visitor.get(address)) | otherwise
    assert visitor.post(f"{address}/columns", form).status_code == 303
    return address, settled(visitor, address)


def sheet(bench, day=FIRST, number=1):
    return {k: e.typed for k, e in bench.read(book.sheet, bench.season, day, number).items()}


def test_a_table_is_checked_shown_accepted_and_stands_on_the_sheets(bench, rosa):
    """C-20: nothing is written until it is accepted."""
    address, page = checked(rosa, season(9))
    assert "18 new, 1 Jun 2026 to 3 Jun 2026" in page.text
    assert "Accept: write all 18" in page.text
    assert sheet(bench) == {}
    assert rosa.post(f"{address}/acceptance").headers["location"] == address
    assert "18 were written" in settled(rosa, address).text
    assert sheet(bench, FIRST + timedelta(days=2), 3) == {
        "cane": "1008", "mixed_juice_brix": "14.18",
    }  # fmt: skip
    listed = rosa.get("/imports").text
    assert "june.csv" in listed
    assert "Ann Field" in listed
    trail = rosa.get("/trail?day=").text
    assert "18 brought in from june.csv, 2026-06-01 to 2026-06-03; 0 were there already" in trail
    assert "4 of 4 said to be something" in trail


def test_bad_rows_are_listed_with_row_column_value_and_reason_and_nothing_may_be_accepted(
    bench, rosa
):
    """C-20: 23 bad rows of 193."""
    bad = set(range(11, 193, 8))
    assert len(bad) == 23
    address, page = checked(rosa, season(193, bad=bad))
    assert "23 rows of 193 cannot be brought in, so nothing is." in page.text
    rows = re.findall(
        r'<th scope="row" class="num">(\d+)</th><td>mixed_juice_brix</td><td>unreadable</td>'
        r"<td>Write a number",
        page.text,
    )
    assert {int(row) for row in rows} == {n + 2 for n in bad}
    assert "Accept" not in page.text
    assert rosa.post(f"{address}/acceptance").status_code == 409
    assert sheet(bench) == {}
    rejected = rosa.get(f"{address}/rejected.csv")
    assert rejected.headers["content-type"] == "text/csv; charset=utf-8"
    assert len(rejected.text.splitlines()) == 24


def test_the_same_file_again_says_that_all_is_there(rosa):
    address, _ = checked(rosa, season(3))
    rosa.post(f"{address}/acceptance")
    settled(rosa, address)
    address, page = checked(rosa, season(3))
    assert "All 6 are there already: nothing is to be written." in page.text
    assert rosa.post(f"{address}/acceptance").status_code == 409


def test_accepting_twice_writes_once(bench, rosa):
    address, _ = checked(rosa, season(3))
    form = {"once": "one and the same form"}
    places = [rosa.post(f"{address}/acceptance", form).headers["location"] for _ in range(2)]
    assert places == [address, address]
    assert "6 were written" in settled(rosa, address).text
    rosa.post(f"{address}/acceptance")
    assert len(bench.trail("cane")) == 0
    assert len(bench.read(book.trail, bench.season, FIRST, 1, "cane")) == 1


def test_the_columns_are_remembered_for_a_table_with_the_same_headings(rosa):
    text = "When;Turn;Tonnes\n2026-06-01;1;1250\n"
    address = send(rosa, text).headers["location"]
    page = rosa.get(address)
    assert fields(page)["column:2"] == ""
    form = fields(page) | {"column:0": "Day", "column:1": "Shift", "column:2": "Cane crushed"}
    rosa.post(f"{address}/columns", form)
    assert "1 new" in settled(rosa, address).text
    rosa.post(f"{address}/acceptance")
    settled(rosa, address)
    again = rosa.get(send(rosa, text.replace("1250", "1300")).headers["location"])
    assert "The columns are as you or others said the last time." in again.text
    assert fields(again)["column:2"] == "Cane crushed"


def test_a_heading_is_kept_as_far_as_it_can_be_read(bench, rosa):
    """Else a file could put any length of it, and signs nobody sees, into the chain for ever."""
    long = "Tonnes \u202e" + "x" * 5000
    address = send(rosa, f"Day;Shift;{long}\n2026-06-01;1;1250\n").headers["location"]
    form = fields(rosa.get(address)) | {"column:2": "Cane crushed"}
    assert rosa.post(f"{address}/columns", form).status_code == 303
    assert "1 new" in settled(rosa, address).text
    rosa.post(f"{address}/acceptance")
    settled(rosa, address)
    event = tables.event.c
    content = bench.read(lambda c: c.scalar(select(event.content).where(event.kind == "columns")))
    assert json.loads(content)["columns"][2] == ["Tonnes " + "x" * 93, "cane"]
    again = rosa.get(send(rosa, f"Day;Shift;{long}\n2026-06-02;1;1250\n").headers["location"])
    assert fields(again)["column:2"] == "Cane crushed"


def test_who_waits_too_long_for_others_is_told_so_in_their_language(rosa, monkeypatch):
    address = checked(rosa, season(3))[0]

    def busy(*_arguments, **_others):
        raise Busy("Others are writing in the ledger, and it takes long")

    monkeypatch.setattr(uploads, "writing", busy)
    rosa.client.cookies.set(COOKIE, "es")
    rosa.post(f"{address}/acceptance")
    with speaking("es"):
        why = _("Nothing was written: {why}", why=_("somebody else was writing for too long"))
    assert "otra persona" in why
    assert why in settled(rosa, address).text


def test_what_is_wrong_with_the_columns_stands_beside_them_and_keeps_what_was_typed(rosa):
    address = send(rosa, "Day,Shift,Tonnes\n01/02/2026,1,5\n").headers["location"]
    form = fields(rosa.get(address)) | {"column:2": "Treacle", "order": ""}
    answer = rosa.post(f"{address}/columns", form)
    assert answer.status_code == 422
    assert "There is nothing called Treacle" in answer.text
    assert "Say whether the day or the month comes first." in answer.text
    assert 'value="Treacle"' in answer.text
    answer = rosa.post(f"{address}/columns", form | {"column:2": "", "order": "day first"})
    assert "Say of at least one column what it holds." in answer.text


def test_days_that_may_be_read_two_ways_are_asked_about(rosa):
    text = "Day,Shift,Cane\n03/06/2026,1,1250\n04/06/2026,1,1250\n"
    address = send(rosa, text).headers["location"]
    page = rosa.get(address)
    assert "How days are written" in page.text
    rosa.post(f"{address}/columns", fields(page) | {"order": "day first"})
    assert "2 new, 3 Jun 2026 to 4 Jun 2026" in settled(rosa, address).text
    told = rosa.get(send(rosa, text.replace("04/06", "13/06")).headers["location"])
    assert fields(told)["column:0"] == "Day"


def workbook(*sheets):
    out = io.BytesIO()
    made = xlsxwriter.Workbook(out)
    for name, rows in sheets:
        sheet = made.add_worksheet(name)
        for n, row in enumerate(rows):
            sheet.write_row(n, 0, row)
    made.close()
    return out.getvalue()


def test_a_sheet_and_a_row_of_headings_of_a_workbook_are_chosen(bench, rosa):
    body = workbook(
        ("Notes", [["by hand"]]),
        ("Juice", [["Season 2026"], [], ["Day", "Shift", "mixed_juice_brix"],
                   ["2026-06-01", 1, 0.1 + 14.42]]),
        ("Cane", [["Day", "Shift", "Cane"], ["2026-06-01", 1, 1250]]),
    )  # fmt: skip
    address = send(rosa, body, "lab.xlsx").headers["location"]
    page = rosa.get(address)
    assert 'name="heading" value="3"' in page.text
    assert fields(page)["column:2"] == "Mixed juice, brix"
    other = rosa.get(f"{address}?sheet=Cane&heading=1&target=sheet")
    assert fields(other)["column:2"] == "Cane crushed"
    rosa.post(f"{address}/columns", fields(page))
    settled(rosa, address)
    rosa.post(f"{address}/acceptance")
    settled(rosa, address)
    assert sheet(bench) == {"mixed_juice_brix": "14.52"}


def test_a_table_goes_into_a_book(rosa):
    text = (
        "Day,Shift,Began,Ended,Cause,Crushing\n"
        "2026-06-01,1,07:40,08:10,Lack of cane,Crushing stopped\n"
    )
    address = send(rosa, text).headers["location"]
    page = rosa.get(f"{address}?sheet=&heading=1&target=stops")
    assert fields(page)["column:2"] == "Began"
    rosa.post(f"{address}/columns", fields(page))
    assert "1 new" in settled(rosa, address).text
    rosa.post(f"{address}/acceptance")
    assert "1 were written" in settled(rosa, address).text
    assert "07:40" in rosa.get("/books/stops/2026-06-01/1").text


@pytest.mark.parametrize(
    ("body", "words"),
    [
        (b"", "The file is empty"),
        (b"\x00\x01\x02", "It is neither a workbook nor text"),
        (b"PK\x03\x04 and no more", "It is no workbook that can be read"),
        (b"\xd0\xcf\x11\xe0 an old one", "It is an old workbook, or one with a password"),
        (b" \n \n", "There is nothing in it"),
    ],
)
def test_a_file_that_is_no_table_is_refused_beside_its_field(rosa, body, words):
    answer = send(rosa, body)
    assert answer.status_code == 422
    assert f'id="file-wrong">{words}' in answer.text


def test_more_than_the_largest_file_is_refused(rosa):
    assert send(rosa, b"x" * 20_100_000).status_code == 413
    assert rosa.client.post("/notes", files={"file": b"x"}, headers=OURS).status_code in (404, 415)


def test_a_form_with_a_file_needs_a_sign_in_and_the_page_it_came_from(visit, rosa):
    assert send(visit(), season(3)).status_code == 401
    assert send(Visitor(rosa.client), season(3)).status_code == 403


def test_a_file_is_seen_by_who_brought_it_and_not_kept_for_ever(visit, rosa):
    first = send(rosa, season(3)).headers["location"]
    chief = visit("chief")
    assert chief.get(first).status_code == 404
    second = send(rosa, season(3)).headers["location"]
    assert rosa.get(first).status_code == 404
    assert "This file is not kept any more" in rosa.get(first).text
    assert rosa.get(second).status_code == 200


def test_a_server_that_begins_anew_has_written_nothing_and_knows_no_file(bench, rosa, database_url):
    address, _ = checked(rosa, season(3))
    anew = create_app(Settings(database_url=database_url, clock=LATER, hosts="testserver"))
    with TestClient(anew, follow_redirects=False) as client:
        visitor = Visitor(client)
        visitor.sign_in("ann")
        assert visitor.get(address).status_code == 404
    anew.state.engine.dispose()
    assert sheet(bench) == {}


def test_an_auditor_reads_what_was_imported_and_brings_nothing_in(visit, rosa):
    address, _ = checked(rosa, season(3))
    rosa.post(f"{address}/acceptance")
    settled(rosa, address)
    page = visit("auditor").get("/imports").text
    assert "june.csv" in page
    assert 'type="file"' not in page
