"""The program `mill-ledger serve` on a port of its own, to be killed and started again."""

import os
import socket
import subprocess
import sys
import time
from typing import Self
from urllib.error import URLError
from urllib.request import urlopen

from tests.browser.conftest import NOW
from tests.run import ROOT

PATIENCE = 30.0


class Program:
    """A served ledger that may die at any moment, and comes back under its old address."""

    def __init__(self, database_url: str) -> None:
        with socket.create_server(("127.0.0.1", 0)) as free:
            self._port = free.getsockname()[1]
        self.address = f"http://127.0.0.1:{self._port}"
        self._settings = {"LEDGER_DATABASE_URL": database_url, "LEDGER_CLOCK": NOW.isoformat()}
        self._settings |= {"LEDGER_DEMO": "yes"}
        self._process: subprocess.Popen[bytes] | None = None

    def __enter__(self) -> Self:
        self.start()
        return self

    def __exit__(self, *_problem: object) -> None:
        self.kill()

    def start(self) -> None:
        """Start it, and wait until it answers."""
        self._process = subprocess.Popen(
            [sys.executable, "-m", "app.cli", "serve", "--port", str(self._port)], cwd=ROOT,
            env=os.environ | self._settings,
        )  # fmt: skip
        until = time.monotonic() + PATIENCE
        while not self._answers():
            assert time.monotonic() < until, "the server does not answer"
            time.sleep(0.05)

    def kill(self) -> None:
        """Kill it, and wait until it is gone."""
        if self._process:
            self._process.kill()
            self._process.wait(PATIENCE)

    def _answers(self) -> bool:
        try:
            with urlopen(f"{self.address}/health", timeout=5) as answer:
                return answer.status == 200
        except URLError:
            return False
