"""Several samples of a shift, several tests of a sample, and composites of a day or week."""

import math
import random
from datetime import timedelta

import numpy as np
import pytest

from app.database import reading, writing
from app.ledger import book
from app.ledger.cells import Refused
from app.ledger.plan import plan_of
from app.ledger.shifts import differences, shift_table
from app.plant.measures import MEASURES
from app.plant.samples import result
from app.plant.typed import LEFT_OUT
from tests.archives import take
from tests.bench import NOON

pytestmark = pytest.mark.both_engines


def write(bench, measure, *texts, **otherwise):
    """Type the samples of the bench's shift in their order; an empty one is not typed."""
    cells = [
        book.Typed(measure, text, sample=n, **otherwise)
        for n, text in enumerate(texts, start=1)
        if text
    ]
    place = {"season": bench.season, "day": bench.day, "number": bench.number}
    with writing(bench.engine) as connection:
        return book.record_sheet(connection, cells=cells, by=bench.ann, at=NOON, **place)


def result_of_shift(bench, measure):
    with reading(bench.engine) as connection:
        table = shift_table(connection, bench.mill, bench.season)
    row = next(n for n, shift in enumerate(table.shifts) if shift.day == bench.day)
    return table.measures[measure][row], table.states.get((row, measure))


def test_hourly_samples_make_the_mean_of_the_shift_and_are_all_kept(bench):
    take(bench, "clear_juice_ph", every=2)
    assert write(bench, "clear_juice_ph", "7.0", "7.1", "", "7.4") == {}
    value, _ = result_of_shift(bench, "clear_juice_ph")
    assert value == pytest.approx((7.0 + 7.1 + 7.4) / 3, abs=1e-12)
    kept = [
        (entry.sample, entry.typed, entry.observed_at) for entry in bench.trail("clear_juice_ph")
    ]
    begins, _ = bench.mill.clock.shift_bounds(bench.day, bench.number)
    hours = {1: 0, 2: 2, 4: 6}
    typed = {1: "7.0", 2: "7.1", 4: "7.4"}
    assert kept == [(n, typed[n], begins + timedelta(hours=h)) for n, h in hours.items()]
    assert bench.read(differences) == []


@pytest.mark.parametrize(("rule", "made"), [("mean", 7.275), ("sum", 58.2), ("last", 7.4)])
def test_the_rule_of_the_measure_makes_the_result(bench, rule, made):
    take(bench, "clear_juice_ph", every=1, rule=rule)
    write(bench, "clear_juice_ph", "7.0", "7.2", "7.4", "7.6", "7.3", "7.2", "7.1", "7.4")
    assert result_of_shift(bench, "clear_juice_ph")[0] == pytest.approx(made, abs=1e-12)


@pytest.mark.parametrize("eighth", ["", "if"])
def test_an_hour_that_was_not_weighed_is_not_nothing(bench, eighth):
    take(bench, "cane", every=1, rule="sum")
    write(bench, "cane", *["150"] * 7, eighth)
    assert np.isnan(result_of_shift(bench, "cane")[0])
    before = bench.trail("cane")[-1].id if eighth else None
    bench.write("cane", "150", sample=8, based_on=before, reason="weighed after all")
    assert result_of_shift(bench, "cane")[0] == 1200.0


def test_a_sample_that_says_why_it_has_no_number_leaves_the_others_their_mean(bench):
    take(bench, "clear_juice_ph", every=2)
    write(bench, "clear_juice_ph", "if", "7.1", "7.3")
    assert result_of_shift(bench, "clear_juice_ph") == (pytest.approx(7.2), None)


def test_samples_that_all_say_why_leave_the_shift_without_a_number(bench):
    take(bench, "clear_juice_ph", every=4)
    write(bench, "clear_juice_ph", "if", "nm")
    value, state = result_of_shift(bench, "clear_juice_ph")
    assert np.isnan(value)
    assert state in ("instrument failed", "not measured")


