"""What may be chosen of a plan, and what is refused in words at each field."""

from datetime import date, timedelta

import pytest

from app.database import writing
from app.ledger.choosing import (
    LIMITS,
    conventions_change,
    part_change,
    rules_of,
    sampling_change,
    target_change,
    widest,
)
from app.ledger.desk import desk_of
from app.ledger.plan import Chosen, choices_of, choose, history, plan_of
from app.ledger.uncertainty import WrongFields
from app.plant.measures import MEASURES
from tests.bench import NOON
from tests.keeping import sign_day

pytestmark = pytest.mark.both_engines

TODAY = date(2026, 6, 3)
PH = {
    "taken": "due", "often": "shift-2", "rule": "mean", "usual_low": "6,9", "usual_high": "7.2",
    "hard_low": "5", "hard_high": "9", "since": "2026-06-04", "reason": " a closer\n watch ",
}  # fmt: skip
WHEN = {"since": "2026-06-04", "reason": "a reason"}


def desk(bench, at=NOON):
    return bench.read(desk_of, bench.mill, at)


def write(bench, change):
    with writing(bench.engine) as connection:
        choose(connection, bench.mill, change, by=bench.ann, at=NOON)


def sampling(bench, measure="clear_juice_ph", **otherwise):
    return sampling_change(desk(bench), MEASURES[measure], PH | otherwise)


def as_it_is(measure, **otherwise):
    own = MEASURES[measure]
    often = f"shift-{own.every}" if own.grain == "shift" else own.grain
    values = (f"{limit:g}" for limit in (*own.usual, *own.hard))
    limits = dict(zip(LIMITS, values, strict=True))
    taken = "due" if own.due else "not always"
    return {"taken": taken, "often": often, "rule": own.rule} | limits | WHEN | otherwise


def test_what_is_chosen_holds_from_its_day_on_and_is_told_with_its_reason(bench):
    change = sampling(bench)
    assert change.reason == "a closer watch"
    write(bench, change)
    plan = bench.read(plan_of, bench.mill)
    before, after = plan.on(TODAY)["clear_juice_ph"], plan.on(TODAY + timedelta(days=1))
    assert before == MEASURES["clear_juice_ph"]
    now = after["clear_juice_ph"]
    assert (now.every, now.rule, now.usual, now.hard) == (2, "mean", (6.9, 7.2), (5, 9))
    told = bench.read(history, bench.mill)[0]
    assert told == Chosen(
        "measures", "clear_juice_ph", change.sampling, date(2026, 6, 4), "a closer watch",
        "Ann Field", NOON,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("wrong", "field", "words"),
    [
        ({"taken": "sometimes"}, "taken", "Choose whether"),
        ({"often": "shift-3"}, "often", "Choose how often"),
        ({"rule": "sum"}, "rule", "Of Clear juice, pH the rule is mean or last"),
        ({"usual_low": "seven"}, "usual_low", "Write a number"),
        ({"usual_low": ""}, "usual_low", "Write a number"),
        ({"hard_low": "1.9"}, "hard_low", "lies between 2 and 13"),
        ({"hard_high": "13,1"}, "hard_high", "lies between 2 and 13"),
        ({"usual_high": "6.9"}, "usual_high", "ends above where it begins, 6.9"),
        ({"hard_low": "7"}, "hard_low", "which begins at 6.9"),
        ({"hard_high": "7.1"}, "hard_high", "which ends at 7.2"),
        ({"since": "4 June"}, "since", "Write the day like"),
        ({"since": "20260604"}, "since", "Write the day like"),
        ({"since": "2026-05-31"}, "since", "The first season of this mill began on 2026-06-01"),
        ({"since": "2027-06-04"}, "since", "2027-06-03 at the latest"),
        ({"reason": " "}, "reason", "Say in words why"),
        ({"reason": "x" * 501}, "reason", "at most 500"),
    ],
)
def test_a_sampling_that_cannot_be_is_refused_at_its_field(bench, wrong, field, words):
    with pytest.raises(WrongFields) as refused:
        sampling(bench, **wrong)
    assert list(refused.value.problems) == [field]
    assert words in refused.value.problems[field]


def test_every_measure_can_be_chosen_as_it_is_taken_and_its_limits_are_possible(bench):
    """What the ledger begins with keeps the rules; that it holds already is all that is said."""
    here = desk(bench)
    for name, measure in MEASURES.items():
        low, high = widest(measure)
        assert low <= measure.hard[0] < measure.hard[1] <= high
        assert measure.rule in rules_of(measure)
        with pytest.raises(WrongFields) as refused:
            sampling_change(here, measure, as_it_is(name))
        assert refused.value.problems == {
            "since": "All of this holds on that day already: nothing is changed"
        }, name


def test_a_mill_may_widen_a_limit_as_far_as_its_property_goes_and_no_further(bench):
    """Of mixed juice brix the limits are 3 to 30 °Bx; no brix lies outside 0 to 100."""
    typed = as_it_is("mixed_juice_brix", hard_high="35")
    assert sampling(bench, "mixed_juice_brix", **typed).sampling.hard == (3, 35)
    with pytest.raises(WrongFields, match="lies between 0 and 100"):
        sampling(bench, "mixed_juice_brix", **as_it_is("mixed_juice_brix", hard_high="101"))


def test_a_limit_that_could_mean_two_numbers_is_not_guessed(bench):
    with pytest.raises(WrongFields, match=r"6,000: write 6000 or 6\.0"):
        sampling(bench, "clear_juice_colour", **as_it_is("clear_juice_colour", usual_low="6,000"))


