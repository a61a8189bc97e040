"""Refuses what another site sends, and tells browsers what a page of ours may do."""

from starlette.types import ASGIApp, Message, Receive, Scope, Send

SAFE = ("GET", "HEAD")

POLICY = (
    "default-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'; "
    "object-src 'none'"
)

_HEADERS = (
    (b"content-security-policy", POLICY.encode()),
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"same-origin"),
)
_PRIVATE = (b"cache-control", b"no-store")
_FRESH = (b"cache-control", b"no-cache")


class Safety:
    """Wraps an application: checks where a change comes from, adds headers to every answer.

    What only asks for the head of an answer is answered as a page is, without the page.
    """

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        public = scope["path"].startswith("/static/")
        added = [*_HEADERS, _FRESH if public else _PRIVATE]
        headless = scope["method"] == "HEAD"

        async def guarded(message: Message) -> None:
            if message["type"] == "http.response.start":
                message["headers"] = [*message["headers"], *added]
            elif headless and message["type"] == "http.response.body":
                message["body"] = b""
            await send(message)

        if comes_from_elsewhere(scope):
            await _refuse(guarded)
        else:
            asked = {**scope, "method": "GET"} if headless else scope
            await self.app(asked, receive, guarded)


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


async def _refuse(send: Send) -> None:
    start = {"type": "http.response.start", "status": 403}
    await send(start | {"headers": [(b"content-type", b"text/plain; charset=utf-8")]})
    body = b"This was sent by another site, so the ledger does not take it."
    await send({"type": "http.response.body", "body": body})
