"""A plan that changes within a season, through the ledger to the figures: hand arithmetic."""

import math

import pytest

from app.ledger.plan import Change
from app.plant.grains import DAY, SHIFT
from app.plant.measures import MEASURES
from app.plant.plan import DUE, NOT_ALWAYS, NOT_TAKEN, Part, as_declared
from app.plant.vessels import VESSELS
from app.reports.gaps import gaps, never_entered
from tests.bench import NOON
from tests.small_season import JUNE, books, chosen, load, over, results

pytestmark = pytest.mark.both_engines

FIRST, SECOND, THIRD = JUNE[:3]


def taken(bench, measure, since, **otherwise):
    sampling = as_declared(MEASURES[measure])._replace(since=since, **otherwise)
    chosen(bench, Change(since, "the plan of the test", sampling=sampling), NOON)


def switched_off(bench, name, since):
    change = Change(since, "the plan of the test", part=Part(name, in_use=False, since=since))
    chosen(bench, change, NOON)


def test_a_composite_of_a_day_from_mid_season_on_weighs_with_all_cake_of_its_day(bench):
    """Pol in cake: 40 × 1 % + 50 × 2 % + 60 × 3 % = 3.2 t; then (30 + 40 + 50) × 2.5 % = 3 t."""
    taken(bench, "filter_cake_pol", SECOND, grain=DAY)
    cake = [(FIRST, n, "filter_cake", tonnes) for n, tonnes in enumerate((40, 50, 60), 1)]
    cake += [(SECOND, n, "filter_cake", tonnes) for n, tonnes in enumerate((30, 40, 50), 1)]
    pol = [(FIRST, n, "filter_cake_pol", percent) for n, percent in enumerate((1, 2, 3), 1)]
    load(bench, [*cake, *pol, (SECOND, 3, "filter_cake_pol", 2.5)])
    season = books(bench)
    name = "pol_in_filter_cake"
    assert over(season, [name], FIRST, FIRST)[name] == pytest.approx(3.2, abs=1e-12)
    assert over(season, [name], SECOND, SECOND)[name] == pytest.approx(3.0, abs=1e-12)
    assert over(season, [name], FIRST, SECOND)[name] == pytest.approx(6.2, abs=1e-12)
    whole = season.over(season.whole())
    assert float(whole.coverage[name][0]) == 1.0
    assert gaps(season, season.day(SECOND)) == ()


def test_cake_weighed_once_a_day_from_mid_season_on_adds_to_the_same_total(bench):
    """40 × 1 % + 50 × 2 % + 60 × 3 % = 3.2 t, then 120 t of one weighing at 2.5 %: 3 t."""
    for measure in ("filter_cake_pol", "filter_cake_moisture", "filter_cake"):
        taken(bench, measure, SECOND, grain=DAY)
    cake = [(FIRST, n, "filter_cake", tonnes) for n, tonnes in enumerate((40, 50, 60), 1)]
    pol = [(FIRST, n, "filter_cake_pol", percent) for n, percent in enumerate((1, 2, 3), 1)]
    on_second = [("filter_cake", 120), ("filter_cake_pol", 2.5)]
    load(bench, [*cake, *pol, *((SECOND, 3, name, value) for name, value in on_second)])
    season = books(bench)
    found = over(season, ["filter_cake", "pol_in_filter_cake"], FIRST, SECOND)
    assert found == {
        "filter_cake": pytest.approx(270), "pol_in_filter_cake": pytest.approx(6.2, abs=1e-12),
    }  # fmt: skip
    owed = {(gap.measure, gap.number) for gap in gaps(season, season.day(SECOND))}
    assert not {name for name, _ in owed} & {"filter_cake", "filter_cake_pol"}


def test_a_composite_that_is_weighed_and_dried_once_a_day_stands_on_each_of_its_shifts(bench):
    """100 × (150 - 100) ÷ (150 - 50) = 50 % moisture, of all bagasse of the day."""
    taken(bench, "bagasse_moisture", FIRST, grain=DAY)
    weighed = {"dish_mass": 50, "wet_mass": 150, "dried_mass": 100}
    load(bench, [
        *((FIRST, n, "cane", 1000) for n in (1, 2, 3)),
        *((FIRST, 3, f"bagasse_{name}", grams) for name, grams in weighed.items()),
    ])  # fmt: skip
    season = books(bench)
    assert season.plan.every(FIRST)["bagasse_dish_mass"].grain == DAY
    assert [season.results_of_readings(FIRST, n) for n in (1, 2, 3)] == [
        {"bagasse_moisture": 50.0}
    ] * 3


