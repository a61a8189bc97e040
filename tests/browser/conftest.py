"""The system's Chromium before the real server; each test has its own copy of the demonstration."""

import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from playwright.sync_api import Page

from app.database import open_database, reading
from app.ledger import book, mills
from app.settings import Settings
from tests.run import find_browser
from tests.served import demo_database, served

NOW = datetime(2026, 10, 28, 13, 0, tzinfo=UTC)  # shift 2 of the mill runs
QUIET = (
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--host-resolver-rules=MAP mill.test 127.0.0.1",
)


@dataclass(frozen=True)
class Ledger:
    """A served ledger: where browsers find it, and where its entries are."""

    address: str
    database_url: str

    def results(self, day: date, number: int) -> dict[str, str]:
        """Return what was typed on a shift and stands, by measure."""
        engine = open_database(self.database_url)
        with reading(engine) as connection:
            mill = mills.the_mill(connection)
            season = mills.season_of(connection, mill, day)
            entries = book.sheet(connection, season, day, number)
        engine.dispose()
        return {name: entry.typed for name, entry in entries.items()}


@pytest.fixture(scope="session")
def browser_type_launch_args(browser_type_launch_args):
    found = find_browser()
    assert found, "the browser tests need Chromium; python3 tests/run.py says how to install it"
    return browser_type_launch_args | {"executable_path": found, "args": list(QUIET)}


@pytest.fixture(scope="session")
def demonstration(tmp_path_factory) -> Path:
    return demo_database(tmp_path_factory.mktemp("demonstration"))


@pytest.fixture
def ledger(demonstration: Path, tmp_path: Path) -> Iterator[Ledger]:
    url = f"sqlite:///{shutil.copy(demonstration, tmp_path / 'ledger.db')}"
    with served(Settings(database_url=url, demo=True, clock=NOW, hosts="mill.test")) as address:
        yield Ledger(address, url)


@pytest.fixture(scope="session")
def base_url() -> str:
    """No address for all tests; also spares us the plugin's own fixture, which pytest warns of."""
    return ""


@pytest.fixture
def browser_context_args(browser_context_args, ledger: Ledger):
    return browser_context_args | {"base_url": ledger.address}


@pytest.fixture
def page(page: Page) -> Iterator[Page]:
    """A page that fails its test where the content policy was broken or a script failed."""
    complaints: list[str] = []

    def hear(message):
        if "Content Security Policy" in message.text:
            complaints.append(message.text)

    page.on("console", hear)
    page.on("pageerror", lambda error: complaints.append(str(error)))
    yield page
    assert complaints == []
