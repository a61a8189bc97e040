"""Melts of a refinery behind the mill: what they give, worked by hand."""

from datetime import UTC, date, datetime

import pytest

from app.plant.books import BOOKS
from app.plant.books.giving import giving, with_worked
from app.plant.books.reading import Span, read_record
from app.plant.plan import Plan
from app.plant.streams import Equipment
from app.reports.books import books_in_use

MELTS = BOOKS["melts"]
MORNING = Span("Etc/UTC", datetime(2026, 6, 3, 6, tzinfo=UTC), datetime(2026, 6, 3, 14, tzinfo=UTC))
FIRST = {"at": "07:00", "raw_sugar": "60", "pol": "98.6", "colour": "1500", "filter_aid": "90",
         "melt_liquor_colour": "1400", "fine_liquor_colour": "350"}  # fmt: skip
SECOND = {"at": "11:00", "raw_sugar": "20", "pol": "99", "colour": "1100"}


def said(typed):
    values, wrong = read_record(MELTS, typed, MORNING)
    assert wrong == {}
    return with_worked(MELTS, values, {})


def test_melts_are_summed_and_their_analyses_meant_by_the_tonnes_melted():
    found = {n: g.value for n, g in giving(MELTS, [said(FIRST), said(SECOND)]).given.items()}
    assert found == {
        "raw_sugar_melted": 80, "raw_sugar_melted_pol": pytest.approx(98.7),
        "raw_sugar_melted_colour": pytest.approx(1400), "melt_liquor_colour": 1400,
        "fine_liquor_colour": 350,
    }  # fmt: skip


def test_a_melt_says_what_it_took_of_filter_aid_and_of_colour():
    melt = said(FIRST)
    assert melt["filter_aid_on_sugar"] == 1.5
    assert melt["colour_removed"] == pytest.approx(75)


@pytest.mark.parametrize("refinery", [True, False])
def test_the_book_of_melts_is_kept_where_there_is_a_refinery(refinery):
    day = date(2026, 6, 3)
    plan = Plan([(day, Equipment("tandem", 5, refinery=refinery))])
    assert (MELTS in books_in_use(plan, day)) is refinery
