"""Commands that check: a figure recomputed, everything that is worked out, the whole ledger."""

import argparse
import json
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from app.commands.common import spoken, the_ledger


def add(commands: Any) -> None:
    """Add the commands of this module."""
    compute = commands.add_parser("compute", help="work figures out of a JSON file, no database")
    compute.add_argument("file", help="JSON file, or - for standard input")
    compute.set_defaults(run=_compute)

    figures = commands.add_parser("figures", help="list every figure, measure and convention")
    figures.add_argument("--json", action="store_true", help="as JSON, with all that is known")
    figures.set_defaults(run=_figures)

    verify = commands.add_parser("verify", help="check that the ledger is what was written in it")
    verify.add_argument("file", nargs="?", type=Path, help="a backup (default: the ledger)")
    verify.add_argument(
        "--anchor", metavar="NUMBER:HASH", help="the end of the chain as a print carries it"
    )
    verify.set_defaults(run=_verify)


def _compute(chosen: argparse.Namespace) -> int:
    from app.compute import compute

    text = sys.stdin.read() if chosen.file == "-" else Path(chosen.file).read_text("utf-8")
    try:
        document = json.loads(text)
    except RecursionError:
        raise ValueError(f"{chosen.file} is nested too deeply to be a period") from None
    except ValueError as problem:
        raise ValueError(f"{chosen.file} is not JSON that can be read: {problem}") from None
    json.dump(compute(document), sys.stdout, indent=2, ensure_ascii=False, allow_nan=False)
    print()
    return 0


def _figures(chosen: argparse.Namespace) -> int:
    from app.reports.listing import as_json, as_text

    print(as_json() if chosen.json else as_text())
    return 0


def _verify(chosen: argparse.Namespace) -> int:
    from app.ledger import chain, soundness

    given = soundness.anchor(chosen.anchor) if chosen.anchor else None
    with _to_verify(chosen.file) as connection:
        began = time.monotonic()
        found = soundness.faults(connection)
        if given and (breach := soundness.breach(connection, given)):
            found.insert(0, breach)
        head = chain.head(connection)
    for fault in found:
        print(fault)
    seconds = time.monotonic() - began
    faults = "1 fault" if len(found) == 1 else f"{len(found)} faults"
    print(f"{faults} in {head.number} events and what they tell of ({seconds:.1f} s)")
    if given and not found:
        print(f"The chain continues the one that ended at {given.number}:{given.hash[:16]}")
    if head.at:
        print(f"The chain ends at {head.short}, {spoken(head.at)}")
    print(soundness.CANNOT)
    return 1 if found else 0


@contextmanager
def _to_verify(file: Path | None) -> Iterator[Any]:
    """Give a connection that reads the ledger of the settings, or a file of one."""
    from app.database import file_of, open_database, reading
    from app.keeping.copies import brought_up, is_in_use, is_plain_copy, opened, plain_copy
    from app.keeping.fitness import known_revision, must_be_up_to_date

    if file and is_plain_copy(file) and not _is_the_ledger(file):
        raise plain_copy(file)
    if file is None or is_in_use(file):
        engine = open_database(f"sqlite:///{file}") if file else the_ledger()
        if path := file_of(engine):
            _must_be_whole(path)
        with reading(engine) as connection:
            must_be_up_to_date(connection)
            yield connection
        return
    _must_be_whole(file)
    with opened(file) as engine, engine.connect() as connection:
        revision, known = known_revision(connection)
        if revision == known.get_current_head():
            yield connection
            return
    with brought_up(file) as newer, reading(newer) as connection:
        yield connection


def _is_the_ledger(file: Path) -> bool:
    from app.database import file_of

    try:
        own = file_of(the_ledger())
    except OSError:
        return False
    return own is not None and own.samefile(file)


def _must_be_whole(file: Path) -> None:
    from app.keeping.copies import Unsound
    from app.keeping.fitness import Damaged, must_be_a_ledger

    try:
        must_be_a_ledger(file)
    except Damaged as problem:
        raise Unsound(str(problem)) from None
