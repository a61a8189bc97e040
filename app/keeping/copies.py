"""Copies of the whole ledger as one SQLite file: how one is made, and how it is examined.

A ledger on PostgreSQL is copied into the same kind of file, all rows of one snapshot: such a file
is verified by its chain without a second server, which a dump of PostgreSQL's own is not, and it
can be restored to either engine.
"""

import os
import shutil
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import quote

from sqlalchemy import Connection, DateTime, Engine, MetaData, Table, create_engine, func, select

from app.database import Unfit, migrate, open_database, reading, writing
from app.keeping.fitness import known_revision
from app.keeping.upgrading import upgrade
from app.ledger import chain, soundness
from app.ledger.chain import Head
from app.ledger.mills import the_mill
from app.ledger.tables import Instant
from app.locks import Held

_AT_ONCE = 1000
_FORMAT = b"SQLite format 3\0"  # how a SQLite file begins
_WRITE_AHEAD = b"\2\2"  # of the header of a SQLite file: how it is written and read


class Unsound(ValueError):
    """A copy is not the whole, unchanged ledger; it says why."""


@dataclass(frozen=True)
class Examined:
    """A copy that was found sound: whose it is, where its chain ends, and what it holds."""

    path: Path
    mill: str
    head: Head
    revision: str
    counts: dict[str, int]


def tables_of(connection: Connection) -> list[Table]:
    """Return the tables that a database has, whichever migration it stands at, parents first."""
    found = MetaData()
    found.reflect(connection)
    for table in found.tables.values():
        for column in table.columns:
            kind = column.type.as_generic()
            column.type = Instant() if isinstance(kind, DateTime) else kind
    return [table for table in found.sorted_tables if table.name != "alembic_version"]


def counts_of(connection: Connection) -> dict[str, int]:
    """Return how many rows each table has."""
    return {
        str(table.name): connection.scalar(select(func.count()).select_from(table)) or 0
        for table in tables_of(connection)
    }


def copy_rows(source: Connection, target: Connection) -> None:
    """Copy every row into the same tables, empty, of another database."""
    for table in tables_of(source):
        query = select(table).order_by(*table.primary_key.columns)
        rows = source.execute(query, execution_options={"yield_per": _AT_ONCE})
        for part in rows.mappings().partitions():
            target.execute(table.insert(), [dict(row) for row in part])


def copy_into(connection: Connection, path: Path) -> None:
    """Write what `connection` sees, in its one snapshot, to a new file that only we may read."""
    os.close(os.open(path, os.O_CREAT | os.O_EXCL, 0o600))
    if connection.dialect.name == "sqlite":
        connection.exec_driver_sql("SELECT count(*) FROM sqlite_master")  # the snapshot begins
        driver = connection.connection.driver_connection
        assert isinstance(driver, sqlite3.Connection)  # noqa: S101  the engine says so
        with closing(sqlite3.connect(path)) as target:
            driver.backup(target)
    else:
        copy = open_database(f"sqlite:///{path}", create=True)
        migrate(copy, known_revision(connection)[0])
        with writing(copy) as target_of_rows:
            copy_rows(connection, target_of_rows)
        copy.dispose()
    with closing(sqlite3.connect(path)) as alone:
        alone.execute("PRAGMA journal_mode = DELETE")  # so that this file is all there is
    Path(f"{path}-turn").unlink(missing_ok=True)
    flush(path)


def flush(path: Path) -> None:
    """Return once the disk has the file or folder at `path`."""
    file = os.open(path, os.O_RDONLY)
    try:
        os.fsync(file)
    finally:
        os.close(file)


@contextmanager
def opened(path: Path) -> Iterator[Engine]:
    """Give a copy to read, not one byte of which is changed by reading it."""
    address = f"file:{quote(str(path.resolve()))}?mode=ro&immutable=1"
    engine = create_engine(
        "sqlite://", creator=lambda: sqlite3.connect(address, uri=True, isolation_level=None)
    )
    try:
        yield engine
    finally:
        engine.dispose()