def test_nobody_reads_an_instrument_for_a_result_that_is_not_taken(bench):
    taken(bench, "bagasse_moisture", SECOND, taken=NOT_TAKEN)
    plan = books(bench).plan
    assert "bagasse_dish_mass" in plan.on(FIRST)
    assert not {"bagasse_moisture", "bagasse_dish_mass"} & plan.on(SECOND).keys()


def test_a_weight_that_lacks_beside_a_composite_of_the_day_is_missed_and_never_nothing(bench):
    """What flowed in the first shift is not known, so neither is its pol nor that of the day."""
    taken(bench, "filter_cake_pol", FIRST, grain=DAY)
    cake = [(FIRST, n, "filter_cake", tonnes) for n, tonnes in ((2, 50), (3, 60))]
    load(bench, [(FIRST, 1, "cane", 1000), *cake, (FIRST, 3, "filter_cake_pol", 2.0)])
    season = books(bench)
    name = "pol_in_filter_cake"
    assert math.isnan(over(season, [name], FIRST, FIRST)[name])
    result = season.over(season.day(FIRST))
    assert result.missing(name).keys() == {"filter_cake"}
    assert season.over(season.shift(FIRST, 2)).values[name][0] == pytest.approx(1.0)


def test_molasses_weighed_each_shift_from_mid_season_on_counts_by_its_composite_of_the_day(bench):
    """140 × 30 % = 42 t, then (40 + 50 + 60) × 32 % = 48 t, all of it really analysed."""
    taken(bench, "final_molasses", SECOND, grain=SHIFT)
    load(bench, [
        (FIRST, 3, "final_molasses", 140), (FIRST, 3, "final_molasses_pol", 30),
        *((SECOND, n, "final_molasses", tonnes) for n, tonnes in enumerate((40, 50, 60), 1)),
        (SECOND, 3, "final_molasses_pol", 32),
        *((day, n, "cane", 1000) for day in (FIRST, SECOND) for n in (1, 2, 3)),
    ])  # fmt: skip
    season = books(bench)
    name = "pol_in_final_molasses"
    assert over(season, [name], FIRST, FIRST)[name] == pytest.approx(42)
    assert over(season, [name], SECOND, SECOND)[name] == pytest.approx(48)
    assert over(season, [name], FIRST, SECOND)[name] == pytest.approx(90)
    assert float(season.over(season.whole()).coverage[name][0]) == 1.0


def test_samples_every_four_hours_from_mid_season_on_make_the_mean_of_their_shift(bench):
    """Until then one sample a shift, then two: (7.0 + 7.4) ÷ 2 = 7.2."""
    taken(bench, "clear_juice_ph", SECOND, every=4)
    load(bench, [(FIRST, 1, "clear_juice_ph", 6.9), (SECOND, 1, "cane", 1000)])
    late = {"day": SECOND, "number": 1, "late_reason": "the plan of the test"}
    bench.write("clear_juice_ph", "7.0", **late)
    bench.write("clear_juice_ph", "7.4", sample=2, **late)
    season = books(bench)
    column = season.measures["clear_juice_ph"]
    assert [column[season.shift(day, 1).first] for day in (FIRST, SECOND)] == [6.9, 7.2]


def test_a_stream_that_is_switched_off_is_missed_before_its_day_and_not_after(bench):
    switched_off(bench, "filter_cake", SECOND)
    load(bench, [
        *results([FIRST, SECOND, THIRD], leaving_out={"filter_cake", "filter_cake_pol"}),
        (FIRST, 1, "filter_cake", 45), (FIRST, 1, "filter_cake_pol", 1.5),
    ])  # fmt: skip
    season = books(bench)
    lacks = {(gap.day, gap.number, gap.measure) for gap in gaps(season, season.whole())}
    cake = {"filter_cake", "filter_cake_pol"}
    assert {key for key in lacks if key[2] in cake} == {
        (FIRST, number, name) for number in (2, 3) for name in cake
    }


def test_a_tank_that_is_switched_off_holds_nothing_from_its_day_on(bench):
    held = {"volume": 200, "temperature": 60, "brix": 80, "purity": 50}
    switched_off(bench, "a_molasses_tanks", SECOND)
    rows = [(day, n, "cane", 1000) for day in (FIRST, SECOND) for n in (1, 2, 3)]
    for day in (FIRST, SECOND):
        rows += [(day, 3, f"{vessel}_{prop}", value) for vessel in VESSELS
                 for prop, value in held.items() if vessel != "a_molasses_tanks"]  # fmt: skip
    load(bench, rows)
    season = books(bench)
    first, second = (season.over(season.day(day)) for day in (FIRST, SECOND))
    assert first.missing("pol_in_stock").keys() >= {"a_molasses_tanks_volume"}
    assert second.missing("pol_in_stock") == {}
    assert float(second.values["pol_in_stock"][0]) > 100


