"""Which program and which set of figures a report was made with."""

import hashlib
from functools import cache
from importlib.metadata import version

from app.reports.listing import as_json


def program_version() -> str:
    """Return the version of the program."""
    return version("mill-chemistry-ledger")


@cache
def figures_version() -> str:
    """Return 12 digits that change when any figure, measure or convention is declared otherwise."""
    return hashlib.sha256(as_json().encode()).hexdigest()[:12]
