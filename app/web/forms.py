"""Reads the form that a request sends: its fields as text, in one written form of Unicode."""

import unicodedata
from collections.abc import Mapping
from urllib.parse import parse_qsl

from fastapi import HTTPException, Request
from starlette.requests import ClientDisconnect

from app.language import _
from app.web.files import FORM_WITH_FILE, TAKES_FILES, form_with_file

# compared exactly as typed, never kept, never sent back
SECRET = frozenset({"password", "new_password", "again", "code"})

_FORM = "application/x-www-form-urlencoded"
_MOST_FIELDS = 1000
_LONGEST_FORM = 1_000_000  # bytes


class WithProblems:
    """A page with a form; `wrong` says what is wrong with it, by the address of each field."""

    wrong: Mapping[str, str]

    @property
    def problems(self) -> list[tuple[str, str]]:
        """What is wrong, in words, and the address of the field it is wrong in."""
        return [(f"{words}.", f"#{where}") for where, words in self.wrong.items()]


async def form_of(request: Request) -> Mapping[str, str]:
    """Return the fields of a form; refuses what is none, or larger than any of ours."""
    kind = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    if kind == FORM_WITH_FILE and request.url.path in TAKES_FILES:
        return await form_with_file(request)
    if kind != _FORM:
        raise HTTPException(415, _("The ledger takes forms only, sent as {form}.", form=_FORM))
    text = (await body_of(request, _LONGEST_FORM)).decode(errors="replace")
    try:
        sent = dict(parse_qsl(text, keep_blank_values=True, max_num_fields=_MOST_FIELDS))
    except ValueError:
        raise HTTPException(413, _("This form has more boxes than any of the ledger’s.")) from None
    if any("\0" in field for pair in sent.items() for field in pair):
        raise HTTPException(400, _("This form holds a character that no text can hold."))
    return {name: text if name in SECRET else _composed(text) for name, text in sent.items()}


def _composed(text: str) -> str:
    # a name typed on one machine equals the same name typed on another
    return unicodedata.normalize("NFC", text)


async def body_of(request: Request, longest: int) -> bytes:
    """Return what a request sends, if it is no longer than `longest` bytes and arrives whole."""
    body = b""
    try:
        async for piece in request.stream():
            body += piece
            if len(body) > longest:
                raise HTTPException(413, _("This is longer than anything the ledger takes."))
    except ClientDisconnect:
        raise HTTPException(400, _("The form did not arrive whole.")) from None
    return body
