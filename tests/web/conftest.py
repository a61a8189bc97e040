"""People who visit the ledger over HTTP, as their browsers would."""

import re
import secrets
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

import pytest
from argon2 import PasswordHasher
from argon2.profiles import CHEAPEST
from fastapi import FastAPI
from starlette.testclient import TestClient

from app.database import writing
from app.ledger import passwords, people
from app.main import create_app
from app.settings import Settings
from demo_data.season import NOW
from demo_data.season import PASSWORD as OF_DEMONSTRATION
from tests.bench import NOON, PASSWORD, Bench
from tests.importing import LATER
from tests.served import demo_database

SHEET = "/shifts/2026-06-03/1"
OURS = {"Origin": "http://testserver"}


@dataclass
class Visitor:
    """A browser: it keeps cookies, names its origin, and sends what forms hold."""

    client: TestClient
    token: str = field(default="", init=False)

    def sign_in(self, username: str, password: str = PASSWORD, onward: str = "/"):
        form = {"username": username, "password": password, "next": onward}
        answer = self.client.post("/sign-in", data=form, headers=OURS)
        if answer.status_code == 303:
            found = re.search(r'name="token" value="([^"]+)"', self.get(f"{SHEET}/cells/cane").text)
            self.token = found.group(1)
        return answer

    def get(self, address: str):
        return self.client.get(address)

    def post(self, address: str, form: dict | None = None, **headers: str):
        hidden = {"token": self.token, "once": secrets.token_urlsafe()}
        return self.client.post(address, data=hidden | (form or {}), headers=OURS | headers)

    def save(self, measure: str, typed: str, based_on="", **reason: str):
        """Leave one box of the sheet, with script on."""
        form = {f"result:{measure}": typed, f"based_on:{measure}": str(based_on)}
        form |= {f"{name}:{measure}": text for name, text in reason.items()}
        return self.post(f"{SHEET}/cells", form, **{"X-Fragment": "sheet"})

    def save_sheet(self, typed: dict[str, str], **others: str):
        """Send the sheet as one form, without script."""
        return self.post(SHEET, {f"result:{name}": text for name, text in typed.items()} | others)


@pytest.fixture
def app(bench: Bench, database_url: str, monkeypatch) -> Iterator[FastAPI]:
    monkeypatch.setattr(passwords, "_hasher", PasswordHasher.from_parameters(CHEAPEST))
    with writing(bench.engine) as connection:
        for role in ("chief chemist", "manager", "auditor", "administrator"):
            who = {"username": role.split()[0], "printed_name": role.title(), "role": role}
            people.add_person(connection, **who, password=PASSWORD, at=NOON)
    app = create_app(Settings(database_url=database_url, clock=NOON, hosts="testserver"))
    yield app
    app.state.engine.dispose()


@pytest.fixture
def visit(app: FastAPI) -> Iterator[Callable[..., Visitor]]:
    """Give visitors: `visit("ann")` has signed in, `visit()` has not."""
    clients = []

    def begin(username: str = "") -> Visitor:
        client = TestClient(app, follow_redirects=False)
        clients.append(client)
        visitor = Visitor(client)
        if username:
            assert visitor.sign_in(username).status_code == 303
        return visitor

    yield begin
    for client in clients:
        client.close()


@pytest.fixture
def ann(visit) -> Visitor:
    """A chemist who has signed in."""
    return visit("ann")


@pytest.fixture
def rosa(app: FastAPI, visit: Callable[..., Visitor]) -> Visitor:
    """A chemist who visits when all of June is over."""
    app.state.clock = lambda: LATER
    return visit("ann")


@pytest.fixture(scope="module")
def demo_app(tmp_path_factory) -> Iterator[FastAPI]:
    """The demonstration, which the tests of a module share and leave as it is."""
    database = demo_database(tmp_path_factory.mktemp("demo"))
    settings = Settings(database_url=f"sqlite:///{database}", clock=NOW, hosts="testserver")
    app = create_app(settings)
    yield app
    app.state.engine.dispose()


@pytest.fixture
def demo_visit(demo_app: FastAPI, monkeypatch) -> Callable[[str], Visitor]:
    """Give people of the demonstration, signed in, by their names."""
    monkeypatch.setattr(passwords, "_hasher", PasswordHasher.from_parameters(CHEAPEST))

    def begin(username: str) -> Visitor:
        visitor = Visitor(TestClient(demo_app, follow_redirects=False))
        assert visitor.sign_in(username, OF_DEMONSTRATION).status_code == 303
        return visitor

    return begin
