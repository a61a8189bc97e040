"""The forecast over HTTP: it asks for an estimate of the crop, of this season alone."""

import csv
import io
from dataclasses import replace
from datetime import date, timedelta

import pytest

from app.database import writing
from app.ledger import mills
from tests.bench import NOON
from tests.small_season import JUNE, load, results

FIRST = date(2026, 6, 1)
PAGE = "/seasons/2026/forecast"


def of_weeks(count):
    """Results of so many weeks alike, but that cane varies by up to 2 % from week to week."""
    for week in range(count):
        more = {"cane": 1 + 0.01 * (3 * week % 5 - 2)}
        for day, number, measure, value in results(JUNE):
            yield day + timedelta(days=7 * week), number, measure, value * more.get(measure, 1)


def crushed(weeks, count):
    """The cane of the last `weeks` of so many."""
    since = FIRST + timedelta(days=7 * (count - weeks))
    return sum(row[3] for row in of_weeks(count) if row[2] == "cane" and row[0] >= since)


@pytest.fixture
def after(app, visit):
    """Give a chemist who visits when so many days of the season are over."""

    def signed_in(days):
        app.state.clock = lambda: NOON + timedelta(days=days - 2)
        return visit("ann")

    return signed_in


@pytest.fixture
def reader(after, bench):
    """A chemist of a mill that has seven weeks of some 3600 t a day, at their end."""
    load(bench, of_weeks(7))
    return after(49)


def estimate(bench, tonnes, since=FIRST, source="fields walked"):
    with writing(bench.engine) as connection:
        mills.add_convention(
            connection, bench.mill, name="cane_estimate", value=tonnes, since=since, source=source,
            by=bench.ann, at=NOON,
        )  # fmt: skip


def rows_of(visitor):
    return {
        (row["name"], row["day"]): row
        for row in csv.DictReader(io.StringIO(visitor.get(f"{PAGE}.csv").text, newline=""))
    }


def test_without_an_estimate_of_the_crop_the_page_asks_for_one(reader):
    page = reader.get(PAGE).text
    assert "Nobody has estimated the cane of this season." in page
    assert 'href="/plant/conventions/cane_estimate"' in page
    assert "Likeliest" not in page
    assert rows_of(reader) == {}


def test_the_end_is_where_the_estimated_cane_is_in(reader, bench):
    estimate(bench, "250000")
    page = reader.get(PAGE).text
    assert "Crushing ends about" in page
    assert "fields walked" in page
    assert "<svg" in page
    rows = rows_of(reader)
    days, left = (float(rows[name, ""]["likeliest"]) for name in ("days_left", "cane_left"))
    assert float(rows["cane_of_season", ""]["likeliest"]) == 250000
    assert left == pytest.approx(250000 - crushed(7, 7), abs=0.1)
    assert days == pytest.approx(left / (crushed(6, 7) / 42), rel=1e-6)
    for row in rows.values():
        assert float(row["low"]) <= float(row["likeliest"]) <= float(row["high"])
    ended = date(2026, 7, 19) + timedelta(days=-(-days // 1))
    assert f"{ended:%A} {ended.day} {ended:%B} 2026" in page


def test_the_crop_is_unsure_by_what_was_to_come_on_the_day_of_the_estimate(reader, bench):
    """5 % of 250 000 t at the start; of what was left by then, four weeks on: 8 of 10, 1.2816."""
    estimate(bench, "250000")
    from_start = rows_of(reader)["cane_of_season", ""]
    assert float(from_start["high"]) - 250000 == pytest.approx(1.2816 * 12500, rel=1e-4)
    estimate(bench, "250000", FIRST + timedelta(days=28))
    later = rows_of(reader)["cane_of_season", ""]
    to_come = 250000 - crushed(4, 4)
    assert float(later["high"]) - 250000 == pytest.approx(1.2816 * 0.05 * to_come, rel=1e-4)


def test_an_estimate_of_the_season_before_is_none_of_this_one(reader, bench):
    with writing(bench.engine) as connection:
        mills.add_season(
            connection, bench.mill, name="2025", first_day=date(2025, 6, 1),
            last_day=date(2025, 11, 30), at=NOON,
        )  # fmt: skip
    estimate(bench, "250000", date(2025, 8, 1))
    assert "Nobody has estimated the cane of this season." in reader.get(PAGE).text
    estimate(bench, "250000", date(2026, 5, 1))  # before the first day, of the fields
    assert "Crushing ends about" in reader.get(PAGE).text


def test_more_crushed_than_was_estimated_is_said(reader, bench):
    estimate(bench, "1000")
    page = reader.get(PAGE).text
    assert "and 1000 t estimated: all of it is in." in page
    assert 'href="/plant/conventions/cane_estimate"' in page


def test_a_young_season_has_no_forecast_yet(after, bench):
    load(bench, of_weeks(2))
    estimate(bench, "250000")
    assert "A forecast needs 42 days of the season; 14 are over." in after(14).get(PAGE).text


def test_a_weight_of_cane_that_lacks_is_named_and_nothing_is_guessed(after, bench):
    rows = [row for row in of_weeks(7) if row[:3] != (date(2026, 7, 15), 2, "cane")]
    load(bench, rows)
    estimate(bench, "250000")
    page = after(49).get(PAGE).text
    assert "The weight of cane lacks in these days: 13 Jul – 19 Jul." in page
    assert "Likeliest" not in page


def test_the_page_of_a_season_leads_to_its_end(reader):
    assert f'href="{PAGE}"' in reader.get("/seasons/2026").text


@pytest.mark.parametrize("days", [49, 60])
def test_of_a_season_that_has_ended_neither_page_nor_file_forecasts(reader, bench, days):
    began, gone = date(2025, 6, 2), timedelta(days=364)
    with writing(bench.engine) as connection:
        past = mills.add_season(
            connection, bench.mill, name="2025", first_day=began,
            last_day=began + timedelta(days=days - 1), at=NOON,
        )  # fmt: skip
    load(replace(bench, season=past), ((day - gone, *rest) for day, *rest in of_weeks(7)))
    estimate(bench, "250000", began)
    page = reader.get("/seasons/2025/forecast").text
    assert "The season ended on" in page
    assert "nothing is to come." in page
    assert "Crushing ends about" not in page
    assert "forecast.csv" not in page
    assert reader.get("/seasons/2025/forecast.csv").text.count("\r\n") == 1