def is_in_use(path: Path) -> bool:
    """Tell whether a file is a ledger that is written in, whose newest part lies beside it."""
    if not path.is_file():
        raise FileNotFoundError(f"There is no file {path}")
    with path.open("rb") as file:
        return file.read(20)[18:] == _WRITE_AHEAD


def is_plain_copy(path: Path) -> bool:
    """Tell whether a file was taken from a ledger in use without what lay beside it.

    Beside a ledger that lies where it was written lie the files by which its writers take turns.
    """
    beside = (Path(f"{path}{ending}") for ending in ("-wal", "-turn", "-server"))
    return is_in_use(path) and not any(each.exists() for each in beside)


def plain_copy(path: Path) -> Unsound:
    """Return why such a file is refused."""
    return Unsound(
        f"{path} is a plain copy of a ledger in use: what its write-ahead file held is not in "
        "it. Backups are made by: mill-ledger backup FOLDER"
    )


def examine(path: Path) -> Examined:
    """Read a copy whole and return what it is; Unsound where it is not the ledger it should be."""
    if is_in_use(path):
        raise plain_copy(path)
    try:
        return _examined(path)
    except sqlite3.DatabaseError as problem:
        raise Unsound(f"{path} is no ledger, or it is damaged: {problem}") from None


def _examined(path: Path) -> Examined:
    with closing(sqlite3.connect(f"file:{quote(str(path.resolve()))}?mode=ro", uri=True)) as plain:
        said = plain.execute("PRAGMA integrity_check(3)").fetchall()
        if said != [("ok",)]:
            raise Unsound(f"{path} is damaged: {said[0][0]}")
        if plain.execute("PRAGMA foreign_key_check").fetchone():
            raise Unsound(f"{path} lacks rows that others refer to")
    with opened(path) as engine, engine.connect() as connection:
        try:
            revision, known = known_revision(connection)
        except Unfit as problem:
            raise Unsound(f"{path}: {problem}") from None
        counts = counts_of(connection)
        if revision == known.get_current_head():
            return _sound(connection, path, revision, counts)
    with brought_up(path) as newer, reading(newer) as connection:
        return _sound(connection, path, revision, counts)


def _sound(connection: Connection, path: Path, revision: str, counts: dict[str, int]) -> Examined:
    try:
        mill = the_mill(connection).name
    except LookupError:
        raise Unsound(f"{path} holds no mill") from None
    if found := soundness.faults(connection):
        more = f" (and {len(found) - 1} more)" if len(found) > 1 else ""
        raise Unsound(f"{path} is not sound. {found[0]}{more}")
    return Examined(path, mill, chain.head(connection), revision, counts)


@contextmanager
def brought_up(path: Path) -> Iterator[Engine]:
    """Give a scratch copy of an older ledger, brought up to this program's tables."""
    with tempfile.TemporaryDirectory() as folder:
        scratch = Path(folder) / "ledger.db"
        shutil.copyfile(path, scratch)
        engine = open_database(f"sqlite:///{scratch}")
        try:
            upgrade(engine)
            yield engine
        finally:
            engine.dispose()


def safety_copy(path: Path, kept: Path) -> None:
    """Keep a copy of what lies at `path`, sound or not; Held where another program reads it.

    Nothing is taken away from there: what was written last may lie in its write-ahead file alone.
    """
    with path.open("rb") as file:
        is_database = file.read(16) == _FORMAT
    if is_database:  # else SQLite would throw away what lies beside it
        _make_one_file(path)
    for ending in ("", "-wal", "-journal"):
        if Path(f"{path}{ending}").exists():
            copy = Path(f"{kept}{ending}")
            shutil.copy2(f"{path}{ending}", copy)
            copy.chmod(0o600)
            flush(copy)
    flush(kept.parent)


def _make_one_file(path: Path) -> None:
    busy = (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED)
    try:
        with closing(sqlite3.connect(path, timeout=1)) as connection:
            (blocked, *_) = connection.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()
            if not blocked:
                connection.execute("PRAGMA journal_mode = DELETE")
    except sqlite3.DatabaseError as problem:  # any other: it is damaged, and kept as it is
        blocked = problem.sqlite_errorcode & 0xFF in busy
    if blocked:
        raise Held(f"{path} is in use by another program: end that first")
