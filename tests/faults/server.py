"""The ledger served by a program of its own, which faults can happen to."""

import os
import socket
import subprocess
import sys
import time
from collections.abc import Mapping
from typing import Self

import httpx2

from tests.bench import NOON
from tests.faults.kills import ROOT
from tests.web.conftest import Visitor

NAME = "testserver"  # which visitors name as the origin of their forms
PATIENCE = 30.0


class Server:
    """The program `mill-ledger serve`, started with an environment."""

    def __init__(self, database_url: str, environment: Mapping[str, str]) -> None:
        with socket.create_server(("127.0.0.1", 0)) as free:
            port = free.getsockname()[1]
        self._address = f"http://127.0.0.1:{port}"
        settings = {"LEDGER_DATABASE_URL": database_url, "LEDGER_CLOCK": NOON.isoformat()}
        settings |= {"LEDGER_HOSTS": NAME}
        self._program = subprocess.Popen(
            [sys.executable, "-m", "app.cli", "serve", "--port", str(port)], cwd=ROOT,
            env=os.environ | settings | environment,
        )  # fmt: skip
        self._clients: list[httpx2.Client] = []

    @property
    def pid(self) -> int:
        """The number of its process."""
        return self._program.pid

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_problem: object) -> None:
        for client in self._clients:
            client.close()
        self.kill()

    def kill(self) -> None:
        """Kill it, and wait until it is gone."""
        self._program.kill()
        self._program.wait(PATIENCE)

    def visit(self, username: str = "ann") -> Visitor:
        """Let somebody sign in, once it answers."""
        client = httpx2.Client(
            base_url=self._address, headers={"Host": NAME}, timeout=PATIENCE, trust_env=False,
            limits=httpx2.Limits(max_keepalive_connections=0),  # one that failed is closed
        )  # fmt: skip
        self._clients.append(client)
        until = time.monotonic() + PATIENCE
        while not self._answers(client):
            assert time.monotonic() < until, "the server does not answer"
            time.sleep(0.05)
        visitor = Visitor(client)
        assert visitor.sign_in(username).status_code == 303
        return visitor

    def _answers(self, client: httpx2.Client) -> bool:
        assert self._program.poll() is None, "the server ended"
        try:
            return client.get("/sign-in").status_code == 200
        except httpx2.ConnectError:
            return False
