"""The security log: who got in, who was refused, what left the ledger; JSON lines, apart from it.

Secrets never come here: only names, addresses and references do. A line break in them is written
as JSON writes it, so that nobody can forge a line.
"""

import json
import logging
import sys
from datetime import UTC, datetime
from logging.handlers import RotatingFileHandler
from pathlib import Path

from fastapi import Request
from starlette.types import ASGIApp, Message, Receive, Scope, Send

_LARGEST = 5_000_000  # bytes of one file; nine older ones are kept
_OLDER = 9
_LONGEST = 200  # characters of one value

_log = logging.getLogger("ledger.security")


class _Lines(logging.Formatter):
    def format(self, record: logging.LogRecord) -> str:
        at = datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds")
        said = record.args if isinstance(record.args, dict) else {}
        return json.dumps({"at": at, "what": record.msg} | said)


def open_log(file: Path | None) -> None:
    """Write the log to `file`, or to standard error where there is none."""
    handler: logging.Handler = logging.StreamHandler(sys.stderr)
    if file:
        handler = RotatingFileHandler(
            file, maxBytes=_LARGEST, backupCount=_OLDER, encoding="utf-8", delay=True
        )
    handler.setFormatter(_Lines())
    for former in [*_log.handlers]:
        _log.removeHandler(former)
        former.close()
    _log.addHandler(handler)
    _log.setLevel(logging.INFO)
    _log.propagate = False


def note(request: Request, what: str, **more: str) -> None:
    """Write a line: what happened, who did it from where, and `more`."""
    _write(request.scope, what, more)


def _write(scope: Scope, what: str, more: dict[str, str]) -> None:
    frame = scope.get("state", {}).get("frame")
    client = scope.get("client")
    said = {
        "who": frame.person.username if frame else "",
        "address": client[0] if client else "",
        "method": scope["method"],
        "path": scope["path"],
    }
    _log.info(what, {name: text[:_LONGEST] for name, text in (said | more).items()})


class Noting:
    """Wraps an application: notes what is refused, and what is given out as a file."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        scope.setdefault("state", {})  # else what a request learns of itself is not seen here

        async def watched(message: Message) -> None:
            if message["type"] == "http.response.start":
                _watch(scope, message)
            await send(message)

        await self.app(scope, receive, watched)


def _watch(scope: Scope, message: Message) -> None:
    file = dict(message["headers"]).get(b"content-disposition", b"").decode("latin-1")
    if message["status"] in (400, 401, 403):
        _write(scope, "refused", {"status": str(message["status"])})
    elif "filename=" in file:  # also of what a browser shows by itself, as a PDF
        _write(scope, "export", {"file": file.partition("filename=")[2].strip('"')})
