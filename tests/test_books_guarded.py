"""What books give, as days are approved and shifts signed: it stands still, and lacks openly."""

import math
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from app.database import reading, writing
from app.ledger import people, signing
from app.ledger.booked import differences, end_of_week, given_of_days
from app.ledger.cells import Refused
from app.ledger.recording import Draft, Faulty, write_records
from app.ledger.shifts import shift_table
from app.ledger.signed import signed_shift
from app.plant.books import BOOKS
from app.plant.grains import DAY
from app.reports.books import day_lines, whole_of
from tests.bench import NOON, PASSWORD
from tests.small_season import books, over
from tests.test_plan_figures import taken

pytestmark = pytest.mark.both_engines

MONDAY, SUNDAY = date(2026, 6, 1), date(2026, 6, 7)
LATER = datetime(2026, 6, 9, 19, tzinfo=UTC)
WEEKLY = "c_mother_liquor_at_strike_purity"
STRIKE = {"strike": "1", "grade": "c", "pan": "P", "dropped": "07:00", "volume": "60", "brix": "96",
          "purity": "57", "mother_liquor_purity": "38"}  # fmt: skip
LOT = {"lot": "1", "ended": "08:00", "bulk": "100", "pol": "98", "moisture": "0.3"}
TANK = {"vessel": "S1", "title": "Syrup tank", "group": "syrup_tanks", "table": "0=0; 3=30"}
DIP = {"vessel": "S1", "at": "13:00", "level": "2", "brix": "64", "purity": "85"}
LOAD = {"ticket": "t-1", "weighed": "07:00", "grower": "G1", "gross": "40", "tare": "12"}


def write(bench, book, typed, *, day=None, number=1, by=None, at=None, **more):
    with writing(bench.engine) as connection:
        draft = Draft(book, day or bench.day, number, typed, **more)
        at = at or bench.end_of(day, number)
        return write_records(connection, bench.season, [draft], by=by or bench.ann, at=at)[0]


def late(bench, book, typed, **more):
    return write(bench, book, typed, at=LATER, late_reason="the book lay at the pans", **more)


def column(bench, measure, **otherwise):
    with reading(bench.engine) as connection:
        table = shift_table(connection, bench.mill, bench.season, **otherwise)
    return table.measures[measure].tolist()


def person(bench, name, role):
    with writing(bench.engine) as connection:
        who = {"username": name, "printed_name": name.title(), "role": role}
        return people.add_person(connection, **who, password=PASSWORD, at=NOON)


def sign(bench, day, number, by, at=LATER):
    with writing(bench.engine) as connection:
        signing.sign_shift(
            connection, bench.season, day, number, blank=(), remarks={}, by=by, at=at
        )


def cane_of(bench, day):
    for number in (1, 2, 3):
        bench.write("cane", "1000", day=day, number=number, late_reason="x", at=LATER)


def approve(bench, day):
    manager = person(bench, "boss", "manager")
    for number in (1, 2, 3):
        sign(bench, day, number, bench.ann)
    with writing(bench.engine) as connection:
        signing.approve_day(connection, bench.season, day, shifts_a_day=3, by=manager, at=LATER)


def test_a_result_of_a_week_stands_on_its_last_day_alone_however_far_the_week_is(bench):
    for gone in range(2):
        purity = {"strike": f"{gone}", "mother_liquor_purity": f"{38 + gone}"}
        late(bench, "strikes", STRIKE | purity, day=MONDAY + timedelta(days=gone))
        assert all(map(math.isnan, column(bench, WEEKLY)))
    cane_of(bench, SUNDAY)
    season = column(bench, WEEKLY)
    assert season[-1] == pytest.approx(38.5)
    assert all(map(math.isnan, season[:-1]))
    assert column(bench, WEEKLY, only=SUNDAY)[-1] == season[-1]


def test_a_week_that_the_season_ends_in_ends_with_it(bench):
    assert end_of_week(bench.season, MONDAY) == SUNDAY
    wednesday = MONDAY + timedelta(days=2)
    assert end_of_week(replace(bench.season, last_day=wednesday), MONDAY) == wednesday


