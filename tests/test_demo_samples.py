"""The invented mill from 26 October on: samples within a shift, tests of some, a tare carried."""

import math
from datetime import date, timedelta

import pytest

from app.database import open_database, reading
from app.ledger import mills, plan
from app.ledger.retests import determinations
from app.ledger.shifts import differences, entries_of, shift_table
from app.plant.samples import times
from demo_data import season
from demo_data.sampled import SAMPLED, SINCE
from demo_data.typed import due_texts
from tests.served import demo_database

YESTERDAY = date(2026, 10, 27)


@pytest.fixture(scope="module")
def ledger(tmp_path_factory):
    """The mill, season and a connection to the demonstration's ledger."""
    engine = open_database(f"sqlite:///{demo_database(tmp_path_factory.mktemp('demo'))}")
    with reading(engine) as connection:
        mill = mills.the_mill(connection)
        (only,) = mills.seasons(connection, mill)
        yield connection, mill, only
    engine.dispose()


@pytest.fixture(scope="module")
def written(ledger):
    """Everything written since the mill takes samples within the shift."""
    connection, _, only = ledger
    return [kept.entry for kept in entries_of(connection, only, SINCE, YESTERDAY)]


def test_the_administrator_chose_it_the_day_before_and_said_why(ledger):
    connection, mill, _ = ledger
    chosen = [each for each in plan.history(connection, mill) if each.kind == "measures"]
    assert {each.name: each.value.every for each in chosen} == {
        name: every for name, (every, _) in SAMPLED.items()
    }
    for each in chosen:
        assert (each.recorded_name, each.since) == ("Noor Achterberg", SINCE)
        assert each.recorded_at.date() == SINCE - timedelta(days=1)
        assert "hunts" in each.reason
    before, after = (plan.plan_of(connection, mill).on(day) for day in (date(2026, 10, 25), SINCE))
    assert {name for name in SAMPLED if before[name].every} == set()
    assert {name for name in SAMPLED if after[name].every} == SAMPLED.keys()


@pytest.mark.parametrize("name", SAMPLED)
def test_each_shift_that_is_over_has_all_its_samples_a_while_after_each_was_taken(ledger, name):
    connection, mill, only = ledger
    found: dict[tuple, dict] = {}
    for kept in entries_of(connection, only, SINCE, YESTERDAY):
        if kept.entry.measure == name and kept.entry.determination == 1:
            found.setdefault((kept.day, kept.number), {})[kept.entry.sample] = kept.entry
    assert len(found) == 6
    for (day, number), samples in found.items():
        due = times(*mill.clock.shift_bounds(day, number), SAMPLED[name][0])
        assert [samples[n + 1].observed_at for n in range(len(due))] == due
        for entry in samples.values():
            assert entry.recorded_at - entry.observed_at == timedelta(minutes=22)


def test_samples_scatter_and_make_what_the_shift_had(ledger):
    """So that no figure of these days is another."""
    connection, mill, only = ledger
    table = shift_table(connection, mill, only)
    right = due_texts(season.true_season())
    rows = [n for n, shift in enumerate(table.shifts) if SINCE <= shift.day <= YESTERDAY]
    compared = 0
    for name in SAMPLED:
        for row in rows:
            text, made = right[name][row], table.measures[name][row]
            if text[:1].isdigit():
                assert made == pytest.approx(float(text), abs=1e-9), (name, row)
                compared += 1
            else:
                assert math.isnan(made)
                assert table.states[row, name] == "below detection"
    assert compared > 30
    for name in set(SAMPLED) - {"feed_water_sugar_trace"}:
        entries = entries_of(connection, only, YESTERDAY, YESTERDAY)
        values = {kept.entry.value for kept in entries if kept.entry.measure == name}
        assert len(values) > 6, name


def test_the_running_shift_has_its_first_samples(ledger):
    connection, _, only = ledger
    today = season.NOW.date()
    entries = [kept.entry for kept in entries_of(connection, only, today, today)]
    assert {e.sample for e in entries if e.measure == "clear_juice_ph"} == {1, 2, 3, 4, 5, 6}
    assert {e.sample for e in entries if e.measure == "syrup_brix"} == {1, 2, 3}
    twice = [e for e in entries if e.measure == "mixed_juice_pol" and e.sample == 2]
    assert [(e.determination, e.state) for e in twice] == [(1, "number"), (2, "number")]
    (tare,) = [e for e in entries if e.carried]
    assert tare.measure == "bagasse_dish_mass"


def test_one_sample_was_tested_twice_and_one_test_left_out_for_a_reason(written):
    out = [entry for entry in written if entry.state == "left out"]
    assert len(out) == 1
    tests = determinations([e for e in written if e.recorded_at.date() == YESTERDAY], out[0].place)
    assert [test.counts for test in tests] == [True, False]
    assert [entry.typed for entry in tests[1].entries] == ["8.02", "8.02"]
    assert tests[1].stands.reason == "the electrode was dry"


def test_the_reading_side_says_what_the_entries_say(ledger):
    assert differences(ledger[0]) == []
