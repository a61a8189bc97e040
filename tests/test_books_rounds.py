"""Rounds of juice house, boilers, water and effluent: what their records give, worked by hand."""

from datetime import UTC, date, datetime

import pytest

from app.database import writing
from app.ledger.recording import Draft, Faulty, write_records
from app.plant.books import BOOKS, GIVEN_BY, measures_of
from app.plant.books.giving import giving, with_worked
from app.plant.books.reading import Span, read_record
from app.plant.measures import MEASURES
from app.plant.plan import DUE, Plan, Sampling
from app.reports.sugar_traces import traces_report
from tests.bench import NOON

SHIFT = Span("UTC", datetime(2026, 6, 3, 6, tzinfo=UTC), datetime(2026, 6, 3, 14, tzinfo=UTC))
ROUNDS = (
    *("clarifier", "dosing", "filters", "evaporator", "boilers", "meters", "water", "effluent"),
)  # fmt: skip


def read(book, **typed):
    """A record as typed, with what is wrong in it."""
    at = {"at": "08:00"} if "at" in {field.name for field in BOOKS[book].fields} else {}
    return read_record(BOOKS[book], at | typed, SHIFT)


def record(book, **typed):
    values, wrong = read(book, **typed)
    assert not wrong
    return with_worked(BOOKS[book], values, {})


def given(book, *records):
    made = giving(BOOKS[book], [record(book, **typed) for typed in records])
    return {name: each.value for name, each in made.given.items()}


def write(bench, book, typed, **more):
    with writing(bench.engine) as connection:
        draft = Draft(book, bench.day, 1, typed, **more)
        return write_records(connection, bench.season, [draft], by=bench.ann, at=NOON)[0]


@pytest.mark.parametrize("name", ROUNDS)
def test_every_rule_gives_a_measure_of_the_sheet_that_no_other_book_gives(name):
    for gives in BOOKS[name].gives:
        measures = measures_of(BOOKS[name], gives)
        assert measures, gives.measure
        assert all(GIVEN_BY[measure] is BOOKS[name] for measure in measures)


@pytest.mark.parametrize("name", ROUNDS)
def test_what_is_usual_in_a_book_can_be_entered_on_the_sheet(name):
    for gives in BOOKS[name].gives:
        field = next((f for f in BOOKS[name].fields if f.name == gives.of), None)
        for measure in measures_of(BOOKS[name], gives) if field and field.usual else ():
            low, high = MEASURES[measure].hard
            assert low <= field.usual[0] <= field.usual[1] <= high, measure


def test_an_effect_has_the_mean_of_its_own_rounds_and_no_other():
    assert given(
        "evaporator",
        {"effect": "1", "brix": "19.80", "temperature": "109.0", "steam_temperature": "116"},
        {"effect": "1", "brix": "20.20", "temperature": "109.6", "steam_temperature": "117"},
        {"effect": "4", "brix": "63.5", "vapour_pressure": "16.0"},
        {"effect": "4", "vapour_pressure": "17.0"},
    ) == pytest.approx({
        "effect_1_brix": 20.0, "effect_1_temperature": 109.3, "effect_4_brix": 63.5,
        "effect_4_vapour_pressure": 16.5, "evaporator_steam_temperature": 116.5,
    })  # fmt: skip


def test_what_a_clarifier_shows_is_averaged_over_those_that_were_read():
    assert given(
        "clarifier",
        {"clarifier": "C1", "limed_ph": "7.80", "clear_ph": "7.05", "turbidity": "20"},
        {"clarifier": "C2", "limed_ph": "7.60", "clear_ph": "7.15"},
    ) == pytest.approx({"limed_juice_ph": 7.7, "clear_juice_ph": 7.1, "clear_juice_turbidity": 20})


def test_lime_is_summed_in_tonnes_and_flocculant_in_kilograms():
    assert given(
        "dosing",
        {"what": "lime", "amount": "421"},
        {"what": "lime", "amount": "379.5"},
        {"what": "flocculant", "amount": "2.25"},
    ) == pytest.approx({"lime": 0.8005, "flocculant": 2.25})


def test_cake_is_the_mean_of_its_scrapings():
    found = given(
        "filters",
        {"filter": "F1", "cake_pol": "1.60", "cake_moisture": "74"},
        {"filter": "F2", "cake_pol": "1.90"},
    )
    assert found == pytest.approx({"filter_cake_pol": 1.75, "filter_cake_moisture": 74})


