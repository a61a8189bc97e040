"""Kills a writer again and again, and counts what is missing of what it said was saved."""

import os
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import NamedTuple, Self

from sqlalchemy import Engine, func, make_url, select
from sqlalchemy.exc import DBAPIError

from app.database import Unfit, open_database, reading
from app.keeping.fitness import must_be_a_ledger
from app.ledger import soundness, tables
from tests.faults.unsafe_disk import UnsafeDisk

ROOT = Path(__file__).parent.parent.parent
MEASURES = ("cane", "imbibition", "mixed_juice")
WITHOUT_FLUSH, BEFORE_IT_IS_KEPT = "without-flush", "before-it-is-kept"  # how writers are careless
MOST_CALLS = 250  # until the power is cut: a sheet takes some thirty, a checkpoint hundreds


def typed(measure: str, number: int) -> str:
    """Return what the writer types in a cell of the sheet of that number."""
    return str(1000 + number % 500 + MEASURES.index(measure))


class Saved(NamedTuple):
    """What the writer said was saved: a sheet, its entries, and the end of the chain."""

    number: int
    entries: tuple[int, ...]
    anchor: str


class Writer:
    """The program that writes, started with an environment."""

    def __init__(self, environment: Mapping[str, str]) -> None:
        self._program = subprocess.Popen(
            [sys.executable, "-m", "tests.faults.writer"], cwd=ROOT, text=True,
            env=os.environ | environment, stdin=subprocess.PIPE, stdout=subprocess.PIPE,
        )  # fmt: skip
        assert self._program.stdin
        assert self._program.stdout
        self._told, self._said = self._program.stdin, self._program.stdout

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_problem: object) -> None:
        self._program.communicate()

    def killed(
        self, address: str, seconds: float, careless: str = "", *, opening: bool = False
    ) -> list[Saved]:
        """Kill it so long after the first sheet it saved, and return what it said was saved.

        With `opening` the time counts from when it opens the ledger, which it may have to mend.
        """
        pid = self._start(address, careless)
        first = [] if opening else [self._said.readline()]
        assert first != ["failed\n"], "the writer failed, as it says above"
        time.sleep(seconds)
        os.kill(pid, signal.SIGKILL)
        return self._saved(first)

    def dies(self, address: str, careless: str = "") -> list[Saved]:
        """Let it write until its disk kills it, and return what it said was saved."""
        self._start(address, careless)
        return self._saved()

    def _start(self, address: str, careless: str) -> int:
        self._told.write(f"{address} {careless}\n")
        self._told.flush()
        return int(self._said.readline())

    def _saved(self, first: Iterable[str] = ()) -> list[Saved]:
        lines = [*first]
        while (line := self._said.readline()) not in ("killed\n", "failed\n", ""):
            lines.append(line)
        assert line == "killed\n", "the writer failed, as it says above"
        return [_saved(*line.split()) for line in lines]


def _saved(number: str, *rest: str) -> Saved:
    *entries, anchor = rest
    return Saved(int(number), tuple(map(int, entries)), anchor)


@dataclass
class Tally:
    """What came of many kills or cuts."""

    often: int = 0
    acknowledged: int = 0
    lost: int = 0
    faults: list[str] = field(default_factory=list)

    @property
    def found(self) -> str:
        """How the ledger was found, for the table."""
        return "whole" if not self.faults else f"{len(self.faults)} faults: {self.faults[0]}"


def kill_again_and_again(
    writer: Writer, ledger: Callable[[], str], times: int, *, careless: str = "", each: int = 25
) -> Tally:
    """Kill the writer so often 0 to 50 ms after it saved a sheet, or began to open the ledger.

    After each the whole ledger is verified, so there is a new one for `each` kills.
    """
    chance = random.Random(1)

    def kill(turn: int, address: str) -> list[Saved]:
        seconds = chance.uniform(0, 0.05)
        return writer.killed(address, seconds, careless, opening=turn % 3 == 2)

    return _again_and_again(kill, ledger, times, each)


def cut_again_and_again(
    writer: Writer,
    disk: UnsafeDisk,
    ledger: Callable[[], str],
    times: int,
    *,
    torn: bool = False,
    careless: str = "",
) -> tuple[Tally, int]:
    """Cut the power so often, at any of the calls that change the disk or flush it.

    Returns what came of it, and how many writes were put back.
    """
    chance, put_back = random.Random(2), 0

    def cut(_turn: int, address: str) -> list[Saved]:
        nonlocal put_back
        disk.fault(f"dies at call {chance.randint(1, MOST_CALLS)}")
        said = writer.dies(address, careless)
        put_back += disk.cut(chance if torn else None)
        return said

    return _again_and_again(cut, ledger, times, 25), put_back


def _again_and_again(
    end: Callable[[int, str], list[Saved]], ledger: Callable[[], str], times: int, each: int
) -> Tally:
    tally = Tally()
    address, saved = "", list[Saved]()
    for turn in range(times):
        if turn % each == 0:
            address, saved = ledger(), []
        said = end(turn, address)
        saved += said
        with found(address) as engine:
            gone = missing(engine, saved)
            tally.faults += faults(engine)
        saved = [one for one in saved if one not in gone]
        tally.often += 1
        tally.acknowledged += sum(len(one.entries) for one in said)
        tally.lost += sum(len(one.entries) for one in gone)
    return tally


@contextmanager
def found(address: str) -> Iterator[Engine]:
    """Open a ledger as it was left, a SQLite file as a copy: looking at it would bring it right."""
    with tempfile.TemporaryDirectory() as folder:
        url = make_url(address)
        if url.database and url.get_backend_name() == "sqlite":
            left = Path(url.database)
            for path in (left, left.with_name(f"{left.name}-wal")):
                if path.exists():
                    shutil.copy(path, folder)
            address = f"sqlite:///{folder}/{left.name}"
        engine = open_database(address)
        try:
            yield engine
        finally:
            engine.dispose()


def missing(engine: Engine, saved: Iterable[Saved]) -> list[Saved]:
    """Return which of the saved sheets a ledger does not hold, in every entry as it was typed."""
    c = tables.entry.c
    with reading(engine) as connection:
        rows = connection.execute(select(c.id, c.measure, c.typed))
        stands = {row.id: (row.measure, row.typed) for row in rows}
    return [
        one
        for one in saved
        if [stands.get(key) for key in one.entries]
        != [(measure, typed(measure, one.number)) for measure in MEASURES]
    ]


def faults(engine: Engine) -> list[str]:
    """Return what is wrong with a ledger: its file, its chain and its rows, a sheet half there."""
    url = engine.url
    c = tables.shift.c
    query = select(c.day, c.number, func.count(tables.entry.c.id))
    query = query.outerjoin(tables.entry, tables.entry.c.shift_id == c.id).group_by(c.day, c.number)
    try:
        if url.get_backend_name() == "sqlite" and url.database:
            must_be_a_ledger(Path(url.database))
        with reading(engine) as connection:
            wrong = [str(fault) for fault in soundness.faults(connection)]
            for day, number, cells in connection.execute(query):
                if cells != len(MEASURES):
                    wrong.append(f"Shift {number} of {day} has {cells} of {len(MEASURES)} cells")
    except (Unfit, DBAPIError) as problem:
        return [f"{type(problem).__name__}: {problem}"]
    return wrong
