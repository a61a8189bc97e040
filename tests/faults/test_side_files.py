"""A write-ahead file that is gone, or another ledger’s, is never taken for the truth unsaid."""

import shutil
from pathlib import Path

import pytest
from sqlalchemy import make_url

from app.database import open_database, reading
from app.ledger import chain, soundness
from tests.faults.kills import faults, found, missing
from tests.faults.table import Row


def wal_of(address):
    return Path(f"{make_url(address).database}-wal")


def written(writer, address):
    """Let a ledger be written in, kill the writer, and return what was saved."""
    return [one for _ in range(2) for one in writer.killed(address, 0.03)]


def close(address):
    """Open and close a ledger as a program does that is not killed: one file is left."""
    engine = open_database(address)
    with reading(engine) as connection:
        chain.head(connection)
    engine.dispose()
    assert not wal_of(address).exists()


def told(address, anchor):
    """Return what is said of a ledger: by itself, and beside a number of it written down once."""
    with found(address) as engine:
        wrong = faults(engine)
        if wrong:
            return wrong, "by itself"
        with reading(engine) as connection:
            breach = soundness.breach(connection, soundness.anchor(anchor))
        return ([str(breach)], "by the anchor") if breach else ([], "")


WRONG = {
    "deleted": lambda wal, _older, _others: wal.unlink(),
    "an older one": lambda wal, older, _others: shutil.copy(older, wal),
    "another ledger’s": lambda wal, _older, others: shutil.copy(others, wal),
    "cut in half": lambda wal, *_: wal.write_bytes(wal.read_bytes()[: wal.stat().st_size // 2]),
}


@pytest.mark.parametrize("what", WRONG)
def test_a_wrong_file_beside_the_ledger_is_told_of(writer, another, tmp_path, what, often, shown):
    """F-16: between kill and start; every other time the ledger was closed once before."""
    times, ways, acknowledged, lost = often(2, full=25), [], 0, 0
    for turn in range(times):
        address, other = another(tmp_path), another(tmp_path)
        wal, older, others = wal_of(address), tmp_path / "older", tmp_path / "others"
        saved = written(writer, address)
        shutil.copy(wal, older)
        if turn % 2:
            close(address)
        saved += written(writer, address)
        if what == "another ledger’s":
            written(writer, other)
            shutil.copy(wal_of(other), others)
        assert told(address, saved[-1].anchor) == ([], "")
        WRONG[what](wal, older, others)
        wrong, way = told(address, saved[-1].anchor)
        assert wrong
        ways.append(way)
        acknowledged += 3 * len(saved)
        with found(address) as engine:
            lost += 3 * len(missing(engine, saved)) if way == "by the anchor" else 0
    summary = ", ".join(f"{ways.count(way)} told {way}" for way in sorted(set(ways)))
    shown(Row("F-16", f"write-ahead file {what}", times, acknowledged, lost, summary))
