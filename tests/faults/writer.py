"""A program that writes sheet after sheet and says of each what was saved, until it is killed.

Each line it reads is the address of a ledger, for which it makes a child: killing that one costs no
new start of Python. A second word makes the child careless, so that a rig can show what it finds.
"""

import os
import signal
import sys
import time
from datetime import timedelta

import psycopg  # noqa: F401  so that no child has to
from sqlalchemy import Connection, func, select

from app.database import PRAGMAS, open_database, reading, writing
from app.ledger import book, chain, mills, people, tables
from tests.bench import NOON
from tests.faults.kills import BEFORE_IT_IS_KEPT, MEASURES, WITHOUT_FLUSH, Saved, typed


def write(address: str, careless: str) -> None:
    """Write sheets that no one has written yet, three cells at a time."""
    if careless == WITHOUT_FLUSH:
        PRAGMAS["synchronous"] = 0
    engine = open_database(address)
    with reading(engine) as connection:
        season = mills.season_named(connection, mills.the_mill(connection), "2026")
        ann = next(p for p in people.people(connection) if p.username == "ann")
        number = connection.scalar(select(func.count()).select_from(tables.shift)) or 0
    while True:
        with writing(engine) as connection:
            saved = saved_sheet(connection, season, ann, number)
            says = f"{saved.number} {' '.join(map(str, saved.entries))} {saved.anchor}\n".encode()
            if careless == BEFORE_IT_IS_KEPT:
                os.write(1, says)
                time.sleep(0.01)
        if careless != BEFORE_IT_IS_KEPT:
            os.write(1, says)
        number += 1


def saved_sheet(
    connection: Connection, season: mills.Season, by: people.Person, number: int
) -> Saved:
    """Write the sheet of a number, and return what may be called saved once it is committed."""
    day, shift = season.first_day + timedelta(days=number // 3), number % 3 + 1
    cells = [book.Typed(name, typed(name, number), late_reason="late") for name in MEASURES]
    failures = book.record_sheet(
        connection, season=season, day=day, number=shift, cells=cells, by=by, at=NOON
    )
    if failures:
        raise ExceptionGroup("not written", list(failures.values()))
    sheet = book.sheet(connection, season, day, shift)
    entries = tuple(sheet[name].id for name in MEASURES)
    return Saved(number, entries, chain.head(connection).short)


if __name__ == "__main__":
    for line in map(str.rstrip, sys.stdin):
        child = os.fork()
        if child == 0:
            os.write(1, f"{os.getpid()}\n".encode())
            try:
                address, _, careless = line.partition(" ")
                write(address, careless)
            finally:
                sys.excepthook(*sys.exc_info())
                os._exit(1)
        _, status = os.waitpid(child, 0)
        killed = os.WIFSIGNALED(status) and os.WTERMSIG(status) == signal.SIGKILL
        os.write(1, b"killed\n" if killed else b"failed\n")
