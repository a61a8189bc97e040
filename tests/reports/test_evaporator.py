"""The report of the evaporator: effect by effect, and how its coefficients change by the day."""

from datetime import date, timedelta

import numpy as np
import pytest
from scipy.stats import linregress

from app.plant.measures import MEASURES
from app.plant.plan import Plan
from app.plant.streams import Equipment
from app.reports.evaporator import evaporator_over
from app.reports.season_books import SeasonBooks
from tests.reports.mill_in_balance import MONDAY, Shift, Table

TODAY = MONDAY + timedelta(days=3)
# two effects: 15 to 30 to 60 brix, of 1000 t of juice 500 t of water and then 250 t
EVAPORATOR = {
    "cane": 900, "crushing_hours": 8, "clear_juice": 1000, "clear_juice_brix": 15,
    "effect_1_brix": 30, "syrup_brix": 60, "evaporator_steam_temperature": [120, 121, 122, 122],
    "effect_1_temperature": 110, "effect_1_vapour_temperature": 108, "effect_2_temperature": 65,
}  # fmt: skip
CONVENTIONS = {"effect_1_surface": "2500", "effect_2_surface": "2000", "evaporator_effects": "2"}


@pytest.fixture
def books():
    """Four days of one shift; the last of them runs."""
    measures = {name: np.full(4, np.nan) for name in MEASURES} | {
        name: np.broadcast_to(np.asarray(value, float), 4) for name, value in EVAPORATOR.items()
    }
    measures["effect_2_vapour_pressure"] = np.array([15.7614, 15.7614, np.nan, 15.7614])
    measures["gross_hours"] = np.full(4, 8.0)
    keys = [Shift(MONDAY + timedelta(days=n), 1) for n in range(4)]
    rows = [(name, value, date.min, "the mill") for name, value in CONVENTIONS.items()]
    plan = Plan([(date.min, Equipment("tandem", 5, effects=2))])
    return SeasonBooks(Table(keys, measures), rows, [], plan)


def texts(cells):
    return [cell.text for cell in cells]


def test_an_effect_falls_behind_dessin_as_it_asks_for_hotter_steam(books):
    """By hand: 1000 × 500 ÷ (2500 × 8) = 25, ÷ 10 K = 2.5, and 2.5 ÷ (0.07 × 66) = 54 %.

    With steam of 122 °C 25 ÷ 12 = 2.083, which is 44 % of 0.07 × 68.
    """
    found = evaporator_over(books, MONDAY, TODAY, TODAY)
    assert found.effects == ("Effect 1", "Effect 2")
    assert [day.day for day in found.days] == [MONDAY + timedelta(days=n) for n in range(3)]
    assert [day.cells[0].text for day in found.days] == ["54", "48", "44"]


def test_a_change_of_scale_says_whether_it_is_more_than_noise(books):
    """A straight line through the three days, by scipy.stats.linregress."""
    found = evaporator_over(books, MONDAY, TODAY, TODAY)
    line = linregress(range(3), [day.cells[0].value for day in found.days])
    assert found.change[0] == f"−{abs(2 * line.slope):.0f} ±\u00a0{2 * 2 * line.stderr:.0f}"


def test_two_days_are_too_few_to_tell_a_change_from_noise(books):
    found = evaporator_over(books, MONDAY, MONDAY + timedelta(days=1), TODAY)
    assert found.change == ("", "")


def test_rounds_of_one_shift_are_not_marked_as_partly_analysed():
    """Three shifts a day, of which one made a round."""
    measures = {name: np.full(3, np.nan) for name in MEASURES} | {
        name: np.full(3, np.ravel(value)[0], float) for name, value in EVAPORATOR.items()
    }
    measures["effect_1_brix"] = np.array([np.nan, 30, np.nan])
    measures["gross_hours"] = np.full(3, 8.0)
    plan = Plan([(date.min, Equipment("tandem", 5, effects=2))])
    keys = [Shift(MONDAY, number) for number in (1, 2, 3)]
    found = evaporator_over(SeasonBooks(Table(keys, measures), [], [], plan), MONDAY, TODAY, TODAY)
    (brix,) = [line for line in found.lines if line.name == "brix"]
    assert texts(brix.cells)[0] == "30.00"
    assert brix.cells[0].coverage == ""


def test_all_days_together_have_one_line_for_each_figure(books):
    """By hand, at 121 °C: 25 ÷ 11 = 2.27 of 0.07 × 67 = 4.69; and 250 ÷ (2000 × 8) = 15.6."""
    found = evaporator_over(books, MONDAY, TODAY, TODAY)
    lines = {line.name: texts(line.cells) for line in found.lines}
    assert lines["brix"] == ["30.00", "60.00"]
    assert lines["evaporation_share"] == ["66.7", "33.3"]
    assert lines["specific_evaporation"] == ["25.0", "15.6"]
    assert lines["evaporation_coefficient"][0] == "2.27"
    assert lines["dessin_coefficient"][0] == "4.69"


def test_vapour_whose_pressure_alone_was_read_has_the_temperature_of_saturation(books):
    """15.7614 kPa saturates at 55 °C: IAPWS-IF97."""
    found = evaporator_over(books, MONDAY, MONDAY, TODAY)
    lines = {line.name: texts(line.cells) for line in found.lines}
    assert lines["vapour_temperature"] == ["108.0", "55.0"]
    assert "" not in lines["heat_transfer"]


def test_a_surface_that_is_not_stated_leaves_the_coefficient_out(books):
    other = SeasonBooks(
        Table(books.shifts, books.measures),
        [row for row in books.convention_rows if row[0] != "effect_1_surface"], [], books.plan,
    )  # fmt: skip
    found = evaporator_over(other, MONDAY, TODAY, TODAY)
    assert [day.cells[0].value for day in found.days] == [None] * 3
    assert all(day.cells[0].missing for day in found.days)
    assert found.change[0] == ""


def test_days_that_are_not_over_or_not_of_the_season_have_no_coefficient(books):
    assert evaporator_over(books, TODAY, TODAY, TODAY) is None
    later = TODAY + timedelta(days=10)
    assert evaporator_over(books, later, later, later) is None
