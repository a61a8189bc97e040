"""A write-ahead file that is gone, or not this ledger's, is never taken for the truth in silence."""

import shutil
from pathlib import Path

import pytest
from sqlalchemy import make_url

from app.database import reading
from app.ledger import soundness
from tests.faults.kills import faults, found, missing
from tests.faults.table import Row


def killed(writer, address):
    """Let a ledger be written in, kill the writer; returns what was saved and the file beside."""
    saved = [one for _ in range(3) for one in writer.killed(address, 0.05)]
    return saved, Path(f"{make_url(address).database}-wal")


def told(address, anchor):
    """Return what is said of a ledger beside a number of its chain that was written down."""
    with found(address) as engine:
        wrong = faults(engine)
        if any(each.startswith(("Unfit", "DatabaseError", "OperationalError")) for each in wrong):
            return wrong, "refused"
        with reading(engine) as connection:
            if breach := soundness.breach(connection, soundness.anchor(anchor)):
                wrong.append(str(breach))
    return wrong, "told by the anchor" if len(wrong) == 1 and breach else "told by verifying"


@pytest.mark.parametrize("what", ["deleted", "another ledger's", "an older one", "cut in half"])
def test_a_wrong_file_beside_the_ledger_is_told_of(writer, another, tmp_path, what, shown, often):
    """F-16"""
    ways, lost, acknowledged = [], 0, 0
    times = often(2, full=25)
    for _ in range(times):
        address = another(tmp_path)
        older, wal = killed(writer, address)
        before = shutil.copy(wal, tmp_path / "older")
        saved, _ = killed(writer, address)
        assert not _said(address, saved[-1].anchor)
        if what == "deleted":
            wal.unlink()
        elif what == "another ledger's":
            _, others = killed(writer, another(tmp_path))
            shutil.copy(others, wal)
        elif what == "an older one":
            shutil.copy(before, wal)
        else:
            with wal.open("r+b") as file:
                file.truncate(wal.stat().st_size // 2)
        wrong, way = told(address, saved[-1].anchor)
        assert wrong
        ways.append(way)
    print(what, ways, wrong)


def _said(address, anchor):
    return told(address, anchor)[0]