def test_what_would_move_the_result_of_a_week_whose_last_day_is_approved_is_refused(bench):
    late(bench, "strikes", STRIKE, day=MONDAY)
    cane_of(bench, SUNDAY)
    approve(bench, SUNDAY)
    before = over(books(bench), [WEEKLY], SUNDAY, SUNDAY)
    wednesday = MONDAY + timedelta(days=2)
    with pytest.raises(Refused, match="2026-06-07 holds, which is approved by Boss"):
        late(bench, "strikes", STRIKE | {"strike": "2", "mother_liquor_purity": "45"},
             day=wednesday)  # fmt: skip
    assert over(books(bench), [WEEKLY], SUNDAY, SUNDAY) == before == {WEEKLY: 38}
    late(bench, "stops", {"begins": "07:00", "ends": "08:00", "cause": "no_cane",
                          "crushing": "stopped"}, day=wednesday)  # fmt: skip


def test_a_signed_shift_is_not_changed_by_a_record_of_another_that_it_refers_to(bench):
    key = write(bench, "strikes", STRIKE | {"grade": "a"})
    emptied = {"strike": "1", "crystallizer": "X", "emptied": "15:00", "cooled": "44"}
    write(bench, "crystallizers", emptied, number=2, by=bench.bob)
    sign(bench, bench.day, 2, bench.bob, NOON + timedelta(hours=8))
    measure = "c_massecuite_cooled_temperature"
    before = column(bench, measure)
    for who in (bench.ann, person(bench, "cora", "chief chemist")):
        with pytest.raises(Refused, match="shift 2 of 2026-06-03 holds, which is signed by Bob"):
            write(bench, "strikes", STRIKE, based_on=key, reason="wrong grade", by=who)
    assert all(map(math.isnan, before + column(bench, measure)))
    with reading(bench.engine) as connection:
        assert signed_shift(connection, bench.season, bench.day, 2).whole
    write(
        bench, "strikes", STRIKE | {"grade": "a", "pressure": "15"}, based_on=key
    )  # moves nothing


def test_a_shift_that_was_not_weighed_leaves_a_mill_that_weighs_by_the_day_without_a_weight(bench):
    for name in ("sugar_pol", "sugar_moisture", "sugar_colour", "sugar_temperature", "sugar"):
        taken(bench, name, bench.day, grain=DAY)
    write(bench, "bagging", LOT)
    key = write(bench, "bagging", {"lot": "2", "ended": "15:00"}, number=2)
    write(bench, "bagging", LOT | {"lot": "3", "ended": "23:00"}, number=3)
    assert all(map(math.isnan, column(bench, "sugar")))
    write(bench, "bagging", {"lot": "2", "ended": "15:00", "bulk": "50"}, number=2, based_on=key)
    assert column(bench, "sugar")[-1] == 250
    with reading(bench.engine) as connection:
        assert differences(connection, [bench.season]) == []


def test_a_book_over_days_prints_no_part_as_the_whole(bench):
    write(bench, "bagging", LOT)
    write(bench, "bagging", {"lot": "2", "ended": "15:00"}, number=2)
    with reading(bench.engine) as connection:
        days = (bench.day, bench.day)
        (day,) = lines = day_lines(
            *given_of_days(connection, bench.season, BOOKS["bagging"], *days)
        )
    assert day.gives["sugar"].value is None
    assert whole_of(lines)["sugar"].value is None
    assert whole_of(lines)["sugar_pol"].value == 98


def test_the_stock_of_a_day_is_of_one_taking_and_none_where_that_lacks_a_vessel(bench):
    write(bench, "calibrations", TANK)
    write(bench, "calibrations", TANK | {"vessel": "S2"})
    write(bench, "dips", DIP)
    write(bench, "dips", DIP | {"vessel": "S2"})
    assert column(bench, "syrup_tanks_volume") == [40]
    write(bench, "dips", {"vessel": "S1", "at": "15:00", "level": "0.5", "purity": "70"}, number=2)
    for what in ("volume", "brix", "purity"):  # purity weighs by volume × brix, which lacks
        assert all(map(math.isnan, column(bench, f"syrup_tanks_{what}"))), what


