"""An import is taken back on the page Imports, in the words of whoever does it."""

from app.ledger.imported import imports
from tests.importing import season
from tests.web.test_imports import checked, settled, sheet
from tests.web.test_imports_remembered import accepted


def test_an_import_is_taken_back_with_a_reason_and_the_trail_tells_it(bench, rosa):
    address, page = checked(rosa, season(3))
    assert "It can be taken back as a whole" in page.text
    rosa.post(f"{address}/acceptance")
    settled(rosa, address)
    (done,) = bench.read(imports)
    place = f"/imports/{done.number}/taking-back"
    refused = rosa.post(place, {"reason": ""})
    assert refused.status_code == 422
    assert "Say why it is taken back." in refused.text
    answer = rosa.post(place, {"reason": "the wrong file"})
    assert answer.headers["location"] == "/imports?back=6"
    page = rosa.get(answer.headers["location"]).text
    assert "Taken back: 6." in page
    assert "Ann Field: the wrong file" in page
    assert set(sheet(bench).values()) == {""}
    trail = rosa.get("/trail?day=").text
    assert f"6 taken back that event {done.number} brought in from june.csv" in trail


def test_what_was_never_brought_in_is_not_taken_back(rosa):
    assert rosa.post("/imports/1/taking-back", {"reason": "x"}).status_code == 404
    assert rosa.post("/imports/99999999999/taking-back", {"reason": "x"}).status_code == 404


def test_a_file_that_is_checked_and_not_accepted_is_named_among_the_imports(rosa):
    address, _page = checked(rosa, season(3))
    page = rosa.get("/imports").text
    assert f'<a href="{address}">june.csv</a> is read, and nothing of it is written yet' in page
    accepted(rosa, season(3))
    assert "nothing of it is written yet" not in rosa.get("/imports").text


def test_days_that_were_brought_in_say_from_where_and_are_not_listed_as_unsigned(rosa):
    accepted(rosa, season(9))
    rosa.post("/shifts/2026-06-04/1", {"result:cane": "1250", "late_reason": "on paper"})
    page = rosa.get("/seasons/2026").text
    assert "3 days were brought in from june.csv, not signed." in page
    assert '<a href="/days/2026-06-01/approval">' not in page
    assert "Brought in from june.csv, not signed" in rosa.get("/days/2026-06-02").text
    brought_in = "Results were brought in from june.csv; nobody saw them entered."
    assert brought_in in rosa.get("/days/2026-06-02/approval").text
    assert brought_in not in rosa.get("/days/2026-06-04/approval").text


def test_who_may_bring_nothing_in_is_told_who_may(visit):
    page = visit("administrator").get("/imports").text
    assert "A chemist or a chief chemist brings files in" in page
    assert "mill-ledger season" in visit("administrator").get("/manual/imports").text
    assert "mill-ledger season" not in visit("ann").get("/manual/imports").text
