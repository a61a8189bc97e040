"""Each station of the factory: a number entered, a figure made of it, and its place in a report."""

import pytest

from tests.whole_factory import whole_day

# the demonstration has no refinery (see test_books_boiling); tables of vessels stand from the first
# day of the books on, and reagents are no numbers of the account
NOT_ON_THE_DAY = {"melts", "calibrations", "reagents"}


@pytest.fixture(scope="module")
def rows():
    return {row.book.name: row for row in whole_day()}


def test_every_book_has_a_number_a_figure_and_a_report_on_the_day(rows):
    lacking = {
        name: row
        for name, row in rows.items()
        if name not in NOT_ON_THE_DAY and not (row.entered and row.figure and row.report)
    }
    assert lacking == {}


def test_what_feeds_the_account_is_in_the_morning_report(rows):
    for name in ("consignments", "dosing", "filters", "strikes", "bagging", "stops", "meters"):
        assert rows[name].report == "morning report", name
