"""The command that hands a season to an auditor."""

import argparse
from pathlib import Path
from typing import Any

from app.commands.common import named, now, the_ledger


def add(commands: Any) -> None:
    """Add the command of this module."""
    archive = commands.add_parser(
        "archive", help="write all of a season into one file that proves itself"
    )
    archive.add_argument("season", help="such as 2026")
    archive.add_argument("file", type=Path, help="the zip to write")
    archive.add_argument("--by", required=True, help="user name of who asks for it")
    archive.set_defaults(run=_archive)


def _archive(chosen: argparse.Namespace) -> int:
    from app.database import reading, writing
    from app.exports.archive import MAY_ARCHIVE, make_archive, tell_archive
    from app.ledger.people import people

    engine = the_ledger()
    with reading(engine) as connection:
        may = {p.username: p for p in people(connection) if p.active and p.role in MAY_ARCHIVE}
        by = named(chosen.by, may, "nobody who may export")
        made = make_archive(connection, chosen.season, chosen.file)
    with writing(engine) as connection:
        tell_archive(connection, made, by, now())
    print(f"{chosen.file}: season {chosen.season}, to event {made.head.short}")
    print(f"SHA-256 {made.sha256}")
    print("To check it: unpack it; in its folder python3 verify.py, python3 recompute.py .")
    return 0
