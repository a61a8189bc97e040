"""Serves a ledger to browsers, once it was found fit for that."""

import signal
import sys
from contextlib import ExitStack, suppress
from socket import socket

import uvicorn

from app.database import file_of, open_database
from app.keeping.fitness import check_before_serving
from app.locks import alone
from app.main import create_app
from app.settings import Settings

_TO_FINISH = 10  # seconds, for what is being answered when the server is told to end


class _Server(uvicorn.Server):
    """A server that says its address once it answers there."""

    async def startup(self, sockets: list[socket] | None = None) -> None:
        await super().startup(sockets)
        if self.started:
            address = f"http://{self.config.host}:{self.config.port}/"
            print(f"Serving {address} (Ctrl+C ends it)", flush=True)


def serve(settings: Settings, *, share_accepted: bool) -> int:
    """Serve until a signal ends it; 2 where the address cannot be had, Unfit, Held."""
    engine = open_database(settings.database_url)
    with ExitStack() as held:
        if file := file_of(engine):
            held.enter_context(alone(file))
        for said in check_before_serving(engine, share_accepted=share_accepted):
            print(said, file=sys.stderr)
        engine.dispose()
        # the server repeats the signal that ended it once it has finished: that is no failure
        signal.signal(signal.SIGTERM, lambda *_: None)
        server = _Server(configuration(settings))
        with suppress(KeyboardInterrupt):
            server.run()
    return 0 if server.started else 2


def configuration(settings: Settings) -> uvicorn.Config:
    """Return how the server is set up: what a proxy says is believed of that proxy alone."""
    return uvicorn.Config(
        create_app(settings), host=settings.host, port=settings.port, log_level="warning",
        server_header=False, proxy_headers=bool(settings.proxy),
        forwarded_allow_ips=settings.proxy, timeout_graceful_shutdown=_TO_FINISH,
    )  # fmt: skip
