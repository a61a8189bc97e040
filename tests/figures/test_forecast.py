"""The forecast of a season's end: on whole seasons that are known, and how often its band holds."""

import math

import numpy as np
import pytest

from app.figures.forecast import BLOCK, FROM_BLOCKS, SHARE, Forecast, Span, ahead, student
from tests.examples import published

DAYS = 180
EXACT = {"rel": 1e-12}


def forecast(cane=(35_000.0,) * 8, sugar_on_cane=0.11, **otherwise) -> Forecast:
    cane = np.array(cane)
    known = {"crushed": 700_000.0, "made": 80_000.0, "left": 70_000.0, "unsure": 0.0}
    return Forecast(cane, cane * sugar_on_cane, **known | otherwise)


@pytest.mark.parametrize("row", published("student_t"), ids=lambda row: row["free"])
def test_students_t_is_that_of_tables(row):
    assert student(float(row["free"])) == pytest.approx(float(row["within"]), abs=0.005)


def test_an_even_season_ends_when_its_cane_is_in():
    even = forecast()
    assert even.days == Span(14.0, 0.0)
    assert even.cane_at_end == Span(770_000.0, 0.0)
    assert even.sugar_at_end.middle == pytest.approx(80_000 + 7_700, **EXACT)
    assert even.sugar_at_end.reach == pytest.approx(0, abs=1e-6)


def test_sugar_per_cane_goes_on_along_its_line():
    """Over two blocks to come the mean lies one block past the first of them."""
    falling = ahead(np.array([0.120, 0.119, 0.118, 0.117, 0.116, 0.115]), 2, sloping=True)
    assert falling.middle == pytest.approx(0.1135, **EXACT)


def test_a_mean_to_come_is_as_unsure_as_the_textbook_says():
    """By hand: 90 and 110 in turn have a standard deviation of √120 = 10.954; 4 more of them."""
    span = ahead(np.array([90.0, 110, 90, 110, 90, 110]), 4, sloping=False)
    assert span.middle == 100
    assert span.reach == pytest.approx(1.476 * 10.954 * math.sqrt(1 / 4 + 1 / 6), rel=2e-3)


def test_the_band_is_as_wide_as_the_forecast_missed_before():
    """A level that shifts from week to week is foreseen worse than its last weeks look."""
    calm = [100.0, 101, 99, 100, 101, 99]
    steps = np.array([60.0, 60, 60, 60, 60, 60, 150, 150, 150, 150, *calm])
    assert ahead(steps, 4, sloping=False).reach > 5 * ahead(np.array(calm), 4, sloping=False).reach


def test_what_the_crop_is_unsure_by_widens_days_and_sugar():
    """By hand: 4000 t at 5000 t a day are 0.8 day, and at 11 % 440 t of sugar; 8 of 10, 1.2816."""
    unsure = forecast(unsure=4000.0)
    assert unsure.days.reach == pytest.approx(1.2816 * 0.8, rel=1e-4)
    assert unsure.sugar_at_end.reach == pytest.approx(1.2816 * 440, rel=1e-4)


def test_the_season_to_date_reaches_its_end_and_stays_there():
    unsure = forecast(unsure=4000.0)
    assert unsure.cane_after(7) == Span(735_000.0, 0.0)
    for days in (28, 70):
        assert unsure.cane_after(days).middle == pytest.approx(unsure.cane_at_end.middle, **EXACT)
        assert unsure.cane_after(days).high == pytest.approx(unsure.cane_at_end.high, **EXACT)
        assert unsure.sugar_after(days).middle == pytest.approx(87_700, **EXACT)


def test_sugar_to_date_never_falls_past_the_end_along_a_falling_line():
    shares = np.array([0.122, 0.121, 0.12, 0.119, 0.117, 0.116, 0.115, 0.113])
    falling = forecast(sugar_on_cane=shares)
    end = falling.sugar_at_end
    for days in (BLOCK * falling.blocks_left, 28, 70):
        assert falling.sugar_after(days).middle == pytest.approx(end.middle, **EXACT)


def test_a_week_without_cane_counts_in_days_and_not_in_sugar_per_cane():
    stood = forecast((35_000.0, 35_000, 35_000, 0, 35_000, 35_000, 35_000))
    assert stood.enough
    assert stood.crushed_a_day == pytest.approx(5000 * 5 / 6, **EXACT)
    assert stood.sugar_per_cane.middle == pytest.approx(0.11, **EXACT)
    assert not forecast((35_000.0,) * (FROM_BLOCKS - 1)).enough
    assert not forecast((35_000.0, *(0.0,) * FROM_BLOCKS)).enough


def test_it_says_whether_an_end_so_far_off_could_be_tried():
    assert forecast((35_000.0,) * 20).tried
    assert not forecast((35_000.0,) * 8).tried


CURVES = {
    "rises and falls": lambda gone: 0.115 + 0.012 * (1 - ((gone - 0.55) / 0.5) ** 2),
    "even": lambda gone: 0.115 + 0 * gone,
    "rises": lambda gone: 0.110 + 0.012 * gone,
}


def a_season(random, curve):
    """Cane and sugar of each day: rate and sugar that follow from day to day, stops and rain."""
    rate, quality = (_wandering(random, memory) for memory in (0.8, 0.9))
    gone = np.arange(DAYS) / DAYS
    cane = 5000 * (1 + 0.05 * rate + 0.08 * np.sin(np.pi * gone))
    cane *= 1 - np.minimum(random.exponential(0.06, DAYS), 1)
    for day in np.flatnonzero(random.random(DAYS) < 1 / 45):
        cane[day : day + random.integers(1, 4)] *= random.uniform(0, 0.3)
    shares = curve(gone) + 0.0025 * quality + random.normal(0, 0.002, DAYS)
    return cane, cane * shares


def _wandering(random, memory):
    steps, now, found = random.standard_normal(DAYS), random.standard_normal(), np.empty(DAYS)
    for day, step in enumerate(steps):
        now = memory * now + math.sqrt(1 - memory**2) * step
        found[day] = now
    return found


def held(curve, left, tries=150):
    """How often days and sugar of the end lay in their bands, so many days before it."""
    random, now = np.random.default_rng(2026), DAYS - left
    in_days = in_sugar = 0
    for _ in range(tries):
        cane, sugar = a_season(random, curve)
        blocks = [
            tonnes[now % BLOCK : now].reshape(-1, BLOCK).sum(axis=1) for tonnes in (cane, sugar)
        ]
        unsure = 0.05 * cane[now:].sum()
        estimate = cane[now:].sum() + random.normal(0, unsure)
        made = Forecast(*blocks, cane[:now].sum(), sugar[:now].sum(), estimate, unsure)
        in_days += abs(made.days.middle - left) <= made.days.reach
        in_sugar += abs(made.sugar_at_end.middle - sugar.sum()) <= made.sugar_at_end.reach
    return in_days / tries, in_sugar / tries


@pytest.mark.parametrize("left", [14, 30, 60])
@pytest.mark.parametrize("curve", CURVES.values(), ids=CURVES)
def test_the_band_holds_about_as_often_as_it_says(curve, left):
    """On simulated seasons, of whatever shape, by cane that follows itself from day to day."""
    for share in held(curve, left):
        assert share == pytest.approx(SHARE, abs=0.12)
