"""In which language a request is answered: the one chosen, else the browser's, else the mill's."""

import re
from functools import lru_cache

from babel import Locale, UnknownLocaleError
from babel.numbers import get_decimal_symbol
from starlette.requests import HTTPConnection
from starlette.types import ASGIApp, Receive, Scope, Send

from app.language import LANGUAGES, locale_of, speaking

COOKIE = "language"
_WEIGHT = re.compile(r"q=([01](?:\.[0-9]{0,3})?)")
_TAG = re.compile(r"[A-Za-z]{2}(-[A-Za-z0-9]{2,4})*")


class Spoken:
    """Wraps an application: whatever answers a request does so in one language."""

    def __init__(self, app: ASGIApp, default: str) -> None:
        self.app = app
        self.default = default

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        asked = HTTPConnection(scope)
        language = asked.cookies.get(COOKIE, "")
        if language not in LANGUAGES:
            language = first_of(asked.headers.get("accept-language", "")) or self.default
        with speaking(language):
            await self.app(scope, receive, send)


@lru_cache(maxsize=256)
def first_of(wished: str) -> str | None:
    """Return the language offered that an Accept-Language header likes best, if it names any."""
    liked = []
    for part in wished.split(","):
        tag, _, quality = part.partition(";")
        stated = _WEIGHT.fullmatch(quality.strip())
        liked.append((float(stated[1]) if stated else 1.0, tag.strip()))
    for weight, tag in sorted(liked, key=lambda each: -each[0]):
        if weight and (found := nearest(tag)):
            return found
    return None


def nearest(tag: str) -> str | None:
    """Return the language offered that writes as a tag like es-MX does: its words and its sign.

    Spanish has both signs, by country: only CLDR knows which.
    """
    own = [code for code in LANGUAGES if code.partition("-")[0] == tag.partition("-")[0].lower()]
    if not own or not _TAG.fullmatch(tag):
        return None
    try:
        sign = get_decimal_symbol(Locale.parse(tag, sep="-"))
    except (UnknownLocaleError, ValueError):
        return own[0]
    return next((code for code in own if get_decimal_symbol(locale_of(code)) == sign), own[0])
