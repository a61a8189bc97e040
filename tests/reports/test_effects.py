"""What a change does, said before it is made: to figures, to the sheet, to results."""

import math
import random
from datetime import date, time

import pytest

from app.figures import CONVENTIONS, FIGURES
from app.ledger.desk import desk_of
from app.ledger.uncertainty import WrongFields
from app.plant.calendar import Clock
from app.plant.grains import DAY, SHIFT
from app.plant.grains import WEEK as ONCE_A_WEEK
from app.plant.measures import MEASURES
from app.plant.plan import NOT_TAKEN, Part, Plan, as_declared
from app.plant.streams import Equipment
from app.reports.effects import (
    FURTHER,
    MAIN,
    beyond,
    difference,
    effects,
    lacking_without,
    sheet_changes,
    verdicts,
)
from app.reports.plant import part_titles
from app.web.plant_page import review_of
from app.web.plant_subjects import change_of, holds, subject_of
from tests.small_season import JUNE, books, chosen, load, results

WEEK = JUNE[:7]
TODAY = date(2026, 6, 8)
CLOCK = Clock("America/Chicago", time(6), 3)


@pytest.fixture
def small(bench):
    """The bench with a week of sheets, seen from the morning after."""
    load(bench, results(WEEK))
    return bench


def seen_at(bench):
    return bench.mill.clock.shift_bounds(TODAY, 1)[0]


def review(bench, kind, name, **typed):
    """What the page of a subject would say of a change, and the change."""
    subject, now = subject_of(kind, name), seen_at(bench)
    desk = bench.read(desk_of, bench.mill, now)
    held = holds(subject, desk.choices, desk.today)
    change = change_of(subject, desk, held | {"reason": "a reason"} | typed)
    return bench.read(review_of, desk, change, subject, now)


def figures(season):
    """Every figure of the season, the week and its last day."""
    season.need((*MAIN, *FURTHER))
    periods = [season.whole(), season.day(WEEK[-1])]
    result = season.books.over(periods)
    return {name: tuple(map(float, result.values[name])) for name in (*MAIN, *FURTHER)}


def different(one, other):
    return {
        name
        for name in one
        if any(a != b and not (math.isnan(a) and math.isnan(b))
               for a, b in zip(one[name], other[name], strict=True))
    }  # fmt: skip


def something(dice):
    """A change as somebody might type it: its kind and name, and what differs from what holds."""
    kind = dice.choice(("conventions", "conventions", "measures", "parts"))
    since = f"{dice.choice(WEEK)}"
    if kind == "conventions":
        name = dice.choice([name for name in CONVENTIONS if name != "extraction_plant"])
        convention = CONVENTIONS[name]
        value = (
            dice.choice(convention.choices) if convention.choices
            else f"{dice.uniform(convention.low, convention.high):.5f}0"
        )  # fmt: skip
        return kind, name, {name: value, "since": since}
    if kind == "parts":
        return kind, dice.choice([*part_titles()]), {"in_use": "no", "since": since}
    measure = dice.choice([m for m in MEASURES.values() if m.station != "stock"])
    low, high = measure.usual
    typed = {"taken": dice.choice(("due", "not always", "not taken")), "since": since}
    typed |= {"often": dice.choice(("shift-0", "shift-4", "day", "week"))}
    typed |= {"usual_high": f"{low + (high - low) * dice.uniform(0.2, 1):.5f}0"}
    return kind, measure.name, typed


@pytest.mark.both_engines
@pytest.mark.parametrize("seed", range(1, 5))
def test_what_was_reviewed_is_what_a_confirmed_change_does(small, seed):
    """Over many changes, one upon the other: the effects that were shown, and no others."""
    dice, made, told = random.Random(seed), 0, 0
    before = books(small)
    while made < 6:
        kind, name, typed = something(dice)
        try:
            said = review(small, kind, name, **typed)
        except WrongFields:
            continue
        chosen(small, said.change, seen_at(small))
        after = books(small)
        assert not said.later_only
        assert said.last == WEEK[-1]
        if kind == "parts":
            assert not different(figures(before), figures(after))
        else:
            assert said.effects == effects(before, after, WEEK[-1])
            shown = {f.figure.name for f in said.effects.figures}
            assert different(figures(before), figures(after)) <= shown
            told += bool(shown)
        before, made = after, made + 1
    assert told


