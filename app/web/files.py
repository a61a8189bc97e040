"""Reads a form with files in it, of the pages that take files."""

import unicodedata
from collections.abc import AsyncGenerator, Mapping
from dataclasses import dataclass

from fastapi import HTTPException, Request
from fastapi.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.formparsers import MultiPartException, MultiPartParser
from starlette.requests import ClientDisconnect

from app.imports.files import LARGEST
from app.language import _
from app.web.frame import frame_of

FORM_WITH_FILE = "multipart/form-data"
MOST_FILES = 8
_READ = 100  # files of a form, so that the page itself says that they are too many
TAKES_FILES = {"/imports": 1, "/comparison": _READ}  # and how many at once

_BESIDE = 10_000  # bytes of a form beside its file
_MOST_FIELDS = 10


@dataclass(frozen=True)
class Sent:
    """A file as a browser sent it."""

    name: str
    body: bytes


async def form_with_file(request: Request) -> Mapping[str, str]:
    """Return the fields of a form; the files in it are the request’s `files`, the last its `sent`.

    Only for who is signed in: of others nothing is read. Refuses what is no such form or too large.
    """
    request.state.sent, request.state.files = None, []
    if await run_in_threadpool(frame_of, request) is None:
        return {}
    try:
        parser = MultiPartParser(
            request.headers, _bounded(request), max_files=TAKES_FILES[request.url.path],
            max_fields=_MOST_FIELDS, max_part_size=_BESIDE,
        )  # fmt: skip
        form = await parser.parse()
    except ClientDisconnect:
        raise HTTPException(400, _("The form did not arrive whole.")) from None
    except (MultiPartException, KeyError, UnicodeError):
        raise HTTPException(400, _("The form did not arrive whole.")) from None
    fields = {}
    for name, value in form.multi_items():
        if isinstance(value, UploadFile):
            request.state.sent = Sent(value.filename or "", await value.read())
            request.state.files.append(request.state.sent)
        elif "\0" in name + value:
            raise HTTPException(400, _("This form holds a character that no text can hold."))
        else:
            fields[name] = unicodedata.normalize("NFC", value)
    await form.close()
    return fields


async def _bounded(request: Request) -> AsyncGenerator[bytes, None]:
    read = 0
    async for piece in request.stream():
        read += len(piece)
        if read > LARGEST + _BESIDE:
            raise HTTPException(
                413, _("This is larger than {count} MB.", count=LARGEST // 1_000_000)
            )
        yield piece
