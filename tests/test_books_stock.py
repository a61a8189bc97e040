"""Stock-taking by vessel: tables of volumes, dips, and the groups that they make."""

import math

import numpy as np
import pytest
from hypothesis import given as over
from hypothesis import strategies as st

from app.compute import compute
from app.database import reading, writing
from app.figures.of_records import follow
from app.ledger.booked import differences, page_of
from app.ledger.recording import Draft, Faulty, write_records
from app.ledger.records import records_of
from app.ledger.referring import Referred
from app.ledger.shifts import shift_table
from app.plant.books import BOOKS
from app.plant.books.giving import giving, with_worked
from app.plant.books.stock import NoTable, sound_table, table_of, volume_at
from app.reports.books import conventions_on
from app.reports.stock_taking import stock_report
from tests.bench import NOON

DIPS = BOOKS["dips"]
TABLE = "0=0; 1.5=21.3; 3=43.1"
ONE = {"vessel": "S1", "title": "Syrup tank 1", "group": "syrup_tanks", "table": TABLE}
TWO = ONE | {"vessel": "S2", "title": "Syrup tank 2", "table": "0=0; 4=40"}
DIP = {"vessel": "S1", "at": "13:00", "level": "2.25", "temperature": "60", "brix": "64",
       "purity": "85"}  # fmt: skip


def test_a_volume_lies_on_the_straight_line_between_two_points_of_the_table():
    """Hand: half way from 21.3 to 43.1 m³ is 32.2 m³."""
    table = table_of(TABLE)
    assert table == [(0, 0), (1.5, 21.3), (3, 43.1)]
    assert volume_at(table, 2.25) == pytest.approx(32.2)
    assert [volume_at(table, level) for level, _ in table] == [0, 21.3, 43.1]


def test_nothing_is_read_beyond_what_was_surveyed():
    table = table_of("0.2=3; 3=43.1")
    assert volume_at(table, 3.001) is None
    assert volume_at(table, 0.1) is None


@over(st.lists(st.floats(0.01, 2), min_size=1, max_size=40), st.floats(0, 1), st.randoms())
def test_a_table_reads_as_numpy_reads_it(steps, part, random):
    levels = np.concatenate([[0.0], np.cumsum(steps)])
    volumes = np.concatenate([[0.0], np.cumsum([random.uniform(0, 30) for _ in steps])])
    level = float(part * levels[-1])
    found = volume_at(list(zip(levels.tolist(), volumes.tolist(), strict=True)), level)
    assert found == pytest.approx(float(np.interp(level, levels, volumes)), abs=1e-9)


@pytest.mark.parametrize("typed", ["0=0; 1,5=21,3; 3=43,1", "0 = 0;1.5 = 21.3;3 = 43.1",
                                   "0=0 1.5=21.3 3=43.1"])  # fmt: skip
def test_a_table_is_read_with_commas_or_blanks_as_well(typed):
    assert table_of(typed) == table_of(TABLE)


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("0=0", "at least two pairs"),
        ("0=0; 2=20; 1.5=30", "Levels rise from pair to pair: 1.5 comes after 2"),
        ("0=0; 0=1", "Levels rise"),
        ("0=0; 1=20; 2=19", "A volume does not fall as the level rises: 19 m³ comes after 20 m³"),
        ("0=0; 1.5", "1.5 is no pair"),
        ("0=0; 1=", "1= is no pair"),
        ("0=0; nm=20", "nm=20 is no pair"),
        ("0=0; 1=2=3", "1=2=3 is no pair"),
    ],
)
def test_what_is_no_table_is_refused_and_says_why(typed, words):
    with pytest.raises(NoTable, match=words):
        table_of(typed)
    assert words.split(":")[0] in sound_table({"table": typed})["table"]


def write(bench, book, typed, *, day=None, number=1, **more):
    with writing(bench.engine) as connection:
        draft = Draft(book, day or bench.day, number, typed, **more)
        at = bench.end_of(day, number)
        return write_records(connection, bench.season, [draft], by=bench.ann, at=at)[0]


def refused(bench, typed, **more):
    with pytest.raises(Faulty) as faulty:
        write(bench, "dips", typed, **more)
    return faulty.value.wrong


def result(bench, measure):
    with reading(bench.engine) as connection:
        values = shift_table(connection, bench.mill, bench.season).measures[measure]
    return values[~np.isnan(values)].tolist()


@pytest.fixture
def tanks(bench):
    write(bench, "calibrations", ONE)
    write(bench, "calibrations", TWO)
    return bench


@pytest.mark.both_engines
def test_the_vessels_of_a_group_make_its_volume_and_its_means(tanks):
    """Hand: 32.2 + 10 m³; (32.2 × 64 + 10 × 66) ÷ 42.2 = 64.474; purity by volume × brix."""
    write(tanks, "dips", DIP)
    write(tanks, "dips", DIP | {"vessel": "s2", "level": "1", "brix": "66", "purity": "81",
                                "temperature": "50"})  # fmt: skip
    assert result(tanks, "syrup_tanks_volume") == [pytest.approx(42.2)]
    assert result(tanks, "syrup_tanks_brix") == [pytest.approx(64.474, abs=5e-4)]
    assert result(tanks, "syrup_tanks_temperature") == [pytest.approx(57.630, abs=5e-4)]
    purity = (32.2 * 64 * 85 + 10 * 66 * 81) / (32.2 * 64 + 10 * 66)
    assert result(tanks, "syrup_tanks_purity") == [pytest.approx(purity)]


