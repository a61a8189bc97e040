"""Refuses what another site sends, and tells browsers what a page of ours may do."""

import ipaddress
import re
import socket
from collections.abc import Iterable

from starlette.types import ASGIApp, Message, Receive, Scope, Send

SAFE = ("GET", "HEAD")

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; "
    "connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'; "
    "object-src 'none'"
)
# a route names the style inside a frozen document by its hash, like 'sha256-…'; it is not sent on
STYLE = "x-style-inside"
_HASH = re.compile(rb"'sha256-[A-Za-z0-9+/]{43}='")

_HEADERS = (
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"same-origin"),
    (b"cross-origin-opener-policy", b"same-origin"),
    (b"cross-origin-resource-policy", b"same-origin"),
    (b"permissions-policy", b"camera=(), geolocation=(), microphone=(), payment=(), usb=()"),
)
_ENCRYPTED = (b"strict-transport-security", b"max-age=31536000")
_PRIVATE = (b"cache-control", b"no-store")
_FRESH = (b"cache-control", b"no-cache")


class Safety:
    """Wraps an application: checks where a request comes from, adds headers to every answer.

    What only asks for the head of an answer is answered as a page is, without the page.
    """

    def __init__(self, app: ASGIApp, *, hosts: Iterable[str] = (), encrypted: bool = False) -> None:
        self.app = app
        self.hosts = {"localhost", socket.gethostname().lower(), *(h.lower() for h in hosts)}
        self.headers = [*_HEADERS, *([_ENCRYPTED] if encrypted else [])]

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        public = scope["path"].startswith("/static/")
        added = [*self.headers, _FRESH if public else _PRIVATE]
        headless = scope["method"] == "HEAD"

        async def guarded(message: Message) -> None:
            if message["type"] == "http.response.start":
                message["headers"] = [*_with_policy(message["headers"]), *added]
            elif headless and message["type"] == "http.response.body":
                message["body"] = b""
            await send(message)

        if not self._is_ours(scope):
            await _refuse(guarded, 400, b"The ledger is not served under this name.")
        elif comes_from_elsewhere(scope):
            said = b"This was sent by another site, so the ledger does not take it."
            await _refuse(guarded, 403, said)
        else:
            asked = {**scope, "method": "GET"} if headless else scope
            await self.app(asked, receive, guarded)

    def _is_ours(self, scope: Scope) -> bool:
        # another site's name that leads here would let its pages read ours; a number cannot
        named = dict(scope["headers"]).get(b"host", b"").decode("latin-1").lower()
        host = re.sub(r":\d*$", "", named)
        return host in self.hosts or _is_number(host)


def _is_number(host: str) -> bool:
    try:
        ipaddress.ip_address(host.removeprefix("[").removesuffix("]"))
    except ValueError:
        return False
    return True


def _with_policy(headers: Iterable[tuple[bytes, bytes]]) -> list[tuple[bytes, bytes]]:
    policy, kept = POLICY.encode(), []
    for name, value in headers:
        if name.lower() != STYLE.encode():
            kept.append((name, value))
        elif _HASH.fullmatch(value):
            policy = policy.replace(b"style-src 'self'", b"style-src 'self' " + value)
    return [(b"content-security-policy", policy), *kept]


def comes_from_elsewhere(scope: Scope) -> bool:
    """Tell whether a page of another site sends this change.

    Browsers name the sending page in Origin; on plain HTTP they send no Sec-Fetch-Site. What names
    neither is no browser, and has no one's cookie.
    """
    if scope["method"] in SAFE:
        return False
    headers = dict(scope["headers"])
    if headers.get(b"sec-fetch-site", b"same-origin") not in (b"same-origin", b"none"):
        return True
    origin = headers.get(b"origin")
    return origin is not None and origin.rpartition(b"://")[2] != headers.get(b"host")


async def _refuse(send: Send, status: int, body: bytes) -> None:
    start = {"type": "http.response.start", "status": status}
    await send(start | {"headers": [(b"content-type", b"text/plain; charset=utf-8")]})
    await send({"type": "http.response.body", "body": body})
