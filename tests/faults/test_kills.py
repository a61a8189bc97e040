"""Whoever was told that a sheet is saved finds it after the program or the power went.

Each rig is also run with a writer that is careless, and has to find something missing then.
"""

import pytest

from tests.faults.kills import (
    BEFORE_IT_IS_KEPT,
    WITHOUT_FLUSH,
    cut_again_and_again,
    kill_again_and_again,
)
from tests.faults.table import Row


def row(fault, how, tally):
    return Row(fault, how, tally.often, tally.acknowledged, tally.lost, tally.found)


def test_a_killed_program_loses_nothing_on_sqlite(writer, another, tmp_path, often, shown):
    """F-01, B-13, M5: 0 to 50 ms after its first sheet, or after it began to open the ledger."""
    tally = kill_again_and_again(writer, lambda: another(tmp_path), often(30, full=1000))
    shown(row("F-01", "kill -9 of the writer, SQLite", tally))
    assert tally.acknowledged > tally.often
    assert tally.lost == 0
    assert tally.faults == []


@pytest.mark.usefixtures("bench")
@pytest.mark.parametrize("database_url", ["postgresql"], indirect=True)
def test_a_killed_program_loses_nothing_on_postgresql(writer, database_url, often, shown):
    """F-01, B-13."""
    times = often(10, full=200)
    tally = kill_again_and_again(writer, lambda: database_url, times, each=times)
    shown(row("F-01", "kill -9 of the writer, PostgreSQL", tally))
    assert tally.acknowledged > tally.often
    assert tally.lost == 0
    assert tally.faults == []


def test_the_rig_sees_it_where_a_program_says_too_early_that_it_saved(
    writer, another, tmp_path, often, shown
):
    """B-102, beside F-01."""
    tally = kill_again_and_again(
        writer, lambda: another(tmp_path), often(10, full=50), careless=BEFORE_IT_IS_KEPT
    )
    shown(row("control", "F-01, and saved is said before it is kept", tally))
    assert tally.lost > 0
    assert tally.faults == []


@pytest.fixture
def cut(writer_on_disk, disk, another):
    """Cut the power again and again, of ledgers on the unsafe disk."""

    def cut(times, **how):
        return cut_again_and_again(writer_on_disk, disk, lambda: another(disk.data), times, **how)

    return cut


def test_a_power_cut_loses_nothing(cut, often, shown):
    """F-02, B-12: what was not flushed is gone."""
    tally, put_back = cut(often(15, full=100))
    shown(row("F-02", f"power cut, {put_back} writes not flushed are gone", tally))
    assert min(put_back, tally.acknowledged) > tally.often
    assert tally.lost == 0
    assert tally.faults == []


def test_the_rig_sees_it_where_a_program_does_not_flush(cut, often, shown):
    """F-02, B-12, B-102: the negative control, with synchronous = OFF."""
    tally, _ = cut(often(5, full=100), careless=WITHOUT_FLUSH)
    shown(row("control", "F-02, and synchronous = OFF", tally))
    assert tally.lost > 0


def test_a_torn_write_is_mended(cut, often, shown):
    """F-03: of what was not flushed some is kept, some half, some not, in no order."""
    tally, put_back = cut(often(15, full=100), torn=True)
    shown(row("F-03", f"power cut, {put_back} writes not flushed kept, torn or gone", tally))
    assert min(put_back, tally.acknowledged) > tally.often
    assert tally.lost == 0
    assert tally.faults == []


def test_the_rig_sees_torn_writes_where_a_program_does_not_flush(cut, often, shown):
    """B-102, beside F-03."""
    tally, _ = cut(often(5, full=100), torn=True, careless=WITHOUT_FLUSH)
    shown(row("control", "F-03, and synchronous = OFF", tally))
    assert tally.lost > 0
