"""The real server on a free port, and a copy of the demonstration, for browsers to visit."""

import atexit
import shutil
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from pathlib import Path

import uvicorn

from app import demo
from app.database import migrate, open_database
from app.main import create_app
from app.settings import Settings


def demo_database(folder: Path) -> Path:
    """Put the demonstration's database into `folder`, as a single file that can be copied."""
    return Path(shutil.copy(_made_once(), folder / "demo.db"))


@cache
def _made_once() -> Path:
    folder = Path(tempfile.mkdtemp(prefix="demonstration"))
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    path = folder / "demo.db"
    engine = open_database(f"sqlite:///{path}", create=True)
    migrate(engine)
    demo.fill(engine)
    engine.dispose()  # the last connection gone, the log beside the file is merged into it
    return path


@contextmanager
def served(settings: Settings) -> Iterator[str]:
    """Serve the ledger while the block runs; gives its address."""
    app = create_app(settings)
    server = uvicorn.Server(
        uvicorn.Config(
            app, port=0, log_level="warning", access_log=False, ws="none", proxy_headers=False
        )
    )
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    try:
        yield f"http://127.0.0.1:{_port(server, thread)}"
    finally:
        server.should_exit = True
        thread.join(10)
        app.state.engine.dispose()


def _port(server: uvicorn.Server, thread: threading.Thread) -> int:
    while not server.started:
        if not thread.is_alive():
            raise RuntimeError("the server did not start")
        time.sleep(0.01)
    return server.servers[0].sockets[0].getsockname()[1]
