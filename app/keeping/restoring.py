"""Puts a backup in place of the ledger, or into an empty database of PostgreSQL."""

import shutil
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from sqlalchemy import Connection, Engine, func, inspect, select
from sqlalchemy.exc import DBAPIError

from app.database import Unfit, bring_up, reading, rebuilding
from app.keeping.copies import (
    Examined,
    Unsound,
    copy_rows,
    counts_of,
    examine,
    flush,
    opened,
    safety_copy,
    tables_of,
)
from app.ledger import chain, tables
from app.ledger.mills import the_mill
from app.locks import alone, turn


@dataclass(frozen=True)
class Present:
    """What a restore would take the place of: whose it is, what would be lost, in words."""

    mill: str
    is_another: bool
    loses: str


def present(engine: Engine, backup: Examined) -> Present:
    """Compare the ledger that is there with a backup that is to replace it.

    A damaged one has no name; nothing can be said then of what would be lost.
    """
    try:
        with reading(engine) as connection:
            return _compared(connection, backup)
    except (DBAPIError, LookupError, Unfit):
        return Present("", is_another=False, loses="What is there cannot be read.")


def _compared(connection: Connection, backup: Examined) -> Present:
    mill, head = the_mill(connection).name, chain.head(connection)
    own = tables.event.c
    meets = select(own.hash).where(own.number == min(backup.head.number, head.number))
    here = connection.scalar(meets)
    with opened(backup.path) as engine, engine.connect() as other:
        there = other.scalar(meets) if inspect(other).has_table("event") else here
    loses = ""
    if head.number > backup.head.number:
        since = connection.scalar(select(own.at).where(own.number == backup.head.number + 1))
        loses = (
            f"Events {backup.head.number + 1} to {head.number} of the present ledger, written "
            f"from {since:%Y-%m-%d %H:%M} to {head.at:%Y-%m-%d %H:%M} UTC, are not in the backup."
        )
    return Present(mill, mill != backup.mill or here != there, loses)


def restore_sqlite(backup: Examined, path: Path, at: datetime | None = None) -> Examined:
    """Put `backup` at `path`, keeping what was there under another name; returns what now is there.

    Whatever instant this is cut short at, the old or the new ledger lies at `path`, whole.
    Raises Held while somebody serves it or has it open.
    """
    new = path.with_name(f"{path.name}.restoring")
    with alone(path), turn(path):
        new.unlink(missing_ok=True)
        shutil.copyfile(backup.path, new)
        new.chmod(0o600)
        flush(new)
        restored = examine(new)
        if restored.head != backup.head or restored.counts != backup.counts:
            raise Unsound(f"{new} is not what the backup holds")
        if path.exists():
            safety_copy(path, kept_name(path, at or datetime.now(UTC)))
        _put_in_place(new, path)
    return restored


def _put_in_place(new: Path, path: Path) -> None:
    for ending in ("-wal", "-shm", "-journal"):  # SQLite would mix the older database’s in
        Path(f"{path}{ending}").unlink(missing_ok=True)
    new.replace(path)
    flush(path.parent)


def kept_name(path: Path, at: datetime) -> Path:
    """Return the name under which what was replaced at a moment is kept beside it."""
    return path.with_name(f"{path.stem}-before-{at.astimezone(UTC):%Y%m%dT%H%M%SZ}{path.suffix}")


def restore_postgresql(backup: Examined, engine: Engine) -> None:
    """Copy `backup` into an empty database of PostgreSQL; Unfit for one that is not empty.

    Tables and rows are kept wholly or not at all.
    """
    with rebuilding(engine) as target, opened(backup.path) as source, source.connect() as rows:
        if inspect(target).get_table_names():
            raise Unfit("This database is not empty. Make an empty one, and give its address.")
        bring_up(target, backup.revision)
        copy_rows(rows, target)
        _continue_counting(target)
        if counts_of(target) != backup.counts:
            raise Unsound("Not every row of the backup arrived")


def _continue_counting(connection: Connection) -> None:
    for table in tables_of(connection):
        if "id" in table.c:
            last = connection.scalar(select(func.max(table.c.id)))
            if last:
                counter = func.pg_get_serial_sequence(table.name, "id")
                connection.execute(select(func.setval(counter, last)))
