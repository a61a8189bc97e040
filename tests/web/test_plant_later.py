"""What was chosen for a later day: the forms begin with it, and the trail of that day tells it."""

import re
from html import unescape

import pytest

from app.ledger.trail import Asked, told
from app.reports.checks import CHECKS
from tests.web.test_plant import BRIX, LIMITS, PH, TOMORROW, hidden_of, look

EQUIPMENT = "/plant/conventions/equipment"
TARGET = "/plant/targets/pol_extraction"


@pytest.fixture
def noor(visit):
    """The administrator."""
    return visit("administrator")


def choose(visitor, address, **typed):
    """Choose what the form of a page holds, but for what is `typed`."""
    form = form_of(visitor.get(address)) | {"reason": "so it is"} | typed
    answer = visitor.post(address, hidden_of(look(visitor, address, **form)))
    assert answer.status_code == 303
    return answer


def form_of(page):
    """What the form of a subject begins with."""
    form = page.text.partition('id="choose"')[2].partition("</form>")[0]
    chosen = re.findall(r'<select [^>]*name="(\w+)".*?value="([^"]*)" selected', form, re.DOTALL)
    return dict(re.findall(r'<input [^>]*name="(\w+)"[^>]*? value="([^"]*)"', form) + chosen)


def text_of(page):
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", page.text)).split())


def was_and_is(page, title):
    """What the trail tells of the newest choice of that title: what was, and what is."""
    row = next(row for row in page.text.split("<tr>") if f">{title}</a>" in row or title in row)
    return [unescape(re.sub("<[^>]+>", "", cell)) for cell in re.findall(r"<td.*?</td>", row)]


def test_a_form_begins_with_tomorrow_and_what_holds_where_nothing_was_chosen_for_later(noor):
    page = noor.get(PH)
    assert form_of(page)["since"] == TOMORROW
    assert form_of(page)["often"] == "shift-0"
    assert "was chosen for" not in text_of(page)


@pytest.mark.parametrize(
    ("address", "first", "second", "kept"),
    [
        (PH, {"often": "shift-2", "rule": "mean"}, {"usual_high": "7.2"}, {"often": "shift-2"}),
        (EQUIPMENT, {"tandem_mills": "6"}, {"sulphitation": "juice"}, {"tandem_mills": "6"}),
        (BRIX, {"standard_molasses_brix": "86"}, {}, {"standard_molasses_brix": "86"}),
        (TARGET, {"value": "96.5"}, {}, {"value": "96.5"}),
    ],
)
def test_a_second_choice_begins_with_the_first_and_undoes_nothing_of_it(
    noor, address, first, second, kept
):
    choose(noor, address, since="2026-06-10", **first)
    page = noor.get(address)
    held = form_of(page)
    assert held["since"] == "2026-06-10"
    assert held.items() >= kept.items()
    assert "is what was chosen for Wednesday 10 June 2026, the latest" in text_of(page)
    if second:
        choose(noor, address, **second)
        assert form_of(noor.get(address)).items() >= (kept | second).items()


def test_the_trail_of_the_day_from_which_it_holds_tells_what_was_chosen_and_what_was(noor, bench):
    noor.post(PH, hidden_of(look(noor, PH, **LIMITS)))
    choose(noor, EQUIPMENT, tandem_mills="6", since=TOMORROW)
    choose(noor, EQUIPMENT, tandem_mills="4", since=TOMORROW)
    choose(noor, TARGET, value="96.5", since=TOMORROW)
    choose(noor, "/plant/parts/usual_range", in_use="no", since=TOMORROW)
    day = [event.kind for event in bench.read(told, Asked(bench.day.replace(day=4)))]
    assert day == ["part", "target", "convention", "convention", "sampling"]
    page = noor.get(f"/trail?day={TOMORROW}")
    assert "6.9 to 7.3" in text_of(page)  # as it was
    assert "6.9 to 7.2" in text_of(page)
    words = text_of(page)
    assert re.search(r"no target 96.5 since 4 Jun 2026", words)
    assert re.search(r"6 4 since 4 Jun 2026", words)
    assert re.search(r"5 6 since 4 Jun 2026", words)
    assert f"{CHECKS['usual_range'].title} switched on switched off since 4 Jun 2026" in words


def test_what_was_chosen_for_a_day_is_looked_through_with_the_day(noor, visit):
    """A-15"""
    choose(noor, TARGET, value="96.5", since=TOMORROW)
    chief, day = visit("chief"), f"/trail?day={TOMORROW}"
    upto = re.search(r'name="upto" value="(\d+)"', chief.get(day).text).group(1)
    sent = {"day": TOMORROW, "upto": upto, "remark": ""}
    assert chief.post("/trail/reviews", sent).headers["location"] == day
    assert 'action="/trail/reviews"' not in chief.get(day).text


def test_a_review_names_each_sheet_on_which_boxes_first_appear_or_go(noor):
    page = text_of(
        look(noor, EQUIPMENT, **form_of(noor.get(EQUIPMENT))
             | {"extraction_plant": "diffuser", "reason": "a diffuser", "since": "2026-06-08"})
    )  # fmt: skip
    sheets = re.findall(r"First on shift (\d) of (\w+ \d+ June) 2026", page)
    assert len(sheets) == len({*sheets}) > 1
    assert sheets[0] == ("1", "Monday 8 June")
    assert "Press water, brix" in page
    assert "Mill 1 bagasse, pol" in page


def test_today_says_that_nothing_is_entered_for_yesterday(ann):
    words = text_of(ann.get("/"))
    assert "Nothing is entered for yesterday, Tuesday 2 June 2026" in words
    assert "has no day before" not in words