def test_two_tests_of_one_sample_count_as_one(bench):
    """A-05: a repeat determination adds an entry; the mean of two samples is of their means."""
    take(bench, "clear_juice_ph", every=4)
    write(bench, "clear_juice_ph", "7.0", "7.6")
    write(bench, "clear_juice_ph", "7.2", determination=2)
    assert result_of_shift(bench, "clear_juice_ph")[0] == pytest.approx((7.1 + 7.6) / 2)


def test_a_test_outside_limits_set_since_can_still_be_left_out(bench):
    first = bench.write("clear_juice_ph", "11.9")
    bench.write("clear_juice_ph", "7.1", determination=2)
    take(bench, "clear_juice_ph", hard_low=5, hard_high=9)
    left = bench.write("clear_juice_ph", "11.9", based_on=first.id, reason="spilt", left_out=True)
    assert (left.state, left.typed, left.value) == (LEFT_OUT, "11.9", None)
    assert result_of_shift(bench, "clear_juice_ph")[0] == 7.1


def test_a_sample_the_shift_does_not_have_is_refused(bench):
    take(bench, "clear_juice_ph", every=4)
    failures = write(bench, "clear_juice_ph", "7.0", "7.1", "7.2")
    assert isinstance(failures["clear_juice_ph-3"], Refused)
    assert str(failures["clear_juice_ph-3"]) == "This shift has samples 1 to 2 of it"


def test_the_mills_own_limits_refuse_from_their_day_on(bench):
    take(bench, "clear_juice_ph", since=bench.day + timedelta(days=1), hard_low=6.0, hard_high=9.0)
    bench.write("clear_juice_ph", "9.5")
    with pytest.raises(Refused, match="lies between 6 and 9"):
        bench.write("clear_juice_ph", "9.5", day=bench.day + timedelta(days=1))


def test_only_a_tare_is_carried_over(bench):
    """C-15."""
    assert write(bench, "bagasse_dish_mass", "42.1250", carried=True) == {}
    assert bench.trail("bagasse_dish_mass")[0].carried
    failures = write(bench, "bagasse_moisture", "50.1", carried=True)
    assert "measured anew" in str(failures["bagasse_moisture"])


def test_the_default_plan_of_a_tandem_has_what_it_had(bench):
    with reading(bench.engine) as connection:
        plan = plan_of(connection, bench.mill)
    names = plan.on(bench.day)
    assert "mill_4_bagasse_pol" in names
    assert not {"mill_5_bagasse_pol", "press_water_brix", "effect_5_brix", "sulphur"} & names.keys()


@pytest.mark.parametrize("seed", range(4))
def test_what_the_database_adds_up_is_what_the_samples_make_one_by_one(bench, seed):
    """By any rule, whatever lacks, with tests of some: to the last digit."""
    choose = random.Random(seed)
    names = ["clear_juice_ph", "limed_juice_ph", "syrup_brix", "syrup_pol", "cane", "imbibition"]
    made: dict[str, dict[int, list[float]]] = {}
    rules = {name: choose.choice(("mean", "sum", "last")) for name in names}
    for name in names:
        take(bench, name, every=choose.choice((1, 2, 4)), rule=rules[name])
        every = bench.read(plan_of, bench.mill).on(bench.day)[name].every
        low, high = MEASURES[name].hard
        for sample in range(1, 8 // every + 1):
            for test in range(1, choose.choice((1, 1, 1, 2, 3)) + 1):
                if choose.random() < 0.8:
                    typed = f"{choose.uniform(low, (low + high) / 4):.{choose.randrange(5)}f}"
                    typed = typed if float(typed) >= low else f"{low}"
                    bench.write(name, typed, sample=sample, determination=test)
                    made.setdefault(name, {}).setdefault(sample, []).append(float(typed))
    for name, samples in made.items():
        means = [math.fsum(tests) / len(tests) for _, tests in sorted(samples.items())]
        every = bench.read(plan_of, bench.mill).on(bench.day)[name].every
        if rules[name] == "sum" and len(means) < 8 // every:
            assert np.isnan(result_of_shift(bench, name)[0])
            continue
        assert result_of_shift(bench, name)[0] == result(rules[name], means), (name, rules[name])
