"""The ledger as figures and files take it, and a season's history put in at once."""

from datetime import date
from decimal import Decimal

import numpy as np
import pytest
from sqlalchemy import func, select

from app.database import reading, writing
from app.ledger import mills, shifts, tables
from app.ledger.book import Refused
from app.ledger.history import HistoryEntry, load_history
from tests.bench import NOON

pytestmark = pytest.mark.both_engines


def test_a_table_has_every_shift_in_order_and_nothing_of_other_seasons(bench):
    bench.write("cane", "1200", day=date(2026, 6, 1), number=2, late_reason="from paper")
    bench.write("cane", "1300", day=date(2026, 6, 2), number=1, late_reason="from paper")
    with writing(bench.engine) as connection:
        other = mills.add_season(
            connection, bench.mill, name="2025", first_day=date(2025, 6, 1), at=NOON
        )
    bench.write("cane", "999", season=other, day=date(2025, 6, 1), late_reason="from paper")
    table = bench.read(shifts.shift_table, bench.mill, bench.season)
    assert [(shift.day.day, shift.number) for shift in table.shifts] == [
        (1, 1), (1, 2), (1, 3), (2, 1),
    ]  # fmt: skip
    assert np.array_equal(table.measures["cane"], [np.nan, 1200, np.nan, 1300], equal_nan=True)
    assert table.measures["gross_hours"].tolist() == [8.0] * 4


def test_the_table_of_one_day_alone_begins_with_its_first_shift(bench):
    for day, number, cane in ((1, 2, "1200"), (2, 2, "1300"), (3, 1, "1400")):
        bench.write("cane", cane, day=date(2026, 6, day), number=number, late_reason="from paper")
    alone = bench.read(shifts.shift_table, bench.mill, bench.season, date(2026, 6, 2))
    assert [(shift.day.day, shift.number) for shift in alone.shifts] == [(2, 1), (2, 2)]
    assert np.array_equal(alone.measures["cane"], [np.nan, 1300], equal_nan=True)


def test_the_shift_in_which_clocks_change_is_longer(bench):
    bench.write("cane", "1200", day=date(2026, 10, 31), number=3)
    table = bench.read(shifts.shift_table, bench.mill, bench.season)
    assert table.measures["gross_hours"][-3:].tolist() == [8.0, 8.0, 9.0]


def test_a_season_without_entries_has_an_empty_table(bench):
    table = bench.read(shifts.shift_table, bench.mill, bench.season)
    assert table.shifts == []
    assert table.measures["cane"].size == 0


def test_entries_of_some_days_say_what_became_of_each(bench):
    first = bench.write("cane", "1250")
    bench.write("cane", "1205", based_on=first.id, reason="swapped")
    ash = bench.write("cane_ash", "2")
    bench.write("cane_ash", "", based_on=ash.id, reason="spilt")
    bench.write("cane", "1300", day=date(2026, 6, 4))
    kept = bench.read(shifts.entries_of, bench.season, bench.day, bench.day)
    assert [(k.entry.measure, k.entry.typed, k.status) for k in kept] == [
        ("cane", "1250", "superseded"),
        ("cane", "1205", "standing"),
        ("cane_ash", "2", "superseded"),
        ("cane_ash", "", "void"),
    ]
    assert {(k.day, k.number, k.stream) for k in kept} == {(bench.day, 1, "cane")}


def history(bench, *rows):
    for day, typed, reason in rows:
        yield HistoryEntry(
            date(2026, 6, day), 1, "cane", typed, reason, bench.bob.id, NOON, reason is not None
        )


def test_a_history_is_kept_as_if_it_had_been_typed(bench):
    rows = [(1, "1200", None), (1, "1210,5", "slip"), (1, "", "other shift"), (2, "nm", None)]
    with writing(bench.engine) as connection:
        assert load_history(connection, bench.season, history(bench, *rows)) == 4
    kept = bench.read(shifts.entries_of, bench.season, date(2026, 6, 1), date(2026, 6, 2))
    assert [k.status for k in kept] == ["superseded", "superseded", "void", "standing"]
    assert [k.entry.supersedes_id for k in kept] == [None, kept[0].entry.id, kept[1].entry.id, None]
    assert kept[1].entry.value == Decimal("1210.5")
    assert kept[3].entry.recorded_name == "Bob Stone"
    assert bench.read(shifts.differences) == []
    assert bench.write("cane", "1250") is not None


@pytest.mark.parametrize("typed", ["-1", "12.3.4"])
def test_a_history_is_refused_by_the_rules_of_the_sheet(bench, typed):
    with pytest.raises(Refused), writing(bench.engine) as connection:
        load_history(connection, bench.season, history(bench, (1, typed, None)))
    with reading(bench.engine) as connection:
        assert connection.scalar(select(func.count()).select_from(tables.shift)) == 0


def test_a_history_is_not_put_over_entries(bench):
    bench.write("cane", "1250")
    with pytest.raises(ValueError, match="already has"), writing(bench.engine) as connection:
        load_history(connection, bench.season, [])