@pytest.mark.both_engines
def test_a_change_of_standard_brix_shows_each_figure_as_it_is_and_as_it_will_be(small):
    """Molasses at standard brix: tonnes × its brix ÷ the standard brix, by hand."""
    said = review(
        small, "conventions", "standard_molasses_brix",
        standard_molasses_brix="86", since=f"{WEEK[0]}",
    )  # fmt: skip
    shown = {f.figure.name: f for f in said.effects.figures}
    day = shown["final_molasses_on_cane"].cells[2]
    column = books(small).measures
    cane = sum(column["cane"][18:21])
    solids = column["final_molasses"][20] * column["final_molasses_brix"][20]
    assert day.before.value == pytest.approx(100 * solids / 85 / cane)
    assert day.after.value == pytest.approx(100 * solids / 86 / cane)
    assert said.effects.periods == ("Season to 7 Jun", "Last 7 days", "Sunday 7 Jun")
    assert "pol_extraction" not in shown


@pytest.mark.both_engines
def test_a_change_from_a_later_day_changes_no_figure_and_says_what_would_have_been(small):
    name = "standard_molasses_brix"
    said = review(small, "conventions", name, standard_molasses_brix="86", since=f"{TODAY}")
    assert said.later_only
    assert said.held_from == WEEK[0]
    assert "final_molasses_on_cane" in {f.figure.name for f in said.effects.seen}
    before = figures(books(small))
    chosen(small, said.change, seen_at(small))
    assert not different(before, figures(books(small)))
    whole = [("standard_molasses_brix", "86", WEEK[0], "as if")]
    assert said.effects == effects(books(small), books(small, conventions=whole), WEEK[-1])


@pytest.mark.both_engines
def test_new_limits_name_the_results_that_would_lie_outside(small):
    """Clear juice pH climbs from 7.104 to 7.175 over the week of 21 shifts, by 0.00355 each."""
    typed = {"usual_high": "7.17", "hard_high": "7.174", "since": f"{WEEK[0]}"}
    said = review(small, "measures", "clear_juice_ph", **typed)
    values = books(small).measures["clear_juice_ph"]
    assert said.outside.looked_at == 21
    assert said.outside.usual == sum(values > 7.17)
    assert said.outside.hard == sum(values > 7.174)
    assert [(row.day, row.number) for row in said.outside.first][-1] == (WEEK[-1], 3)
    later = review(small, "measures", "clear_juice_ph", **typed | {"since": f"{WEEK[-1]}"})
    assert later.outside.looked_at == 3


@pytest.mark.both_engines
def test_switching_off_names_what_a_day_then_lacks(small):
    said = review(small, "parts", "filter_cake", in_use="no", since=f"{TODAY}")
    assert "undetermined_loss" in {figure.name for figure in said.lacking}
    assert "pol_extraction" not in {figure.name for figure in said.lacking}


def test_what_is_lacking_is_worked_out_without_those_results(small):
    season = books(small)
    found = {figure.name for figure in lacking_without(season, {"bagasse_pol"}, WEEK[-1])}
    assert {"pol_extraction", "bagasse_loss"} <= found
    assert found <= set(MAIN)
    assert not lacking_without(season, {"clear_juice_ph"}, WEEK[-1])


def test_a_target_shows_the_verdict_by_each(small):
    found = verdicts(books(small), "pol_extraction", {}, {"pol_extraction": 99.0}, WEEK[-1])
    assert [row.before for row in found] == ["no target"] * 3
    assert all("✗" in row.after and row.after.endswith("target 99.00") for row in found)


TANDEM = [(date.min, Equipment("tandem", 5))]


def plan_with(*samplings, parts=(), equipment=TANDEM):
    return Plan(equipment, parts, samplings)


def taken(name, since=date.min, **otherwise):
    return as_declared(MEASURES[name])._replace(since=since, **otherwise)


def words_of(changes):
    return {boxes.measure.name: boxes.words for change in changes for boxes in change.boxes}


def test_boxes_appear_by_the_hour_from_the_first_shift_on():
    after = plan_with(taken("clear_juice_ph", every=2))
    found = sheet_changes(plan_with(), after, CLOCK, (TODAY, 2))
    assert [(sheet.day, sheet.number) for sheet in found] == [(TODAY, 2)]
    assert words_of(found) == {
        "clear_juice_ph": "4 boxes, at 14:00, 16:00, 18:00, 20:00, in place of 1"
    }
    back = sheet_changes(after, plan_with(), CLOCK, (TODAY, 2))
    assert words_of(back) == {"clear_juice_ph": "1 box, in place of 4"}