def test_nothing_begins_before_the_day_after_the_last_that_is_approved(bench):
    sign_day(bench, date(2026, 6, 1), "approved")
    sign_day(bench, date(2026, 6, 2), "approved")
    with pytest.raises(WrongFields) as refused:
        sampling(bench, since="2026-06-02")
    assert "2026-06-02 is approved" in refused.value.problems["since"]
    assert "choose 2026-06-03 or later" in refused.value.problems["since"]
    assert sampling(bench, since="2026-06-03").since == TODAY
    sign_day(bench, date(2026, 6, 2), "reopened")
    assert sampling(bench, since="2026-06-02").since == date(2026, 6, 2)
    assert desk(bench).approved == date(2026, 6, 1)


def test_an_analysis_is_not_taken_more_often_than_the_weight_that_carries_it(bench):
    often = as_it_is("final_molasses_pol", often="shift-0")
    with pytest.raises(WrongFields) as refused:
        sampling(bench, "final_molasses_pol", **often)
    assert "Final molasses is taken each day" in refused.value.problems["often"]
    assert "Final molasses, pol, which it carries, each shift" in refused.value.problems["often"]
    write(bench, sampling(bench, "final_molasses", **as_it_is("final_molasses", often="shift-0")))
    assert sampling(bench, "final_molasses_pol", **often).sampling.grain == "shift"


def test_a_weight_is_not_taken_more_seldom_than_its_analyses(bench):
    daily = as_it_is("filter_cake", often="day")
    with pytest.raises(WrongFields, match="Filter cake is taken each day, and Filter cake, pol"):
        sampling(bench, "filter_cake", **daily)
    for name, measure in MEASURES.items():
        if measure.carrier == "filter_cake":
            write(bench, sampling(bench, name, **as_it_is(name, often="day")))
    assert sampling(bench, "filter_cake", **daily).sampling.grain == "day"


def test_a_weight_is_not_taken_once_a_week(bench):
    with pytest.raises(WrongFields, match="adds up to days"):
        sampling(bench, "lime", **as_it_is("lime", often="week"))


def test_a_part_is_switched_off_and_on_again_and_every_row_stays(bench):
    off = part_change(desk(bench), "refinery", WHEN | {"in_use": "no"})
    write(bench, off)
    with pytest.raises(WrongFields, match="switched off already then"):
        part_change(desk(bench), "refinery", WHEN | {"in_use": "no"})
    write(bench, part_change(desk(bench), "refinery", WHEN | {"in_use": "yes"}))
    assert not bench.read(plan_of, bench.mill).is_off("refinery", date(2026, 6, 4))
    assert [row.value.in_use for row in bench.read(history, bench.mill)] == [True, False]
    with pytest.raises(WrongFields) as refused:
        part_change(desk(bench), "refinery", {"in_use": "", "since": "", "reason": ""})
    assert refused.value.problems.keys() == {"in_use", "since", "reason"}


def test_only_conventions_that_differ_are_written(bench):
    values = {"tandem_mills": "6", "sulphitation": "none"}
    held = {"tandem_mills": "5", "sulphitation": "none"}
    change = conventions_change(desk(bench), values, lambda name, _: held[name], WHEN, {})
    assert change.conventions == {"tandem_mills": "6"}
    write(bench, change)
    plan = bench.read(plan_of, bench.mill)
    assert "mill_5_bagasse_pol" not in plan.on(TODAY)
    assert "mill_5_bagasse_pol" in plan.on(date(2026, 6, 4))
    with pytest.raises(WrongFields, match="holds on that day already"):
        conventions_change(desk(bench), held, lambda name, _: held[name], WHEN, {})


def test_a_target_holds_from_its_day_on_and_the_last_one_chosen_for_a_day_holds(bench):
    for value in (97.0, 96.0):
        write(bench, target_change(desk(bench), "pol_extraction", value, WHEN, {}))
    choices = bench.read(choices_of, bench.mill)
    assert choices.targets_on(TODAY) == {}
    assert choices.targets_on(date(2026, 6, 4)) == {"pol_extraction": 96.0}
    with pytest.raises(WrongFields, match="holds on that day already"):
        target_change(desk(bench), "pol_extraction", 96.0, WHEN, {})


def test_a_change_says_when_something_chosen_already_takes_its_place(bench):
    write(bench, sampling(bench, since="2026-07-01"))
    here, change = desk(bench), sampling(bench, hard_high="10")
    assert here.choices.later(change) == date(2026, 7, 1)
    july = date(2026, 7, 1)
    assert here.choices.with_change(change).plan.every(july)["clear_juice_ph"].hard == (5, 9)
    all_along = here.choices.as_if_since(date(2026, 6, 1), change).plan
    for day in (date(2026, 6, 1), july):
        assert all_along.every(day)["clear_juice_ph"].hard == (5, 10)


def test_the_stamp_differs_once_anything_was_chosen_or_approved(bench):
    stamps = [desk(bench).stamp]
    write(bench, sampling(bench))
    stamps.append(desk(bench).stamp)
    write(bench, target_change(desk(bench), "pol_extraction", 96.0, WHEN, {}))
    stamps.append(desk(bench).stamp)
    sign_day(bench, date(2026, 6, 1), "approved")
    stamps.append(desk(bench).stamp)
    assert len(set(stamps)) == 4
