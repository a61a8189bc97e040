"""Strikes, crystallizers and centrifugals: what they give, worked by hand."""

from datetime import UTC, datetime

import pytest

from app.database import reading, writing
from app.figures.of_records import follow
from app.ledger.booked import page_of
from app.ledger.recording import Draft, Faulty, write_records
from app.ledger.records import records_of
from app.ledger.referring import Referred
from app.ledger.shifts import shift_table
from app.plant.books import BOOKS
from app.plant.books.giving import giving, with_worked
from app.plant.books.reading import Span, read_record
from app.reports.books import conventions_on
from app.reports.pan_log import Pan, strikes_report

STRIKES, CRYSTALLIZERS = BOOKS["strikes"], BOOKS["crystallizers"]
CENTRIFUGALS = BOOKS["centrifugals"]
MORNING = Span("Etc/UTC", datetime(2026, 6, 3, 6, tzinfo=UTC), datetime(2026, 6, 3, 14, tzinfo=UTC))
ONE = {"strike": "C 41", "grade": "c", "pan": "P7", "started": "23:40", "grained": "0:30",
       "dropped": "07:10", "volume": "60", "brix": "96", "purity": "57", "temperature": "66",
       "mother_liquor_purity": "38"}  # fmt: skip
TWO = ONE | {"strike": "C 42", "volume": "40", "brix": "95", "purity": "62", "temperature": "64",
             "mother_liquor_purity": "40", "dropped": "13:30"}  # fmt: skip


def said(book, typed, referred=None):
    """The values of a record with what is worked out in it; nothing of it is wrong."""
    values, wrong = read_record(book, typed, MORNING)
    assert wrong == {}
    return with_worked(book, values, referred or {})


def given(book, *records):
    return {name: each.value for name, each in giving(book, records).given.items()}


def test_a_strike_is_boiled_from_its_start_on_the_evening_before_to_its_drop():
    strike = said(STRIKES, ONE)
    assert strike["hours"] == 7.5
    assert strike["tightening"] == pytest.approx(6 + 40 / 60)


def test_strikes_of_a_grade_are_summed_and_meant_by_volume_and_purity_by_its_brix():
    # brix (60 × 96 + 40 × 95) ÷ 100; purity (57.6 × 57 + 38 × 62) ÷ 95.6
    found = given(STRIKES, said(STRIKES, ONE), said(STRIKES, TWO))
    assert found["c_massecuite_volume"] == 100
    assert found["c_massecuite_brix"] == pytest.approx(95.6)
    assert found["c_massecuite_temperature"] == pytest.approx(65.2)
    assert found["c_massecuite_purity"] == pytest.approx((57.6 * 57 + 38 * 62) / 95.6)
    at_strike = (57.6 * 38 + 38 * 40) / 95.6
    assert found["c_mother_liquor_at_strike_purity"] == pytest.approx(at_strike)
    assert not any(name.startswith(("a_", "b_")) for name in found)


def test_a_strike_analysed_by_pol_has_the_purity_of_its_pol_and_brix():
    strike = said(STRIKES, {k: v for k, v in ONE.items() if k != "purity"} | {"pol": "54.72"})
    assert strike["purity_taken"] == pytest.approx(57)


def test_a_strike_whose_volume_is_not_known_leaves_its_grade_without_a_volume():
    unknown = said(STRIKES, {name: text for name, text in TWO.items() if name != "volume"})
    found = giving(STRIKES, [said(STRIKES, ONE), unknown])
    assert found.lacking["c_massecuite_volume"] == (1,)
    assert "c_massecuite_volume" not in found.given
    assert found.given["c_massecuite_brix"].value == 96


def test_a_refinery_strike_gives_nothing_to_the_raw_house():
    assert given(STRIKES, said(STRIKES, ONE | {"grade": "r1", "purity": "99"})) == {}


def test_a_strike_that_began_after_its_drop_is_refused_beside_the_time():
    _values, wrong = read_record(STRIKES, ONE | {"started": "08:00"}, MORNING)
    assert set(wrong) == {"started", "grained"}
    assert "write the date before" in wrong["started"]


