"""The page of the trail: by day and person, what came after signing, and that somebody looked."""

import re

import pytest

from tests.web.conftest import SHEET

DAY = "/trail?day=2026-06-03"


@pytest.fixture
def chief(visit):
    return visit("chief")


def rows(page):
    return re.findall(r'<tr><th scope="row" class="num">(\d+)</th>', page.text)


def test_today_is_shown_where_nothing_is_asked_for(ann):
    ann.save("cane", "1250")
    page = ann.get("/trail")
    assert "Trail <small>Wednesday 3 June 2026" in page.text
    assert f'<a href="{SHEET}/cells/cane">Cane crushed, shift 1</a>' in page.text


def test_the_trail_of_a_cell_is_one_step_from_the_day(ann):
    """A-15: and it names the event."""
    ann.save("cane", "1250")
    newest = rows(ann.get(DAY))[0]
    place = f'<a href="/trail?before={int(newest) + 1}">{newest}</a>'
    assert place in ann.get(f"{SHEET}/cells/cane").text


def test_a_person_is_asked_for_by_name(ann, visit):
    ann.save("cane", "1250")
    visit("bob").save("lime", "1.5")
    assert "Lime" in ann.get("/trail?person=bob").text
    assert "Cane crushed" not in ann.get("/trail?person=bob").text.split("</form>", 2)[2]


@pytest.mark.parametrize("day", ["yesterday", "2026-13-01", "1e9", "2026-06-3"])
def test_a_day_that_is_none_is_said_beside_its_box_and_kept(ann, day):
    page = ann.get(f"/trail?day={day}")
    assert page.status_code == 422
    assert "Write the day like 2026-07-14" in page.text
    assert f'value="{day}"' in page.text


def test_who_looked_through_a_day_is_kept(ann, chief):
    """A-15"""
    ann.save("cane", "1250")
    page = chief.get(DAY)
    upto = re.search(r'name="upto" value="(\d+)"', page.text).group(1)
    sent = {"day": "2026-06-03", "upto": upto, "remark": "fine"}
    assert chief.post("/trail/reviews", sent).headers["location"] == DAY
    page = chief.get(DAY)
    assert page.text.count(">Chief Chemist</td></tr>") == 2
    assert 'action="/trail/reviews"' not in page.text
    ann.save("lime", "1.5")
    assert "1 event of this day was not looked at" in chief.get(DAY).text


@pytest.mark.parametrize("who", ["ann", "auditor", "administrator"])
def test_only_the_chief_chemist_and_the_manager_review(ann, visit, who):
    ann.save("cane", "1250")
    visitor = visit(who)
    assert 'action="/trail/reviews"' not in visitor.get(DAY).text
    assert visitor.post("/trail/reviews", {"day": "2026-06-03", "upto": "1"}).status_code == 403


@pytest.mark.parametrize(
    ("sent", "status"),
    [
        ({"day": "never", "upto": "1"}, 422),
        ({"day": "2026-06-03", "upto": "x"}, 422),
        ({"day": "2026-06-03", "upto": "999999"}, 422),
        ({"day": "2020-01-01", "upto": "1"}, 404),
    ],
)
def test_a_review_of_what_is_not_there_is_refused(ann, chief, sent, status):
    ann.save("cane", "1250")
    assert chief.post("/trail/reviews", sent).status_code == status


def test_what_was_typed_is_shown_as_text_whatever_it_is(ann):
    """B-86"""
    ann.save("cane", "1250")
    standing = re.search(r'based_on:cane" value="(\d+)"', ann.get(SHEET).text).group(1)
    words = "<script>alert(1)</script>"
    assert ann.save("cane", "1205", standing, reason="other", words=words).status_code == 200
    page = ann.get(DAY).text
    assert "&lt;script&gt;alert(1)&lt;/script&gt;" in page
    assert words not in page