def test_a_station_that_is_switched_off_is_not_asked_for_from_its_day_on(bench):
    switched_off(bench, "clarification", SECOND)
    load(bench, results([FIRST, SECOND], leaving_out={"limed_juice_ph"}))
    season = books(bench)
    station = {m.name for m in MEASURES.values() if m.station == "clarification"}
    assert station & season.plan.on(FIRST).keys()
    assert not station & season.plan.on(SECOND).keys()
    assert not [g for g in gaps(season, season.day(SECOND)) if g.measure in station]


def test_a_diffuser_from_a_day_on_asks_for_press_water_and_no_mills_any_more(bench):
    change = Change(SECOND, "a diffuser", conventions={"extraction_plant": "diffuser"})
    chosen(bench, change, NOON)
    load(bench, [*results(JUNE[:3]), (SECOND, 3, "press_water_brix", 1.4)])
    season = books(bench)
    assert "press_water_brix" not in season.plan.on(FIRST)
    assert "mill_1_bagasse_pol" in season.plan.on(FIRST)
    assert "mill_1_bagasse_pol" not in season.plan.on(SECOND)
    lacks = [
        (g.day, g.number) for g in gaps(season, season.whole()) if g.measure == "press_water_brix"
    ]
    assert lacks == [(THIRD, 3)]
    assert "press water, pol" in never_entered(season)


def test_what_is_not_always_taken_is_no_gap_from_its_day_on(bench):
    assert MEASURES["lime"].due
    taken(bench, "lime", SECOND, taken=NOT_ALWAYS)
    load(bench, [r for r in results([FIRST, SECOND]) if r[1:3] != (2, "lime")])
    season = books(bench)
    lacks = [(g.day, g.number) for g in gaps(season, season.whole()) if g.measure == "lime"]
    assert lacks == [(FIRST, 2)]
    assert season.plan.sampling("lime", FIRST).taken == DUE


def test_narrower_limits_take_no_result_of_readings_from_the_days_before_them(bench):
    """100 × (150 - 100) ÷ (150 - 50) = 50 % moisture on each day; from the second on 51 at least.

    What was approved before a limit was chosen stays as it was.
    """
    weighed = {"dish_mass": 50, "wet_mass": 150, "dried_mass": 100}
    load(bench, [
        (day, 1, f"bagasse_{name}", grams)
        for day in (FIRST, SECOND) for name, grams in weighed.items()
    ])  # fmt: skip
    assert books(bench).results_of_readings(SECOND, 1) == {"bagasse_moisture": 50.0}
    taken(bench, "bagasse_moisture", SECOND, hard=(51, 80), usual=(51, 52))
    season = books(bench)
    assert season.results_of_readings(FIRST, 1) == {"bagasse_moisture": 50.0}
    assert season.results_of_readings(SECOND, 1) == {}
    assert "cannot be" in season.readings_without_result(SECOND, 1)["bagasse_moisture"]


def test_counting_molasses_at_another_brix_from_a_day_on_makes_none_and_loses_none(bench):
    """100 t weighed at 85 °Bx each day, and the same contents of the tanks at each day's end."""
    held = {"volume": 200, "temperature": 60, "brix": 80, "purity": 50}
    rows = [(day, n, "cane", 1000) for day in (FIRST, SECOND) for n in (1, 2, 3)]
    for day in (FIRST, SECOND):
        rows += [(day, 3, f"{vessel}_{prop}", value) for vessel in VESSELS
                 for prop, value in held.items()]  # fmt: skip
        rows += [(day, 3, "final_molasses", 100), (day, 3, "final_molasses_brix", 85)]
        rows += [(day, 3, "final_molasses_pol", 30)]
    conventions = {"sugar_accounted": "made and estimated"}
    chosen(bench, Change(FIRST, "the test", conventions=conventions), NOON)
    chosen(bench, Change(SECOND, "the test", conventions={"standard_molasses_brix": "86"}), NOON)
    load(bench, rows)
    made = over(books(bench), ["molasses_made_and_estimated"], SECOND, SECOND)
    assert made["molasses_made_and_estimated"] == pytest.approx(100 * 85 / 86, abs=1e-9)
