"""The real server on a free port, and a copy of the demonstration, for browsers to visit."""

import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import uvicorn

from app import demo
from app.database import migrate, open_database
from app.main import create_app
from app.settings import Settings


def demo_database(folder: Path) -> Path:
    """Make the demonstration's database in `folder`, as a single file that can be copied."""
    path = folder / "demo.db"
    engine = open_database(f"sqlite:///{path}", create=True)
    migrate(engine)
    demo.fill(engine)
    engine.dispose()  # the last connection gone, the log beside the file is merged into it
    return path


@contextmanager
def served(settings: Settings) -> Iterator[str]:
    """Serve the ledger while the block runs; gives its address."""
    server = uvicorn.Server(
        uvicorn.Config(
            create_app(settings), port=0, log_level="warning", access_log=False, ws="none"
        )
    )
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    try:
        yield f"http://127.0.0.1:{_port(server, thread)}"
    finally:
        server.should_exit = True
        thread.join(10)


def _port(server: uvicorn.Server, thread: threading.Thread) -> int:
    while not server.started:
        if not thread.is_alive():
            raise RuntimeError("the server did not start")
        time.sleep(0.01)
    return server.servers[0].sockets[0].getsockname()[1]
