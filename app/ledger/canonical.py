"""The written form of an event, from which its hash is made; version 1, and never to be changed.

An event is a JSON object in UTF-8: keys sorted, no blanks between, every value a string, null, or
an object or list of these; a number is written as a string, an instant in UTC to the microsecond
like 2026-07-14T06:00:00.000000Z, and text in Unicode's form NFC. Its content is such a text by
itself. A digest is the SHA-256 of a line that says what is digested, so that one thing can never
pass for another, and of that text. The hash of an event binds its number, the hash before it and
its digest.
"""

import hashlib
import json
import unicodedata
from collections.abc import Callable, Mapping
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any

_json = json.JSONEncoder(ensure_ascii=False, sort_keys=True, separators=(",", ":")).encode

BEGINNING = "0" * 64  # what the first event follows


def written(value: Any) -> Any:
    """Return `value` as the canonical form writes it; TypeError for what it does not know."""
    if value is None:
        return None
    as_text = _TEXT.get(type(value))
    if as_text:
        return as_text(value)
    if isinstance(value, Mapping):
        return {key: written(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [written(item) for item in value]
    raise TypeError(f"{type(value).__name__} has no canonical form")


_TEXT: Mapping[type, Callable[[Any], str]] = {
    str: lambda text: text if text.isascii() else unicodedata.normalize("NFC", text),
    bool: lambda truth: "true" if truth else "false",
    int: str,
    float: repr,
    Decimal: str,
    date: date.isoformat,
    datetime: lambda moment: f"{moment.astimezone(UTC):%Y-%m-%dT%H:%M:%S.%f}Z",
}


def canonical(value: Any) -> str:
    """Return the canonical text of `value`."""
    return _json(written(value))


def digest(what: str, text: str) -> str:
    """Return the SHA-256, in hex, of `text` as a `what`, such as "event 1"."""
    return hashlib.sha256(f"mill ledger {what}\n{text}".encode()).hexdigest()


def digest_of_event(event: Mapping[str, Any]) -> str:
    """Return the digest of an event: at, kind, person, name, season, day, row, content's text."""
    return digest("event 1", canonical(event))


def link(number: int, previous: str, digest_of_it: str) -> str:
    """Return the hash of event `number`, which follows the one whose hash is `previous`."""
    return digest("link 1", f"{number}\n{previous}\n{digest_of_it}")