def test_an_analysis_of_a_hundredth_of_the_sugar_is_not_that_of_the_shift(bench):
    """Of 1000 t 10 were analysed: 1 %, under the 60 that are needed."""
    write(bench, "bagging", LOT | {"bulk": "10"})
    write(bench, "bagging", {"lot": "2", "ended": "09:00", "bulk": "990"})
    season = books(bench)
    assert season.booked_on(bench.day, 1)["sugar"] == 1000
    assert "sugar_pol" not in season.booked_on(bench.day, 1)
    result = season.over(season.day(bench.day))
    assert math.isnan(result.values["pol_in_sugar_bagged"][0])
    assert "sugar_pol" in result.missing("pol_in_sugar_bagged")


def test_the_share_of_lots_analysed_is_the_coverage_of_shift_and_day(bench):
    """800 of 1000 t on shift 1, all 500 on shift 2, at one pol: 1300 of 1500 t."""
    write(bench, "bagging", LOT | {"bulk": "800"})
    write(bench, "bagging", {"lot": "2", "ended": "09:00", "bulk": "200"})
    write(bench, "bagging", LOT | {"lot": "3", "ended": "15:00", "bulk": "500"}, number=2)
    season = books(bench)
    for period, share in ((season.shift(bench.day, 1), 0.8), (season.shift(bench.day, 2), 1),
                          (season.day(bench.day), 1300 / 1500)):  # fmt: skip
        result = season.over(period)
        for name in ("pol_in_sugar_bagged", "sugar_pol"):
            assert result.coverage[name][0] == pytest.approx(share), name
            assert math.isfinite(result.values[name][0])


def test_loads_of_which_some_are_sampled_by_design_cover_their_shift(bench):
    write(bench, "consignments", LOAD | {"fibre": "14"})
    for n in range(2, 6):
        write(bench, "consignments", LOAD | {"ticket": f"t-{n}"})
    season = books(bench)
    assert season.booked_on(bench.day, 1)["cane_received_fibre"] == 14
    with reading(bench.engine) as connection:
        parts, _ = given_of_days(
            connection, bench.season, BOOKS["consignments"], bench.day, bench.day
        )
    shares = {given.measure: given.share for _, given in parts}
    assert shares["cane_received_fibre"] == pytest.approx(0.2)


def test_a_stop_that_lasts_is_not_none_while_other_causes_are(bench):
    bench.write("crushing_hours", "5")
    stop = {"begins": "07:00", "cause": "mechanical_stop", "crushing": "stopped"}
    key = write(bench, "stops", stop)
    names = ["mechanical_stop_hours", "process_stop_hours", "unaccounted_stop_hours"]
    hours = list(over(books(bench), names, bench.day, bench.day).values())
    assert hours == pytest.approx([math.nan, 0, math.nan], nan_ok=True)
    season = books(bench)
    missing = season.over(season.day(bench.day)).missing("unaccounted_stop_hours")
    assert set(missing) == {"mechanical_stop_hours"}
    write(bench, "stops", stop | {"ends": "09:00"}, based_on=key)
    assert list(over(books(bench), names, bench.day, bench.day).values()) == [2, 0, 1]


def test_tickets_and_lots_are_the_same_in_capitals(bench):
    key = write(bench, "consignments", LOAD)
    with pytest.raises(Faulty, match="t-1 is there already"):
        write(bench, "consignments", LOAD | {"ticket": "T-1"})
    drafts = [Draft("bagging", bench.day, 1, LOT | {"lot": lot}) for lot in ("L1", "l1")]
    with pytest.raises(Faulty, match="L1 is there already"), writing(bench.engine) as connection:
        write_records(connection, bench.season, drafts, by=bench.ann, at=NOON)
    write(bench, "consignments", LOAD | {"ticket": "T-1"}, based_on=key, reason="as on the ticket")
    assert column(bench, "cane_received") == [28]


def test_what_is_taken_out_is_neither_taken_out_again_nor_corrected(bench):
    key = write(bench, "consignments", LOAD)
    key = write(bench, "consignments", {}, based_on=key, void=True, reason="not ours")
    for more in ({"void": True}, {}):
        with pytest.raises(Refused, match="taken out already"):
            write(bench, "consignments", LOAD, based_on=key, reason="once more", **more)
    write(bench, "consignments", LOAD)
    assert column(bench, "cane_received") == [28]
