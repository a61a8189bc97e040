"""Locks on a file beside a database file, which hold within a process and between processes.

The system lets go of them when their holder ends, however it ends.
"""

import fcntl
import os
import time
from collections import defaultdict
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from threading import Lock

PATIENCE = 10.0  # seconds that a writer waits for its turn; no import takes half of that
_AGAIN = 0.002

_of_this_process: defaultdict[str, Lock] = defaultdict(Lock)


class Busy(TimeoutError):
    """Others kept on writing for longer than a writer waits."""


class Held(OSError):
    """Somebody else holds what only one may hold; it says who."""


@contextmanager
def turn(path: Path) -> Iterator[None]:
    """Let one writer of the file at `path` work at a time; Busy after PATIENCE seconds."""
    mine = _of_this_process[str(path)]
    until = time.monotonic() + PATIENCE
    if not mine.acquire(timeout=PATIENCE):
        raise Busy("Others are writing in the ledger, and it takes long")
    try:
        file = _open(path, "turn")
        try:
            _wait_for(file, until)
            yield
        finally:
            os.close(file)
    finally:
        mine.release()


def _wait_for(file: int, until: float) -> None:
    while True:
        with suppress(BlockingIOError):
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
            return
        if time.monotonic() > until:
            raise Busy("Another program is writing in the ledger, and it takes long")
        time.sleep(_AGAIN)


@contextmanager
def alone(path: Path) -> Iterator[None]:
    """Be the only one to serve or replace the file at `path`; Held says who else does."""
    file = _open(path, "server")
    try:
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            holder = os.pread(file, 200, 0).decode(errors="replace").strip()
            raise Held(f"{path} is in use already, by {holder or 'another program'}") from None
        os.ftruncate(file, 0)
        os.pwrite(file, f"process {os.getpid()} on {os.uname().nodename}".encode(), 0)
        yield
    finally:
        os.close(file)


def _open(path: Path, what: str) -> int:
    return os.open(f"{path}-{what}", os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o600)