def test_what_is_taken_once_a_week_is_looked_for_to_its_sheet():
    six = plan_with(equipment=[(date.min, Equipment("tandem", 6))])
    for found, words in (
        (sheet_changes(plan_with(), six, CLOCK, (TODAY, 1)), "1 box, new"),
        (sheet_changes(six, plan_with(), CLOCK, (TODAY, 1)), "goes"),
    ):
        weekly = next(s for s in found if any(b.measure.name.startswith("mill_5") for b in s.boxes))
        assert (weekly.day, weekly.number) == (date(2026, 6, 14), 3)
        assert words_of(found)["mill_5_bagasse_pol"] == words


def test_a_change_names_every_box_of_a_week_each_on_its_first_sheet():
    """A diffuser: what it takes on each shift, once a day and once a week, and what mills took."""
    diffuser = plan_with(equipment=[(date.min, Equipment("diffuser", 5))])
    found = sheet_changes(plan_with(), diffuser, CLOCK, (TODAY, 1))
    assert [(s.day, s.number) for s in found] == sorted((s.day, s.number) for s in found)
    before, after = (
        {name: measure.grain for name, measure in plan.on(TODAY).items()}
        for plan in (plan_with(), diffuser)
    )
    told = [boxes.measure.name for sheet in found for boxes in sheet.boxes]
    assert sorted(told) == sorted(before.keys() ^ after.keys())
    assert {"mill_1_bagasse_pol", "press_water_brix", "diffuser_bagasse_pol"} <= {*told}
    last_of = {SHIFT: (TODAY, 1), DAY: (TODAY, 3), ONCE_A_WEEK: (date(2026, 6, 14), 3)}
    for sheet in found:
        for boxes in sheet.boxes:
            grain = (before | after)[boxes.measure.name]
            assert (sheet.day, sheet.number) == last_of[grain], boxes.measure.name


def test_boxes_go_with_a_stream_and_limits_move_none():
    off = plan_with(parts=[Part("lime", in_use=False, since=TODAY)])
    goes = dict.fromkeys(("lime", "lime_available"), "goes")  # the second of them on Sunday
    assert words_of(sheet_changes(plan_with(), off, CLOCK, (TODAY, 1))) == goes
    gone = plan_with(taken("clear_juice_ph", taken=NOT_TAKEN))
    hourly = plan_with(taken("clear_juice_ph", every=4))
    assert words_of(sheet_changes(hourly, gone, CLOCK, (TODAY, 1))) == {
        "clear_juice_ph": "its 2 boxes go"
    }
    narrow = plan_with(taken("clear_juice_ph", usual=(7.0, 7.1)))
    assert sheet_changes(plan_with(), narrow, CLOCK, (TODAY, 1)) == ()


@pytest.mark.both_engines
def test_results_that_stand_are_counted_only_where_limits_change(small):
    hourly = review(small, "measures", "clear_juice_ph", often="shift-2", since=f"{TODAY}")
    assert hourly.outside is None
    narrow = review(small, "measures", "clear_juice_ph", usual_high="7.17", since=f"{TODAY}")
    assert narrow.outside.looked_at == 21


@pytest.mark.both_engines
def test_a_change_that_holds_later_says_which_day_decides_each_period(small):
    """By decision 1: tonnes by their day, what follows from sums by the period's last day."""
    name = "standard_molasses_brix"
    said = review(small, "conventions", name, standard_molasses_brix="86", since=f"{TODAY}")
    assert said.rule.startswith("Every day before 8 Jun stays as it is. A week or season to date")
    assert "the tonnes of each sheet keep the choice of their day" in said.rule
    target = review(small, "targets", "pol_extraction", value="99", since=f"{TODAY}")
    assert "held against the target of its last day" in target.rule
    part = review(small, "parts", "filter_cake", in_use="no", since=f"{TODAY}")
    assert "each sheet counts as its own day was chosen" in part.rule


def test_a_difference_is_that_of_the_printed_numbers():
    assert difference(4.0049, 3.9951, 2) == "+0.00"  # 4.00 and 4.00 as printed
    assert difference(4.004, 3.946, 2) == "\u22120.05"
    assert difference(None, 3.9, 2) == ""


def test_a_value_on_a_limit_is_not_outside():
    ph = MEASURES["clear_juice_ph"]
    low, high = ph.usual
    assert beyond(ph, [low, high, low - 0.1, ph.hard[1], ph.hard[1] + 1]) == (3, 1)


def test_every_public_figure_is_looked_at():
    assert {*MAIN, *FURTHER} == {name for name, f in FIGURES.items() if not f.internal}
