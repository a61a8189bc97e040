"""The mill's plan by date, the times of samples, and what composites stand for."""

from datetime import UTC, date, datetime, timedelta

import numpy as np
import pytest

from app.ledger.choosing import rules_of, too_often
from app.plant.measures import MEASURES
from app.plant.plan import NOT_TAKEN, Part, Plan, Sampling, as_declared
from app.plant.samples import Place, made, mean, place_of, result, times
from app.plant.streams import Equipment
from app.reports.composites import composites


def test_samples_follow_the_clock_where_it_changes():
    begins, hours = datetime(2026, 10, 25, 4, tzinfo=UTC), timedelta(hours=1)
    assert len(times(begins, begins + 9 * hours, 1)) == 9
    assert len(times(begins, begins + 7 * hours, 2)) == 4
    assert times(begins, begins + 8 * hours, 0) == [begins + 8 * hours]


@pytest.mark.parametrize(
    ("place", "key"),
    [
        (Place("cane"), "cane"),
        (Place("clear_juice_ph", 3), "clear_juice_ph-3"),
        (Place("clear_juice_ph", 1, 2), "clear_juice_ph-1-2"),
    ],
)
def test_a_place_is_named_and_found_by_its_key(place, key):
    assert place.key == key
    assert place_of(key) == place


@pytest.mark.parametrize("key", ["", "Cane", "cane-0", "cane-1-0", "cane-1-2-3", "cane-100"])
def test_other_words_name_no_place(key):
    with pytest.raises(ValueError, match="no place"):
        place_of(key)


def test_a_sum_of_which_a_sample_lacks_is_no_result_and_a_mean_is():
    assert made("sum", [150.0, 150.0], 3) is None
    assert made("sum", [150.0, 150.0, 150.0], 3) == 450.0
    assert made("mean", [7.0, 7.2], 3) == 7.1
    assert made("last", [], 3) is None
    assert mean([]) is None


def test_a_sum_of_samples_is_exact_whatever_their_order():
    assert result("sum", [0.1] * 10) == 1.0
    assert result("mean", [1e16, 1.0, -1e16]) == pytest.approx(1 / 3, abs=1e-12)


def plan_with(*samplings, parts=()):
    return Plan([], parts, samplings)


def sampling(measure, since, **chosen):
    own = MEASURES[measure]
    values = {"taken": "due", "grain": own.grain, "every": 0, "rule": own.rule} | chosen
    return Sampling(measure, since, **values, usual=own.usual, hard=own.hard)


JUNE = date(2026, 6, 1)


def test_what_is_switched_off_is_in_the_plan_until_its_day():
    parts = [Part("refinery", False, JUNE), Part("magma_mixers", False, JUNE)]
    plan = plan_with(sampling("bagasse_ash", JUNE, taken=NOT_TAKEN), parts=parts)
    gone = {"bagasse_ash", "refined_sugar", "magma_mixers_volume"}
    assert gone <= plan.on(date(2026, 5, 31)).keys()
    assert not gone & plan.on(JUNE).keys()
    assert "refined_sugar" not in plan.asked(JUNE)
    assert plan.on(JUNE).keys() < MEASURES.keys()


def test_what_was_chosen_last_for_a_day_holds():
    parts = [Part("water", False, JUNE), Part("water", True, JUNE)]
    plan = plan_with(parts=parts)
    assert not plan.is_off("water", JUNE)
    assert plan.on(JUNE).keys() == MEASURES.keys()


def test_the_composite_of_a_day_stands_for_each_of_its_shifts():
    name = "mixed_juice_suspended_solids"
    plan = plan_with(sampling(name, JUNE, grain="day"))
    days = [date(2026, 5, 31), *[JUNE] * 3]
    column = np.array([0.4, np.nan, np.nan, 0.7])
    found = composites(
        {name: column, "cane": column}, [plan.every(day) for day in days],
        np.array([0, 1, 1, 1]), np.array([0, 1, 1, 1]),
    )  # fmt: skip
    assert found[name].tolist() == [0.4, 0.7, 0.7, 0.7]
    assert np.array_equal(found["cane"], column, equal_nan=True)


def test_the_composite_of_a_week_of_what_is_daily_stands_on_the_last_shift_of_each_day():
    name = "final_molasses_ash"
    plan = plan_with(sampling(name, JUNE, grain="week"))
    column = np.array([np.nan, np.nan, np.nan, 12.5])
    found = composites(
        {name: column}, [plan.every(JUNE)] * 4, np.array([0, 0, 1, 1]), np.array([0, 0, 0, 0])
    )
    assert np.array_equal(found[name], [np.nan, 12.5, np.nan, 12.5], equal_nan=True)


def test_what_the_ledger_begins_with_takes_no_analysis_too_often():
    assert not too_often(Plan(), JUNE)


def test_a_rule_fits_what_it_makes_a_result_of():
    assert rules_of(MEASURES["cane"]) == rules_of(MEASURES["a_massecuite_volume"])
    assert rules_of(MEASURES["cane"]) == ("sum", "last")
    assert rules_of(MEASURES["crushing_hours"]) == ("sum", "last")
    assert rules_of(MEASURES["syrup_tanks_volume"]) == ("last",)
    assert rules_of(MEASURES["mixed_juice_brix"]) == ("mean", "last")


def test_the_measures_in_use_change_on_the_days_on_which_something_was_chosen():
    plan = plan_with(
        sampling("lime", JUNE, every=2), parts=[Part("water", False, date(2026, 7, 1))]
    )
    assert plan.days_from(date(2026, 5, 1)) == [date(2026, 5, 1), JUNE, date(2026, 7, 1)]
    assert plan.days_from(JUNE) == [JUNE, date(2026, 7, 1)]
    assert plan.sampling("lime", JUNE).every == 2
    assert plan.sampling("lime", date(2026, 5, 31)) == as_declared(MEASURES["lime"])


def test_a_tandem_has_no_press_water_and_a_vessel_is_always_there():
    plan = Plan([(date.min, Equipment("tandem", 5))])
    assert not plan.has("press_water", JUNE)
    assert plan.has("mill_4_juice", JUNE)
    assert plan.has("syrup_tanks", JUNE)
    assert Plan().has("press_water", JUNE)