def test_crystal_and_exhaustion_of_a_strike_follow_from_both_purities():
    """Hand: 100 × (57 - 38) ÷ (100 - 38) = 30.645 % brix; ÷ 57 = 53.763 % of the sucrose."""
    found = follow("strikes", said(STRIKES, ONE), conventions_on([], MORNING.begins.date()))
    assert found["crystal"] == pytest.approx(30.645, abs=5e-4)
    assert found["exhaustion"] == pytest.approx(53.763, abs=5e-4)
    assert found["crystal_on_massecuite"] == pytest.approx(0.96 * 30.645, abs=5e-4)
    # (100 - 57) × 96 ÷ (100 × 4)
    assert found["non_sucrose_over_water"] == pytest.approx(10.32)
    assert 60 * 1.45 < found["massecuite"] < 60 * 1.55


def test_a_crystallizer_cools_its_strike_and_takes_sucrose_out_of_its_liquor():
    filling = {"strike": "C 41", "crystallizer": "K3", "filled": "2026-06-02 07:30",
               "emptied": "08:00", "entered_at": "66", "cooled": "41.5", "reheated": "54",
               "mother_liquor_purity": "34.4"}  # fmt: skip
    struck = {"grade": "c", "mother_liquor_purity": 38.0}
    record = said(CRYSTALLIZERS, filling, {"struck": struck})
    assert record["stayed"] == 24.5
    assert record["cooling_rate"] == 1.0
    assert record["purity_drop"] == pytest.approx(3.6)
    assert given(CRYSTALLIZERS, record) == {
        "c_massecuite_cooled_temperature": 41.5, "c_massecuite_reheated_temperature": 54,
        "c_mother_liquor_purity": 34.4,
    }  # fmt: skip
    of_b = said(CRYSTALLIZERS, filling, {"struck": {"grade": "b"}})
    assert given(CRYSTALLIZERS, of_b) == {}


def test_analyses_at_the_centrifugals_are_means_by_cycles():
    line = {"at": "09:00", "grade": "a", "machine": "M1", "cycles": "30", "cycle_time": "180",
            "molasses_brix": "74", "molasses_purity": "68"}  # fmt: skip
    other = line | {"machine": "M2", "cycles": "10", "molasses_brix": "78", "molasses_purity": "70"}
    stood = line | {"machine": "M3", "cycles": "0", "molasses_brix": "40"}
    records = [said(CENTRIFUGALS, each) for each in (line, other, stood)]
    assert records[0]["cured_hours"] == 1.5
    found = given(CENTRIFUGALS, *records)
    assert found == {"a_molasses_brix": 75, "a_molasses_purity": 68.5}


def test_the_rise_at_the_centrifugal_is_over_the_mother_liquor_as_cured():
    line = {"at": "09:00", "grade": "c", "machine": "M8", "molasses_purity": "36.2",
            "sugar_purity": "82", "sugar_brix": "90"}  # fmt: skip
    struck = {"purity": 57.0, "mother_liquor_purity": 38.0}
    cured = said(CENTRIFUGALS, line, {"struck": struck, "filling": {"mother_liquor_purity": 34.4}})
    assert cured["purity_rise"] == pytest.approx(1.8)
    # 100 × (57 - 36.2) ÷ (82 - 36.2)
    assert follow("centrifugals", cured, {})["solids_to_sugar"] == pytest.approx(45.415, abs=5e-4)
    dropped = said(CENTRIFUGALS, line, {"struck": struck})
    assert dropped["purity_rise"] == pytest.approx(-1.8)
    assert given(CENTRIFUGALS, cured) == {"c_magma_brix": 90, "c_magma_purity": 82}


def write(bench, book, typed, *, number=1, **more):
    with writing(bench.engine) as connection:
        draft = Draft(book, bench.day, number, typed, **more)
        at = bench.end_of(number=number)
        return write_records(connection, bench.season, [draft], by=bench.ann, at=at)[0]


def result(bench, measure):
    with reading(bench.engine) as connection:
        return shift_table(connection, bench.mill, bench.season).measures[measure].tolist()[0]


