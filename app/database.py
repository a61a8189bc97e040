"""Opens the database, SQLite or PostgreSQL, and brings its tables up to date.

On SQLite one connection at a time writes, and only a writer moves the write-ahead file into the
database: several versions of the library can lose what was written where two do so at once.
"""

from collections.abc import Iterator
from contextlib import AbstractContextManager, contextmanager, nullcontext
from pathlib import Path
from typing import Any

from alembic import command
from alembic.config import Config
from sqlalchemy import URL, Connection, Engine, create_engine, event, make_url

from app.locks import PATIENCE, turn
from app.settings import shared

PRAGMAS = {
    "busy_timeout": 5000,
    "journal_mode": "wal",
    "synchronous": 2,  # FULL
    "foreign_keys": 1,
    "recursive_triggers": 1,
    "trusted_schema": 0,
}
_READ = "PRAGMA query_only = 1; PRAGMA wal_autocheckpoint = 0"
_WRITE = "PRAGMA query_only = 0; PRAGMA wal_autocheckpoint = 1000"
# of PostgreSQL, whose writers would else read what another is about to change
_TURN_OF_WRITERS = "SELECT pg_advisory_xact_lock(7140914)"
_PATIENCE = f"SET LOCAL lock_timeout = '{PATIENCE:g}s'"
_LIMITS = "SET LOCAL lock_timeout = '10s'; SET LOCAL statement_timeout = '15min'"
AT_MOST = 40  # connections, as many as the web server has threads


class NoDatabase(FileNotFoundError):
    """There is no database file where one was expected."""


class Unfit(ValueError):
    """The database, or where it is kept, cannot be trusted with a ledger; it says why."""


def open_database(url: str, *, create: bool = False) -> Engine:
    """Return an engine for `url`; NoDatabase for a SQLite file that is not there.

    With `create` a missing SQLite file is made, still without tables.
    """
    address = make_url(url)
    if address.drivername in ("postgresql", "postgres"):
        address = address.set(drivername="postgresql+psycopg")
    if address.get_backend_name() != "sqlite":
        return create_engine(address, pool_size=AT_MOST, pool_pre_ping=True, hide_parameters=True)
    if not create:
        _must_exist(address)
    engine = create_engine(address, pool_size=AT_MOST, hide_parameters=True)
    event.listen(engine, "connect", _prepare)
    event.listen(engine, "begin", _begin)
    return engine


def _must_exist(address: URL) -> None:
    path = Path(address.database or "")
    if not path.is_file():
        raise NoDatabase(f"There is no ledger at {path}. Make one first, or give its address.")


def file_of(engine: Engine) -> Path | None:
    """Return the file of a SQLite database; None for PostgreSQL."""
    return Path(engine.url.database or "").resolve() if engine.dialect.name == "sqlite" else None


def _prepare(dbapi_connection: Any, _record: object) -> None:
    dbapi_connection.isolation_level = None  # else the driver reads outside the transaction
    for name, value in PRAGMAS.items():
        dbapi_connection.execute(f"PRAGMA {name} = {value}")
        said = dbapi_connection.execute(f"PRAGMA {name}").fetchone()[0]
        if said != value:
            raise Unfit(f"SQLite does not take the setting {name} = {value}; it says {said}")


def _begin(connection: Connection) -> None:
    # a transaction that reads first and asks for the lock later fails or loses what others wrote
    writes = connection.get_execution_options().get("writing", False)
    driver: Any = connection.connection.driver_connection
    for pragma in (_WRITE if writes else _READ).split(";"):
        driver.execute(pragma)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


def reading(engine: Engine) -> AbstractContextManager[Connection]:
    """Give a connection that sees one state of the ledger throughout, and cannot write."""
    if engine.dialect.name == "sqlite":
        return _transaction(engine)
    return _transaction(engine, isolation_level="REPEATABLE READ", postgresql_readonly=True)


@contextmanager
def writing(engine: Engine) -> Iterator[Connection]:
    """Give a connection that may write; all of it is kept at the end, or none after an error.

    Writers follow each other on both engines: what one reads, none changes before it is done.
    """
    with _turn(engine), _transaction(engine, writing=True) as connection:
        if engine.dialect.name == "postgresql":
            connection.exec_driver_sql(_PATIENCE)
            connection.exec_driver_sql(_TURN_OF_WRITERS)
        yield connection


def _turn(engine: Engine) -> AbstractContextManager[None]:
    file = file_of(engine)
    return turn(file) if file else nullcontext()


@contextmanager
def _transaction(engine: Engine, **options: Any) -> Iterator[Connection]:
    with engine.connect().execution_options(**options) as connection, connection.begin():
        yield connection


def migrate(engine: Engine, revision: str = "head") -> None:
    """Bring the tables up to a migration, by default the newest, wholly or not at all."""
    with rebuilding(engine) as connection:
        bring_up(connection, revision)


def bring_up(connection: Connection, revision: str) -> None:
    """Run the migrations up to `revision` in the transaction of `rebuilding`."""
    command.upgrade(migrations(connection), revision)


@contextmanager
def rebuilding(engine: Engine) -> Iterator[Connection]:
    """Give a connection that may rebuild tables which others refer to; ValueError if broken.

    With foreign keys on, SQLite would empty what refers to a table that is dropped to be made anew.
    """
    if engine.dialect.name != "sqlite":
        with writing(engine) as connection:
            connection.exec_driver_sql(_LIMITS)
            yield connection
        return
    with _turn(engine), engine.connect().execution_options(writing=True) as connection:
        driver: Any = connection.connection.driver_connection
        driver.execute("PRAGMA foreign_keys = OFF")
        try:
            with connection.begin():
                yield connection
                broken = connection.exec_driver_sql("PRAGMA foreign_key_check").all()
                if broken:
                    raise ValueError(f"A table refers to rows that are not there: {broken[:3]}")
        finally:
            driver.execute("PRAGMA foreign_keys = ON")


def migrations(connection: Connection) -> Config:
    """Return what the migration tool needs to work through `connection`."""
    config = Config()
    config.set_main_option("script_location", str(shared("migrations")).replace("%", "%%"))
    config.attributes["connection"] = connection
    return config