def test_a_reading_that_a_boiler_lacks_counts_neither_for_nor_against():
    found = given(
        "boilers",
        {"boiler": "B1", "pressure": "42", "oxygen": "6.0"},
        {"boiler": "B2", "pressure": "44"},
    )
    assert found == pytest.approx({"steam_pressure": 43, "flue_gas_oxygen": 6})


def test_meters_of_one_kind_are_added_each_by_its_factor():
    """By hand: 12.5 × 10 and 40 t of steam; a meter that began anew is two records."""
    assert given(
        "meters",
        {"what": "steam", "meter": "S1", "opening": "100", "closing": "112.5", "factor": "10"},
        {"what": "steam", "meter": "S2", "opening": "9970", "closing": "10000"},
        {"what": "steam", "meter": "S2", "opening": "0", "closing": "10"},
        {"what": "power_sold", "meter": "G", "opening": "50", "closing": "50"},
    ) == pytest.approx({"steam": 165.0, "power_sold": 0.0})


def test_what_went_through_a_meter_is_counted_once(bench):
    first = {"what": "steam", "meter": "S1", "opening": "9900", "closing": "9990"}
    key = write(bench, "meters", first)
    for typed in (first, first | {"meter": "s1", "opening": "9980", "closing": "10000"}):
        with pytest.raises(Faulty, match="is written on this shift already: correct that line"):
            write(bench, "meters", typed)
    write(bench, "meters", first | {"opening": "0", "closing": "10"})  # it began anew
    write(bench, "meters", first | {"what": "power"})
    write(bench, "meters", first | {"closing": "9995"}, based_on=key, reason="misread")


def test_a_meter_does_not_run_backwards():
    _values, wrong = read("meters", what="steam", meter="S1", opening="900", closing="850")
    assert wrong.keys() == {"closing"}


def test_effluent_is_weighed_by_its_volume():
    """By hand: (300 × 1000 + 100 × 3000) ÷ 400 = 1500, and pH of the sample that has one."""
    assert given(
        "effluent",
        {"volume": "300", "oxygen_demand": "1000", "ph": "6.5"},
        {"volume": "100", "oxygen_demand": "3000"},
    ) == pytest.approx({
        "effluent_volume": 400, "effluent_chemical_oxygen_demand": 1500, "effluent_ph": 6.5,
    })  # fmt: skip


def test_effluent_without_its_volume_is_no_record():
    _values, wrong = read("effluent", oxygen_demand="1000")
    assert wrong.keys() == {"volume"}


def test_traces_of_a_place_are_averaged_and_those_of_a_pan_are_only_kept():
    assert given(
        "water",
        {"place": "condensate", "trace": "4"},
        {"place": "condensate", "trace": "9"},
        {"place": "pans", "trace": "60"},
    ) == {"condensate_sugar_trace": 6.5}


def traced(*traces, **otherwise):
    place = {"day": "2026-06-03", "shift": 1.0}
    return [
        {"record": float(n), "place": place_of, "trace": float(trace), **place, **otherwise}
        for n, (place_of, trace) in enumerate(traces, start=1)
    ]


def test_a_trace_above_the_usual_is_told_with_what_was_done():
    records = traced(("feed_water", 10), ("feed_water", 45), ("pans", 21))
    records[2]["done"] = "turned to drain"
    found = traces_report(records, Plan())
    assert [(p.title, p.samples, p.mean, p.highest, p.above, p.silent) for p in found.places] == [
        ("Boiler feed water", 2, "27.5", "45", 1, 1),
        ("Condensate of the pans", 1, "21.0", "21", 1, 0),
    ]
    assert [(a.record, a.place, a.trace, a.usual, a.done) for a in found.alarms] == [
        (3, "Condensate of the pans", "21", "20", "turned to drain"),
        (2, "Boiler feed water", "45", "10", ""),
    ]
    assert found.sweet == found.places


def test_what_is_usual_of_a_trace_is_what_the_plan_says_from_its_day_on():
    sampling = Sampling("feed_water_sugar_trace", date(2026, 6, 3), DUE, "shift", 0, "mean",
                        (0, 5), (0, 10_000))  # fmt: skip
    plan = Plan(samplings=[sampling])
    assert traces_report(traced(("feed_water", 8)), plan).sweet
    assert not traces_report(traced(("feed_water", 8), day="2026-06-02"), plan).sweet
    assert not traces_report(traced(("feed_water", 8)), Plan()).sweet
