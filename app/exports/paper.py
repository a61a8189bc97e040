"""A page as PDF, set from the same page and style that a browser prints.

WeasyPrint does it, where it is installed. It is given the style of the program and nothing else:
it never asks the network, nor any other file.
"""

import re
from ctypes.util import find_library
from functools import cache
from importlib.util import find_spec
from pathlib import PurePosixPath
from threading import Lock
from typing import Any
from urllib.parse import unquote, urlsplit

from app.language import ENGLISH, LANGUAGES, _, speaking
from app.ledger.issues import Issue
from app.settings import shared

KIND = "application/pdf"
_HERE = "http://ledger.test"  # no address that is
_KINDS = {".css": "text/css", ".svg": "image/svg+xml"}
_ONE = Lock()  # a report takes seconds and much memory
_PAGES = ("", "draft", "known", "sheet", "many")  # as the style names them


class NotInstalled(Exception):
    """What sets pages is not installed."""


@cache
def can_print() -> bool:
    """Tell whether pages can be set as PDF on this machine."""
    return find_spec("weasyprint") is not None and find_library("pango-1.0") is not None


def pdf_of(page: str, foot: str) -> bytes:
    """Return a page as tagged PDF, with `foot` on each sheet of paper; NotInstalled.

    Only one is made at a time.
    """
    if not can_print():
        raise NotInstalled
    from weasyprint import HTML
    from weasyprint.urls import URLFetcher

    fetcher = URLFetcher()
    fetcher.fetch = _only_ours  # in place of what would ask the network
    page = page.replace("</head>", f"<style>{_running(foot)}</style></head>", 1)
    with _ONE:
        document = HTML(string=page, base_url=f"{_HERE}/", url_fetcher=fetcher)
        made: bytes = document.write_pdf(pdf_variant="pdf/ua-1")
    return made


def copy_of_issue(issue: Issue, mill: str, page: bytes, digest: str) -> bytes:
    """Return an issued report as PDF, which says that it is a copy; NotInstalled.

    `page` is what was issued and `digest` its SHA-256. It speaks the language of the page.
    """
    text = page.decode()
    with speaking(_language_of(text)):
        issued = _("Issue {name}, ISSUED", name=issue.name)
        chain = _("chain {head}", head=issue.head.short)
        copy = _("Copy of the frozen issue, made of its page with SHA-256 {digest}", digest=digest)
        return pdf_of(text, f"{mill} · {issued} · {chain}\n{copy}")


def _language_of(page: str) -> str:
    """Return the language that a page says it is in."""
    said = re.search(r'<html lang="([\w-]+)">', page)
    return said[1] if said and said[1] in LANGUAGES else ENGLISH


def _running(foot: str) -> str:
    """Return the style that puts `foot`, its lines parted, and the page on each sheet."""
    number = _("Page {page} of {pages}", page='" counter(page) "', pages='" counter(pages) "')
    margins = (
        f'@bottom-left {{ content: "{_in_style(foot)}"; width: 84%; '
        "white-space: pre-wrap; font-size: 6.5pt; line-height: 1.3; } "
        f'@bottom-right {{ content: "{number}"; width: 16%; font-size: 6.5pt; }}'
    )
    return "\n".join(f"@page {name} {{ {margins} }}" for name in _PAGES)


def _in_style(text: str) -> str:
    """Return text as a string of a style holds it, whatever is in it."""
    return "".join(c if c.isalnum() or c in " ,.:;-" else f"\\{ord(c):x} " for c in text)


def _only_ours(url: str, _headers: object = None) -> Any:
    """Return a file of the style; ValueError for whatever else a page asks for."""
    from weasyprint.urls import URLFetcherResponse

    path = PurePosixPath(unquote(urlsplit(url).path))
    root = shared("static").resolve()
    if not url.startswith(f"{_HERE}/") or path.suffix not in _KINDS:
        raise ValueError(f"{url} is not fetched")
    file = (root / path.relative_to("/static")).resolve()
    if not file.is_relative_to(root):
        raise ValueError(f"{url} is not fetched")
    return URLFetcherResponse(url, file.read_bytes(), {"Content-Type": _KINDS[path.suffix]})
