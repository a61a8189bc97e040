"""Records as pages print them: decimals, times, and the columns in which something stands."""

from dataclasses import dataclass, field
from datetime import UTC, date, datetime

import pytest

from app.language import speaking
from app.plant.books.boiling import CRYSTALLIZERS
from app.plant.books.giving import with_worked
from app.plant.books.laboratory import REAGENTS, STANDARD_CHECKS
from app.plant.books.reading import Span, read_record
from app.plant.books.utilities import METERS
from app.reports.books import BookOfShift, columns_of, lines_of, record_name, with_following
from app.reports.instruments import Check, checks_of

SPAN = Span("Etc/UTC", datetime(2026, 7, 14, 6, tzinfo=UTC), datetime(2026, 7, 14, 14, tzinfo=UTC))


@dataclass(frozen=True)
class Kept:
    fields: dict
    span: Span = SPAN
    id: int = 1
    day: date = date(2026, 7, 14)
    number: int = 1
    state: str = "stands"
    supersedes_id: int | None = None
    reason: str | None = None
    recorded_name: str = "Ann Field"
    recorded_at: datetime = field(default=SPAN.begins)


def of_shift(book, *records):
    valued = []
    for fields in records:
        values, wrong = read_record(book, fields, SPAN)
        assert not wrong
        values = with_following(book, with_worked(book, values, {}), {})
        valued.append((Kept(fields), values))
    return BookOfShift(book, columns_of(book), lines_of(book, valued))


def boxes(of, title):
    (place,) = [n for n, column in enumerate(of.columns) if column.title == title]
    return [line.boxes[place].text for line in of.lines]


def test_what_went_through_a_meter_has_the_decimals_of_its_readings():
    reading = {"what": "power", "meter": "G-1", "opening": "0"}
    of = of_shift(METERS, reading | {"closing": "934"}, reading | {"closing": "934.25"})
    assert boxes(of, "Went through") == ["934", "934.25"]


def test_a_small_error_of_a_balance_does_not_print_as_nothing():
    check = {
        "at": "08:00", "kind": "balance", "instrument": "W-1", "standard": "mass",
        "certified": "200", "reading": "199.9997", "tolerance": "0.002",
    }  # fmt: skip
    of = of_shift(STANDARD_CHECKS, check, check | {"reading": "200"})
    assert boxes(of, "Error") == ["−0.0003", "0.000"]
    assert boxes(of, "Error % of tolerance") == ["15", "0"]
    assert Check("balance", "W-1", SPAN.begins, -0.0003, 15, 1).error_words == "−0.0003"


@pytest.mark.parametrize(
    ("kind", "certified", "words"),
    [("refractometer", 15.0, "0.160 °Bx"), ("refractometer", 1.3478, "0.160"),
     ("thermometer", 20.0, "0.160 °C"), ("polarimeter", 40.0, "0.160")],
)  # fmt: skip
def test_an_error_has_a_unit_where_one_alone_can_have_been_read(kind, certified, words):
    said = {"kind": kind, "instrument": "1", "at": SPAN.begins, "certified": certified,
            "error": 0.16, "error_on_tolerance": 160.0, "record": 1.0}  # fmt: skip
    (check,) = checks_of([said])
    assert check.error_words == words


def test_times_of_one_page_have_one_form():
    one = {"strike": "C1", "crystallizer": "K1", "filled": "07:00", "emptied": "11:56"}
    assert boxes(of_shift(CRYSTALLIZERS, one), "Filled") == ["07:00"]
    earlier = one | {"filled": "2026-07-13 11:56"}
    of = of_shift(CRYSTALLIZERS, one, earlier)
    assert boxes(of, "Filled") == [
        "14\N{NO-BREAK SPACE}Jul, 07:00",
        "13\N{NO-BREAK SPACE}Jul, 11:56",
    ]
    assert boxes(of, "Emptied") == ["14\N{NO-BREAK SPACE}Jul, 11:56"] * 2


def test_a_day_is_written_as_the_language_does():
    lot = {"lot": "F-1", "kind": "fehling", "name": "Fehling A", "good_until": "2026-11-09"}
    with speaking("fr"):
        assert boxes(of_shift(REAGENTS, lot), "Good until") == ["9 nov. 2026"]


def test_a_column_in_which_no_record_says_anything_is_named_and_not_printed():
    lot = {"lot": "F-1", "kind": "fehling", "name": "Fehling A"}
    of = of_shift(REAGENTS, lot, lot | {"lot": "F-2", "stored": "shelf 2"})
    shown = [of.columns[place].title for place in of.shown]
    assert shown == ["Lot", "Kind", "Name", "Where it is kept"]
    assert set(shown).isdisjoint(of.unsaid)
    assert len(of.unsaid) == len(of.columns) - 4


def test_a_record_is_known_by_its_key_or_by_when_and_what():
    assert record_name(REAGENTS, {"lot": "F-1", "name": "Fehling A"}) == "F-1"
    filled = {"strike": "C1", "crystallizer": "K1", "filled": "07:00"}
    assert record_name(CRYSTALLIZERS, filled) == "C1 K1 07:00"
