"""Rigs that bring faults about, small for the tests, or at full size by `-m tests.faults`."""

import shutil
from collections.abc import Callable, Iterator
from itertools import count
from pathlib import Path

import pytest
from argon2 import PasswordHasher
from argon2.profiles import CHEAPEST

from app.database import open_database
from app.ledger import passwords
from tests.bench import new_bench
from tests.faults.kills import Writer
from tests.faults.table import ROWS, Row
from tests.faults.unsafe_disk import UnsafeDisk, compiled


def pytest_configure(config):
    config.stash[ROWS] = []


@pytest.fixture
def often(pytestconfig) -> Callable[..., int]:
    """How often a fault is brought about: `often(10, full=200)`."""
    full_size = pytestconfig.pluginmanager.hasplugin("tests.faults.table")
    return lambda small, full: full if full_size else small


@pytest.fixture
def shown(pytestconfig) -> Callable[[Row], None]:
    """Take what a rig showed into the table."""
    return pytestconfig.stash[ROWS].append


@pytest.fixture(scope="session")
def library(tmp_path_factory) -> Path:
    """The library that makes a disk unsafe, compiled."""
    return compiled(tmp_path_factory.mktemp("library"))


@pytest.fixture
def disk(tmp_path, library) -> UnsafeDisk:
    """A folder that keeps only what was flushed."""
    return UnsafeDisk(tmp_path / "disk", library)


@pytest.fixture(scope="session")
def ready(migrated, tmp_path_factory) -> Path:
    """The file of a ledger in which two chemists may write, to be copied."""
    path = Path(shutil.copy(migrated, tmp_path_factory.mktemp("ready") / "ledger.db"))
    engine = open_database(f"sqlite:///{path}")
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(passwords, "_hasher", PasswordHasher.from_parameters(CHEAPEST))
        new_bench(engine)
    engine.dispose()
    return path


@pytest.fixture
def another(ready) -> Callable[[Path], str]:
    """Put one more ledger into a folder, and give its address."""
    numbers = count(1)
    return lambda folder: f"sqlite:///{shutil.copy(ready, folder / f'{next(numbers)}.db')}"


@pytest.fixture(scope="session")
def writer() -> Iterator[Writer]:
    """A program that writes, on a disk as it should be."""
    with Writer({}) as writer:
        yield writer


@pytest.fixture
def writer_on_disk(disk) -> Iterator[Writer]:
    """A program that writes on the unsafe disk."""
    with Writer(disk.environment) as writer:
        yield writer
