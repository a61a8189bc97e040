"""What commands share: who gives them, when, and how a name or a number is read."""

import argparse
from collections.abc import Mapping
from datetime import UTC, date, datetime
from typing import Any

from sqlalchemy import Connection, Engine

from app.database import open_database
from app.ledger import people
from app.plant.typed import Unreadable, number
from app.settings import Settings


def the_ledger() -> Engine:
    """Open the ledger that the settings name; NoDatabase where there is none."""
    return open_database(Settings().database_url)


def now() -> datetime:
    """Return the moment by the ledger's clock."""
    return Settings().running_clock()()


def read_number(text: str) -> float:
    """Read a number as it is typed on a sheet, with a point or a comma."""
    try:
        return float(number(text))
    except Unreadable:
        raise argparse.ArgumentTypeError(f"{text} is no number like 96.5 or 96,5") from None


def read_day(text: str) -> date:
    """Read a day as addresses write it."""
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"{text} is no day like 2026-07-14") from None


def dated(parser: argparse.ArgumentParser) -> None:
    """Ask from which day on, and in whose name."""
    parser.add_argument("--since", type=read_day, required=True, help="YYYY-MM-DD")
    parser.add_argument("--by", required=True, help="user name of the administrator who says it")


def named(name: str, known: Mapping[str, Any], none: str) -> Any:
    """Return what is called `name`; ValueError offers the nearest name that is known."""
    from app.compute import check_names

    check_names([name], known, none)
    return known[name]


def administrator(connection: Connection, username: str) -> people.Person:
    """Return an administrator who is active; ValueError for anybody else."""
    everybody = people.people(connection)
    may = {p.username: p for p in everybody if p.active and p.role == "administrator"}
    found: people.Person = named(username, may, "no administrator of this ledger")
    return found


def spoken(moment: datetime) -> str:
    """Return a moment as commands print it."""
    return f"{moment.astimezone(UTC):%Y-%m-%d %H:%M} UTC"