@pytest.mark.both_engines
def test_a_crystallizer_gives_its_results_while_its_strike_is_known_to_be_of_c(bench):
    filling = {"strike": "c 41", "crystallizer": "K3", "emptied": "13:00", "cooled": "42"}
    strike = ONE | {"started": "00:10", "grained": "01:00"}
    key = write(bench, "strikes", strike)
    write(bench, "crystallizers", filling)
    assert result(bench, "c_massecuite_cooled_temperature") == 42
    write(bench, "strikes", strike | {"grade": "b"}, based_on=key, reason="grade misread")
    assert str(result(bench, "c_massecuite_cooled_temperature")) == "nan"


def test_a_crystallizer_of_a_strike_that_nobody_wrote_is_refused_beside_the_strike(bench):
    filling = {"strike": "C 14", "crystallizer": "K3", "emptied": "13:00", "cooled": "42"}
    write(bench, "strikes", ONE)
    with pytest.raises(Faulty, match="There is no strike C 14 until this shift") as faulty:
        write(bench, "crystallizers", filling)
    assert list(faulty.value.wrong) == ["strike"]


@pytest.mark.both_engines
def test_the_strikes_of_a_shift_make_its_results_and_a_number_is_given_once(bench):
    write(bench, "strikes", ONE)
    write(bench, "strikes", TWO | {"pan": "P8", "dropped": "12:30"})
    assert result(bench, "c_massecuite_volume") == 100
    with pytest.raises(Faulty) as faulty:
        write(bench, "strikes", ONE | {"pan": "P9"})
    assert list(faulty.value.wrong) == ["strike"]
    with reading(bench.engine) as connection:
        records = records_of(connection, bench.season, bench.day, bench.day, STRIKES)
        page = page_of(STRIKES, records, Referred(connection, bench.season))
    assert [record.fields["strike"] for record in page.records] == ["C 41", "C 42"]


def strike(name, **said):
    """A strike as its report takes it: with what follows in it."""
    return {"strike": name, "record": 7.0, "grade": "a", "pan": "P1", "volume_of_brix": 1.0, **said}


def test_the_report_of_strikes_means_by_volume_and_leaves_out_what_was_not_filtered():
    """Hand: brix (60 × 92 + 40 × 94) ÷ 100 = 92.8; purity (55.2 × 85 + 37.6 × 87) ÷ 92.8."""
    first = strike("A1", volume=60.0, brix=92.0, purity_taken=85.0, volume_of_brix=55.2,
                   hours=3.0, exhaustion=62.0)  # fmt: skip
    second = strike("A2", volume=40.0, brix=94.0, purity_taken=87.0, volume_of_brix=37.6, hours=4.0)
    (grade,) = strikes_report([first, second], [], []).grades
    assert grade.whole == Pan("", 2, "100.0", "3.50", "92.80", "85.81", "62.0")
    assert [pan.name for pan in grade.pans] == ["P1"]


def test_a_volume_that_lacks_leaves_the_pan_without_a_sum():
    (grade,) = strikes_report([strike("A1", volume=60.0), strike("A2")], [], []).grades
    assert not grade.whole.volume


def test_a_strike_is_joined_to_its_crystallizers_and_machines_by_its_number():
    fillings = [
        {"strike": "a1 ", "crystallizer": "K1", "stayed": 20.0, "cooled": 44.0},
        {"strike": "A1", "crystallizer": "K2", "stayed": 24.0, "cooled": 42.0},
        {"strike": "A9", "crystallizer": "K3", "stayed": 9.0},
    ]
    cured = [
        {"strike": "A1", "machine": "M1", "molasses_purity": 68.0, "cycles_counted": 30.0},
        {"strike": "A1", "machine": "M2", "molasses_purity": 70.0, "cycles_counted": 10.0},
        {"machine": "M3", "molasses_purity": 50.0, "cycles_counted": 1.0},
    ]
    (life,) = strikes_report([strike("A1")], fillings, cured).lives
    assert (life.crystallizers, life.stayed, life.cooled) == ("K1, K2", "22.0", "43.0")
    assert (life.machines, life.molasses, life.rise) == ("M1, M2", "68.50", "")