@pytest.mark.both_engines
def test_a_vessel_that_was_not_dipped_is_not_taken_for_empty(tanks):
    write(tanks, "dips", DIP)
    assert result(tanks, "syrup_tanks_volume") == []
    with reading(tanks.engine) as connection:
        records = records_of(connection, tanks.season, tanks.day, tanks.day, DIPS)
        page = page_of(DIPS, records, Referred(connection, tanks.season))
    assert page.giving.absent == {"syrup_tanks_volume": ("S2",)}
    empty = {"vessel": "S2", "at": "13:05", "level": "0"}
    write(tanks, "dips", empty)
    assert result(tanks, "syrup_tanks_volume") == [pytest.approx(32.2)]
    assert result(tanks, "syrup_tanks_brix") == [64]


@pytest.mark.both_engines
def test_a_vessel_out_of_use_is_not_waited_for(tanks):
    write(tanks, "dips", DIP)
    write(tanks, "calibrations", TWO | {"dipped": "no"}, number=2)
    write(tanks, "dips", DIP | {"at": "15:00"}, number=2)
    assert result(tanks, "syrup_tanks_volume") == [pytest.approx(32.2)]
    with reading(tanks.engine) as connection:
        assert differences(connection, [tanks.season]) == []


def test_a_new_survey_holds_from_its_shift_on_and_earlier_dips_keep_the_old_table(tanks):
    write(tanks, "dips", DIP)
    write(tanks, "dips", DIP | {"vessel": "S2", "level": "0"})
    write(tanks, "calibrations", ONE | {"table": "0=0; 3=60"}, number=2)
    assert result(tanks, "syrup_tanks_volume") == [pytest.approx(32.2)]
    evening = DIP | {"at": "14:30"}
    late = {"late_reason": "found on paper"}
    write(tanks, "dips", evening, number=2, **late)
    write(tanks, "dips", evening | {"vessel": "S2", "level": "0"}, number=2, **late)
    assert result(tanks, "syrup_tanks_volume") == [pytest.approx(45)]  # of a day, the last counts


def test_a_table_mended_changes_the_volumes_that_were_read_in_it(tanks):
    with reading(tanks.engine) as connection:
        (one, _two) = records_of(
            connection, tanks.season, tanks.day, tanks.day, BOOKS["calibrations"]
        )
    write(tanks, "dips", DIP)
    write(tanks, "dips", DIP | {"vessel": "S2", "level": "0"})
    write(tanks, "calibrations", ONE | {"table": "0=0; 3=60"}, based_on=one.id, reason="misprint")
    assert result(tanks, "syrup_tanks_volume") == [pytest.approx(45)]


def test_a_level_beyond_the_table_is_refused_beside_the_level(tanks):
    assert refused(tanks, DIP | {"level": "3.4"}) == {
        "level": "The table of S1 goes from 0 to 3 m: nothing is read beyond it"
    }


def test_a_vessel_nobody_described_and_a_dip_that_says_nothing_are_refused(tanks):
    assert list(refused(tanks, DIP | {"vessel": "S9"})) == ["vessel"]
    nothing = {name: text for name, text in DIP.items() if name != "level"}
    assert list(refused(tanks, nothing)) == ["level"]
    write(tanks, "calibrations", {k: v for k, v in ONE.items() if k != "table"} | {"vessel": "S3"})
    assert refused(tanks, DIP | {"vessel": "S3"}) == {"volume": "S3 has no table: enter its volume"}
    write(tanks, "dips", nothing | {"vessel": "S3", "volume": "12.5"})


def test_a_vessel_is_dipped_once_a_shift(tanks):
    key = write(tanks, "dips", DIP)
    assert list(refused(tanks, DIP | {"vessel": "s1", "level": "1"})) == ["vessel"]
    write(tanks, "dips", DIP | {"level": "2"}, based_on=key, reason="read from the wrong end")
    write(tanks, "dips", {}, based_on=key + 1, void=True, reason="of another tank")
    write(tanks, "dips", DIP | {"level": "1"})


def group_and_vessels(group, vessels):
    """Contents, t, and pol, t, of a group: as the account has them, and vessel by vessel."""
    calibration = {"calibration": {"group": group}}
    dips = [with_worked(DIPS, {**dip, "vessel": "X"}, calibration) for dip in vessels]
    made = {name: each.value for name, each in giving(DIPS, dips).given.items()}
    figures = compute({"measures": made})["figures"]
    each = [follow("dips", dip, conventions_on([], NOON.date())) for dip in dips]
    by_vessel = tuple(math.fsum(dip[name] for dip in each) for name in ("contents", "pol_held"))
    return (figures[f"{group}_stock"]["value"], figures[f"pol_in_{group}"]["value"]), by_vessel


