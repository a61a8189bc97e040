"""The survey of the tandem: what it gives the week, and what each mill did."""

from datetime import UTC, date, datetime

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.chemistry.extraction import net_individual_extraction
from app.figures.conventions import CONVENTIONS
from app.figures.of_records import follow
from app.plant.books import BOOKS
from app.plant.books.giving import giving, with_worked
from app.plant.books.reading import Span, read_record
from app.reports.mill_survey import Cane, curve, mill_surveys
from tests.figures.mills import plausible

BOOK = BOOKS["mill_survey"]
SHIFT = Span("UTC", datetime(2026, 6, 3, 6, tzinfo=UTC), datetime(2026, 6, 3, 14, tzinfo=UTC))
FIVE = {date(2026, 6, day): 5 for day in (3, 4)}  # mills
DEFAULTS = {name: convention.default for name, convention in CONVENTIONS.items()}


def sample(mill, **typed):
    typed = {"sampled": "08:00", "mill": mill} | typed
    values, wrong = read_record(BOOK, typed, SHIFT)
    assert not wrong
    return with_worked(BOOK, values, {})


def test_the_mills_before_the_last_make_the_results_of_each_mill():
    records = [
        sample("1", bagasse_pol="7.8", juice_brix="18", juice_pol="15.3"),
        sample("1", bagasse_pol="8.0", bagasse_moisture="57"),
        sample("2", bagasse_pol="5.6"),
    ]
    made = giving(BOOK, records).given
    assert {name: g.value for name, g in made.items()} == {
        "mill_1_bagasse_pol": pytest.approx(7.9), "mill_2_bagasse_pol": 5.6,
        "mill_1_bagasse_moisture": 57.0, "mill_1_juice_brix": 18.0, "mill_1_juice_pol": 15.3,
    }  # fmt: skip


def test_the_last_mill_gives_nothing_for_its_bagasse_is_that_of_every_shift():
    assert not giving(BOOK, [sample("last", bagasse_pol="1.6", bagasse_moisture="50")]).given


# Worked by hand: 100 - 50 - 100 × 2 ÷ 80 = 47.5, and 2 on 47.5 is 4.21 on 100.
def test_fibre_is_what_is_neither_water_nor_dissolved_with_the_purity_of_its_own_juice():
    values = {"bagasse_pol": 2.0, "bagasse_moisture": 50.0, "purity": 80.0}
    found = follow("mill_survey", values, DEFAULTS)
    assert found["bagasse_fibre"] == 47.5
    assert found["pol_on_fibre"] == pytest.approx(4.2105, abs=1e-4)


# Floating point alone parts the two sides, but for the two decimals that are printed.
@plausible
@given(st.lists(st.floats(30, 70), min_size=2, max_size=6))
def test_what_each_mill_took_is_as_from_the_extraction_up_to_each(shares):
    """Pol on fibre falls by what each mill takes; the cane itself is not needed for it."""
    on_fibre = 30 * np.cumprod([1 - share / 100 for share in shares])
    cumulative = 100 * (1 - on_fibre / 95)
    names = [str(n + 1) for n in range(len(shares))]
    place = {"day": "2026-06-03", "shift": 1.0}
    (survey,) = mill_surveys([
        {"mill": name, "pol_on_fibre": value, "bagasse_pol": value / 2, "bagasse_fibre": 50.0}
        | place
        for name, value in zip(names, map(float, on_fibre), strict=True)
    ], {}, FIVE)  # fmt: skip
    expected = net_individual_extraction(cumulative)[1:]
    found = [float(line.net_extraction) for line in survey.mills[1:]]
    assert found == pytest.approx(expected.tolist(), abs=0.0051)


def test_a_survey_is_of_one_shift_and_its_mills_stand_in_their_order():
    place = {"day": "2026-06-03", "shift": 1.0}
    records = [
        {"mill": "last", "juice_brix": 4.0, "purity": 70.0, **place},
        {"mill": "1", "juice_brix": 20.0, "purity": 85.0, **place},
        {"mill": "2", "juice_brix": 10.0, "purity": 80.0, **place},
        {"mill": "4", "juice_brix": 6.0, "purity": 76.0, **place},
        {"mill": "1", "juice_brix": 19.0, "day": "2026-06-04", "shift": 2.0},
    ]
    first, second = mill_surveys(records, {}, FIVE)
    assert (first.day, first.number) == (date(2026, 6, 3), 1)
    assert [line.title for line in first.mills] == ["Mill 1", "Mill 2", "Mill 4", "Last mill"]
    # mill 3 was not sampled, so what mill 4 did is not known
    assert [line.drop for line in first.mills] == ["", "5.00", "", "6.00"]
    assert first.curve == "0.0,0.0 106.7,60.0 213.3,84.0 320.0,96.0"
    assert (second.number, second.curve) == (2, "")


def test_the_last_mill_is_put_beside_the_one_before_it_and_no_other():
    """Hand: 5 pol on 100 fibre after 8 is 37.5 % taken; of five mills, the fourth stands before."""
    place = {"day": "2026-06-03", "shift": 1.0}
    mills = [{"mill": name, "pol_on_fibre": pol, "purity": pol, **place}
             | {"bagasse_pol": pol / 2, "bagasse_fibre": 50.0}
             for name, pol in (("1", 20.0), ("2", 8.0), ("last", 5.0))]  # fmt: skip
    for count, taken, drop in ((5, "", ""), (3, "37.50", "3.00")):
        (survey,) = mill_surveys(mills, {}, {date(2026, 6, 3): count})
        assert [line.net_extraction for line in survey.mills] == ["", "60.00", taken]
        assert survey.mills[-1].drop == drop


def test_a_curve_of_juices_that_hold_nothing_lies_on_the_ground():
    assert curve([0.0, 0.0]) == "0.0,120.0 320.0,120.0"


# By hand: 5 pol on 100 fibre, and 15 fibre with 12 pol in cane, leave 5 × 15 ÷ 12 = 6.25.
def test_extraction_up_to_a_mill_is_of_the_cane_of_its_day():
    mill = {"mill": "4", "pol_on_fibre": 5.0, "bagasse_pol": 2.25, "bagasse_fibre": 45.0}
    place = {"day": "2026-06-03", "shift": 1.0}
    (survey,) = mill_surveys([mill | place], {date(2026, 6, 3): Cane(12.0, 15.0)}, FIVE)
    assert survey.mills[0].extraction == "93.75"
    for cane in ({}, {date(2026, 6, 3): Cane(120.0, 15.0)}):
        (survey,) = mill_surveys([mill | place], cane, FIVE)
        assert survey.mills[0].extraction == ""
