"""What tests of safe keeping share: a filled ledger, and how one tampers with it."""

import json
import os
import signal
import sqlite3
import zlib
from contextlib import contextmanager
from datetime import timedelta
from hashlib import sha256

import psycopg
from sqlalchemy import make_url, select

from app.database import reading, writing
from app.ledger import chain, mills, people, tables, uncertainty
from app.ledger.canonical import BEGINNING, digest_of_event, link
from app.ledger.chain import About
from tests.bench import NOON, PASSWORD


def bare(engine):
    """Return a connection that has none of the ledger's own settings."""
    url = make_url(engine.url)
    if engine.dialect.name == "sqlite":
        return sqlite3.connect(url.database, isolation_level=None)
    plain = url.set(drivername="postgresql").render_as_string(hide_password=False)
    return psycopg.connect(plain, autocommit=True)


def fill(bench):
    """Write at least one row into each append-only table, two of some."""
    first = bench.write("cane", "1250.0123")
    bench.write("cane", "1205", based_on=first.id, reason="swapped")
    bench.write("mixed_juice", "nm")
    since = {"since": bench.day, "by": bench.ann, "at": NOON}
    with writing(bench.engine) as connection:
        mills.add_convention(
            connection, bench.mill, name="pol_basis", value="pol", source="the mill", **since
        )
        mills.add_target(connection, bench.mill, figure="pol_extraction", value=96.5, **since)
        uncertainty.add_uncertainty(
            connection, bench.mill, measure="mixed_juice_brix", random=0.03, systematic=0.05,
            relative=False, source="the mill", **since,
        )  # fmt: skip
        who = {"by": bench.ann, "at": NOON}
        uncertainty.add_duplicate(
            connection, bench.mill, measure="mixed_juice_brix", day=bench.day, first="14.2",
            second="14.3", **who,
        )  # fmt: skip
        uncertainty.withdraw_duplicate(connection, bench.mill, 1, reason="spilt", **who)
        fill_signed(connection, bench)


def fill_signed(connection, bench):
    """Write a lime dose, a signature, a review and an issue with one file, as plain rows."""
    by = {"by": bench.ann, "at": NOON}
    who = {"recorded_by": bench.ann.id, "recorded_at": NOON}
    name = {"recorded_name": bench.ann.printed_name}
    day = {"season_id": bench.season.id, "day": bench.day}
    about = About(bench.season.id, bench.day)
    last = chain.head(connection)
    packed = zlib.compress(b"<p>the report</p>")
    rows = [
        (tables.lime_dose, {"mill_id": bench.mill.id, "from_ph": "5.2", "to_ph": "7.2",
                            "dose": "0.6", **who}),
        (tables.note, {"shift_id": 1, "measure": "cane", "sample": 1, "determination": 1,
                       "rule": "", "entries": "2", "words": "scale cleaned", **who, **name}),
        (tables.record, {"shift_id": 1, "book": "stops", "fields": '{"begins":"07:40"}',
                         "state": "stands", "completes": False, "late": False,
                         "instrument": "none", **who, **name}),
        (tables.sampling, {"mill_id": bench.mill.id, "measure": "clear_juice_ph",
                           "since": bench.day, "taken": "due", "grain": "shift", "every": 0,
                           "rule": "mean", "usual_low": 6.9, "usual_high": 7.3, "hard_low": 4.0,
                           "hard_high": 10.0, "reason": "the mill", **who}),
        (tables.part, {"mill_id": bench.mill.id, "name": "magma_mixers", "in_use": True,
                       "since": bench.day, "reason": "the mill", **who}),
        (tables.signature, {**day, "number": 3, "meaning": "entered", "covers": "0" * 64,
                            "entries": 2, "role": "chemist", **who, **name}),
        (tables.review, {**day, "upto": last.number, "remark": "seen", **who, **name}),
        (tables.issue, {**day, "number": 1, "chain_number": last.number, "chain_hash": last.hash,
                        "role": "manager", **who, **name}),
        (tables.issue_file, {"issue_id": 1, "name": "report.html", "packed": packed,
                             "sha256": sha256(b"<p>the report</p>").hexdigest()}),
    ]  # fmt: skip
    for table, values in rows:
        chain.add(connection, table, values, **by, about=about)


def sign_day(bench, day, meaning):
    """Approve a day, or open it again."""
    row = {
        "season_id": bench.season.id, "day": day, "number": None, "meaning": meaning,
        "covers": "", "entries": 0, "reason": "a reason", "role": "manager",
        "recorded_by": bench.bob.id, "recorded_name": "Bob Stone", "recorded_at": NOON,
    }  # fmt: skip
    with writing(bench.engine) as connection:
        chain.add(connection, tables.signature, row, by=bench.bob, at=NOON)


def add_administrator(engine, username="joan"):
    """Add somebody who looks after the ledger."""
    with writing(engine) as connection:
        return people.add_person(
            connection, username=username, printed_name="Joan Hill", role="administrator",
            password=PASSWORD, at=NOON,
        )  # fmt: skip


@contextmanager
def unguarded(engine):
    """Give a bare connection to a ledger whose triggers were taken away, as one with the files."""
    connection = bare(engine)
    if engine.dialect.name == "sqlite":
        names = connection.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'")
        for (name,) in names.fetchall():
            connection.execute(f"DROP TRIGGER {name}")
    else:
        connection.execute("SET session_replication_role = replica")
    try:
        yield connection
    finally:
        connection.close()


def rewrite(engine, number, old, new):
    """Change words of event `number` and make every hash from it on anew."""
    query = select(tables.event).where(tables.event.c.number >= number)
    with reading(engine) as connection:
        events = [dict(row) for row in connection.execute(query).mappings()]
        before = select(tables.event.c.hash).where(tables.event.c.number == number - 1)
        previous = connection.scalar(before) or BEGINNING
    mark = "?" if engine.dialect.name == "sqlite" else "%s"
    with unguarded(engine) as connection:
        for event in events:
            n, _ = event.pop("number"), event.pop("hash")
            if n == number:
                assert old in event["content"]
                event["content"] = event["content"].replace(old, new)
            previous = link(n, previous, digest_of_event(event))
            connection.execute(
                f"UPDATE event SET content = {mark}, hash = {mark} WHERE number = {mark}",
                (event["content"], previous, n),
            )
        row = json.loads(events[0]["content"])
        connection.execute(
            f"UPDATE {events[0]['kind']} SET typed = {mark}, value = {mark} WHERE id = {row['id']}",
            (row["typed"], row["value"]),
        )


def later(hours):
    """Return a moment some hours after the tests' noon."""
    return NOON + timedelta(hours=hours)


def head_of(engine):
    with reading(engine) as connection:
        return chain.head(connection)


def content_of(engine):
    """Return every row of every table."""
    with reading(engine) as connection:
        return {
            table.name: sorted(map(tuple, connection.execute(select(table))), key=repr)
            for table in tables.metadata.sorted_tables
        }


def killed_at(module, name, do):
    """Run `do` in a child that is killed when it comes to a function; True where it was killed."""
    child = os.fork()
    if child == 0:
        setattr(module, name, lambda *_, **__: os.kill(os.getpid(), signal.SIGKILL))
        try:
            do()
        finally:
            os._exit(0)
    return os.WIFSIGNALED(os.waitpid(child, 0)[1])