def test_vessels_of_one_content_are_the_same_together_and_one_by_one():
    dip = {"volume": 50.0, "temperature": 64.0, "brix": 92.5, "purity": 86.0}
    together, apart = group_and_vessels("a_pans", [dip, dip | {"volume": 20.0}])
    assert together == pytest.approx(apart, rel=1e-9)


@pytest.mark.parametrize(
    ("group", "apart"),
    [
        ("syrup_tanks", ({"brix": 60.0, "purity": 82.0, "temperature": 45.0},
                         {"brix": 68.0, "purity": 88.0, "temperature": 75.0})),
        ("a_pans", ({"brix": 90.0, "purity": 80.0, "temperature": 55.0},
                    {"brix": 93.5, "purity": 88.0, "temperature": 72.0})),
        ("c_pans", ({"brix": 95.0, "purity": 54.0, "temperature": 40.0},
                    {"brix": 97.5, "purity": 61.0, "temperature": 68.0})),
    ],
)  # fmt: skip
def test_a_group_taken_as_one_differs_from_its_vessels_by_far_less_than_a_dip_is_sure(group, apart):
    """One vessel at each end of what is usual: the widest that a group may be.

    A level read to 1 cm in 4 m alone is 0.25 % of the volume; the group's tonnes and pol differ
    by less than 0.12 % from the sum over its vessels, each by its own density.
    """
    vessels = [{"volume": 40.0, **apart[0]}, {"volume": 70.0, **apart[1]}]
    together, one_by_one = group_and_vessels(group, vessels)
    for whole, parts in zip(together, one_by_one, strict=True):
        assert whole != parts
        assert whole == pytest.approx(parts, rel=0.0012)


def dip(vessel, day, volume, **said):
    """A dip as its report takes it: with what follows in it."""
    held = {"volume_taken": volume, "contents": 1.3 * volume, "brix_held": 0.8 * volume,
            "pol_held": 0.7 * volume}  # fmt: skip
    return {"vessel": vessel, "day": day, "shift": 3.0, "record": 5.0, "group": "syrup_tanks",
            **held, **said}  # fmt: skip


def vessel(code, **said):
    return {"vessel": code, "title": f"Tank {code}", "group": "syrup_tanks", "day": "2026-06-01",
            "shift": 1.0, "record": 1.0, **said}  # fmt: skip


def test_the_report_has_the_last_stock_taking_and_its_growth_since_the_one_before():
    dips = [dip("S1", "2026-06-02", 30.0), dip("S2", "2026-06-02", 10.0),
            dip("s1", "2026-06-03", 20.0), dip("S2", "2026-06-03", 40.0)]  # fmt: skip
    report = stock_report(dips, [vessel("S1"), vessel("S2")])
    (group,) = report.groups
    assert [each.title for each in group.vessels] == ["Tank S1", "Tank S2"]
    assert group.held == ("60.0", "78.0", "48.0", "42.0")
    assert group.growth == ("20.0", "26.0", "16.0", "14.0") == report.growth
    assert (report.before.day, report.whole) == (2, group.held)


def test_the_report_names_the_vessels_that_were_not_dipped_and_has_no_sum_without_them():
    vessels = [vessel("S1"), vessel("S2"), vessel("S3", dipped="no"),
               vessel("S4", day="2026-06-04")]  # fmt: skip
    report = stock_report([dip("S1", "2026-06-03", 20.0)], vessels)
    (group,) = report.groups
    assert group.absent == ("S2",)
    assert group.held == ("",) * 4 == report.whole
    assert (group.growth, report.growth, report.before) == ((), (), None)


def test_a_group_that_nobody_dipped_is_named_and_all_vessels_have_no_sum_without_it():
    molasses = vessel("M1", group="a_molasses_tanks")
    held = {"group": "a_molasses_tanks"}
    dips = [dip("S1", "2026-06-02", 30.0), dip("M1", "2026-06-02", 10.0, **held),
            dip("S1", "2026-06-03", 20.0)]  # fmt: skip
    report = stock_report(dips, [vessel("S1"), molasses])
    assert [(g.name, g.absent) for g in report.groups] == [
        ("syrup_tanks", ()), ("a_molasses_tanks", ("M1",)),
    ]  # fmt: skip
    assert report.whole == ("",) * 4 == report.growth


def test_all_vessels_have_no_growth_where_a_group_is_new():
    dips = [dip("S1", "2026-06-02", 30.0), dip("S1", "2026-06-03", 20.0),
            dip("M1", "2026-06-03", 10.0, group="a_molasses_tanks")]  # fmt: skip
    since = {"group": "a_molasses_tanks", "day": "2026-06-03"}
    report = stock_report(dips, [vessel("S1"), vessel("M1", **since)])
    assert (report.whole[0], report.growth) == ("30.0", ())


def test_there_is_no_report_of_stock_where_nothing_was_dipped():
    assert stock_report([], [vessel("S1")]) is None
