"""Stands before a PostgreSQL server, and cuts a connection in the middle of a COMMIT."""

import select
import socket
import threading
from contextlib import suppress
from pathlib import Path
from typing import Self

from sqlalchemy import make_url

_WRITES, _COMMIT = b"INSERT INTO event", b"COMMIT\0"
BEFORE, AT_ONCE, AFTER = "before it is sent on", "once it is sent on", "once it is answered"


class Proxy:
    """Passes everything on, but cuts a connection at its next COMMIT of an event, if told when."""

    def __init__(self, folder: Path, server: str) -> None:
        url = make_url(server)
        host, port = str(url.query.get("host") or url.host), url.port or 5432
        self._server = f"{host}/.s.PGSQL.{port}" if host.startswith("/") else (host, port)
        here = url.set(host=None, port=5432).update_query_dict({"host": str(folder)})
        self.address = here.render_as_string(hide_password=False)
        self.cut = ""
        self.cuts = 0
        self._listening = socket.socket(socket.AF_UNIX)
        self._listening.bind(str(folder / ".s.PGSQL.5432"))

    def __enter__(self) -> Self:
        self._listening.listen()
        threading.Thread(target=self._accept, daemon=True).start()
        return self

    def __exit__(self, *_problem: object) -> None:
        self._listening.shutdown(socket.SHUT_RDWR)
        self._listening.close()

    def _accept(self) -> None:
        with suppress(OSError):  # no longer listening
            while True:
                client, _ = self._listening.accept()
                threading.Thread(target=self._connect, args=(client,), daemon=True).start()

    def _connect(self, client: socket.socket) -> None:
        kind = socket.AF_UNIX if isinstance(self._server, str) else socket.AF_INET
        with client, socket.socket(kind) as server, suppress(ConnectionError):
            server.connect(self._server)
            self._pass_on(client, server)

    def _pass_on(self, client: socket.socket, server: socket.socket) -> None:
        writes = False
        while True:
            ready, _, _ = select.select([client, server], [], [])
            if server in ready:
                answer = server.recv(65536)
                client.sendall(answer)
                if not answer:
                    return
            if client in ready:
                asked = client.recv(65536)
                writes |= _WRITES in asked
                if not asked or (writes and self.cut and _COMMIT in asked):
                    self._cut(server, asked)
                    return
                server.sendall(asked)

    def _cut(self, server: socket.socket, asked: bytes) -> None:
        when, self.cut = (self.cut, "") if asked else (BEFORE, self.cut)
        self.cuts += bool(asked)
        if when != BEFORE:
            server.sendall(asked)
        if when == AFTER:
            server.recv(65536)
