"""The other books of the invented mill: their records make what the sheet would have had."""

from collections import defaultdict
from datetime import timedelta

import pytest

from app.plant.books import BOOKS
from app.plant.books.giving import giving, in_order, with_worked
from app.plant.books.reading import Span, read_record
from app.plant.measures import MEASURES
from app.plant.typed import read
from demo_data import season
from demo_data.books import SINCE
from demo_data.kept import KEPT, given
from demo_data.typed import FIRST_DAY, chosen_texts, due_texts

# an analysis of a shift is the mean of a few records, each rounded; hours are told by the minute
ROUNDED = {"hours": 0.5 / 60}


@pytest.fixture(scope="module")
def demo():
    return season.demo_season()


@pytest.fixture(scope="module")
def shifts(demo):
    """The values of each record by day, shift and book."""
    found = defaultdict(list)
    for row in demo.records:
        span = Span(season.ZONE, *season.CLOCK.shift_bounds(row.day, row.number))
        values, wrong = read_record(BOOKS[row.book], row.typed, span)
        assert not wrong, (row, wrong)
        found[row.day, row.number, row.book].append(with_worked(BOOKS[row.book], values, {}))
    return found


def on_sheet():
    due = due_texts(season.true_season())
    return {**chosen_texts(season.true_season(), due), **due}


@pytest.mark.parametrize("kept", KEPT, ids=lambda kept: kept.book)
def test_every_book_has_records_on_every_day_and_none_before_its_time(demo, kept):
    rows = [row for row in demo.records if row.book == kept.book]
    assert rows
    assert min(row.day for row in rows) >= SINCE
    assert all(row.recorded_at < demo.now for row in rows)


def test_records_give_what_the_sheet_would_have_had(shifts, demo):
    """What a book does not refer to others for is compared over the shifts that are over."""
    texts, tried = on_sheet(), 0
    for (day, number, name), records in shifts.items():
        if day == demo.now.date() or BOOKS[name].refers:
            continue
        place = (day - FIRST_DAY) // timedelta(days=1) * 3 + number - 1
        made = giving(BOOKS[name], [v for _, v in in_order(BOOKS[name], [*enumerate(records)])])
        (kept,) = (k for k in KEPT if k.book == name)
        for measure in kept.gives & made.given.keys():
            if not texts[measure][place]:
                continue  # the sheet would have had it on another shift alone
            _state, expected = read(texts[measure][place])
            of = MEASURES[measure]
            apart = ROUNDED.get(of.prop, 10**-of.decimals)
            assert made.given[measure].value == pytest.approx(float(expected), abs=apart), measure
            tried += 1
    assert tried > 40


def test_hours_crushing_and_stopped_are_all_the_hours_by_the_minute(shifts, demo):
    hours = on_sheet()["crushing_hours"]
    days = {day for day, _number, _name in shifts if SINCE <= day < demo.now.date()}
    for day in days:
        for number in (1, 2, 3):
            place = (day - FIRST_DAY) // timedelta(days=1) * 3 + number - 1
            stops = shifts.get((day, number, "stops"), [])
            stopped = sum(each["hours"] for each in stops if each["crushing"] == "stopped")
            assert stopped + float(hours[place]) == pytest.approx(8, abs=len(stops) / 60)


def test_what_books_give_is_not_typed_on_the_sheet_too(demo):
    assert given()
    assert not {row.measure for row in demo.history if row.day >= SINCE} & given()
