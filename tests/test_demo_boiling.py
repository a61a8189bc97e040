"""Stock-taking and curing of the invented mill: what refers to records of another book."""

from datetime import timedelta

import pytest

from app.database import open_database, reading
from app.exports.following import values_of
from app.ledger import booked, mills
from app.ledger.booked import differences
from app.plant.books import BOOKS
from app.plant.measures import MEASURES
from demo_data import season
from demo_data.books import SINCE
from demo_data.typed import FIRST_DAY, chosen_texts, due_texts
from demo_data.vessels import DIPS, VESSELS
from tests.served import demo_database

LAST = SINCE + timedelta(days=1)  # of the days that are over


@pytest.fixture(scope="module")
def ledger(tmp_path_factory):
    engine = open_database(f"sqlite:///{demo_database(tmp_path_factory.mktemp('demo'))}")
    with reading(engine) as connection:
        mill = mills.the_mill(connection)
        (only,) = mills.seasons(connection, mill)
        yield connection, mill, only
    engine.dispose()


def records(ledger, book, last=LAST):
    connection, mill, only = ledger
    return [v for _, v in values_of(connection, mill, only, BOOKS[book], SINCE, last)]


def test_the_dips_of_a_day_make_the_stock_that_the_sheet_would_have_had(ledger):
    connection, _mill, only = ledger
    due = due_texts(season.true_season())
    texts, tried = {**chosen_texts(season.true_season(), due), **due}, 0
    given, _counts = booked.given_of_days(connection, only, BOOKS["dips"], SINCE, LAST)
    for day, made in given:
        text = texts[made.measure][(day - FIRST_DAY).days * 3 + 2]
        apart = 10 ** -MEASURES[made.measure].decimals
        assert made.value == pytest.approx(float(text), abs=apart), made.measure
        tried += 1
    assert tried == 2 * len(DIPS.gives)


def test_every_vessel_is_dipped_within_its_table_at_the_end_of_each_day(ledger):
    dips = records(ledger, "dips")
    assert len(dips) == 2 * sum(len(vessels) for vessels in VESSELS.values())
    assert all("volume_taken" in dip and "contents" in dip for dip in dips)
    assert any(dip["volume_taken"] == 0 for dip in dips)


def test_what_was_cured_is_followed_back_to_the_strike_in_the_pan(ledger):
    drops = [each["purity_drop"] for each in records(ledger, "crystallizers")]
    assert len(drops) == 3  # on the last of the days: strikes of the day before
    assert all(2 < drop < 6 for drop in drops)
    cured = [each for each in records(ledger, "centrifugals") if "purity_rise" in each]
    of_c = [each["purity_rise"] for each in cured if each["grade"] == "c"]
    assert len(of_c) == 6
    assert all(0.5 < rise < 3 for rise in of_c)


def test_the_reading_side_is_what_the_records_give(ledger):
    connection, _mill, only = ledger
    assert differences(connection, [only]) == []
