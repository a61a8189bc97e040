"""Files as they lie in the folders of instruments: those meant, astray, and refused beside why.

What was refused is kept there for good, so it is known after the server begins anew.
"""

from collections.abc import Collection, Iterable
from datetime import UTC, datetime
from pathlib import Path
from typing import NamedTuple

from app.ledger.people import filed_name

REFUSED = "refused"

_STAMP = "%Y%m%dT%H%M%SZ"
_LONGEST = 20_000  # characters of why a file was refused
_SUFFIX = ".txt"
_KINDS = (".csv", ".json")
_HIDDEN = (".", "~")


class Refusal(NamedTuple):
    """A file that was refused: when, the folder it was in, and the lines that say why."""

    at: datetime
    folder: str
    file: str
    lines: tuple[str, ...]


def is_meant(file: Path) -> bool:
    """Tell whether a name is one of a file to be taken: programs hide what they still write."""
    return file.suffix.lower() in _KINDS and not file.name.startswith(_HIDDEN)


def shown(path: Path) -> str:
    """Return a name as it can be written and read anywhere."""
    return "".join(
        sign if sign.isprintable() else "\N{REPLACEMENT CHARACTER}" for sign in path.name
    )


def astray(lies: Iterable[Path], known: Collection[str]) -> list[str]:
    """Return the names of what nobody takes: `known` are the folders of instruments."""
    found = []
    for each in lies:
        if not each.is_dir():
            found += [shown(each)]
        elif filed_name(each.name) not in known:
            found += [f"{shown(each)}/"]
        elif not each.is_symlink():
            others = (file for file in sorted(each.iterdir()) if not is_meant(file))
            found += [f"{shown(each)}/{shown(file)}" for file in others if file.is_file()]
    return [name for name in found if not name.rpartition("/")[2].startswith(_HIDDEN)]


def stamp(at: datetime) -> str:
    """Return how names of moved files begin."""
    return at.astimezone(UTC).strftime(_STAMP)


def refusals_in(homes: Iterable[Path], at_most: int) -> list[Refusal]:
    """Return the newest refusals below some folders, the newest first; OSError if one is away."""
    texts = [
        (begins, text)
        for home in homes
        if (home / REFUSED).is_dir() and not (home / REFUSED).is_symlink()
        for text in (home / REFUSED).iterdir()
        if text.suffix == _SUFFIX and (begins := _stamped(text.name))
    ]
    newest = sorted(texts, reverse=True)[:at_most]
    return [_refusal(at, text) for at, text in newest]


def _stamped(name: str) -> datetime | None:
    try:
        return datetime.strptime(name.partition("-")[0], _STAMP).replace(tzinfo=UTC)
    except ValueError:
        return None


def _refusal(at: datetime, text: Path) -> Refusal:
    with text.open(encoding="utf-8", errors="replace") as opened:
        lines = opened.read(_LONGEST).splitlines()
    name = text.name.removesuffix(_SUFFIX).split("-", 2)[-1]
    return Refusal(at, text.parent.parent.name, name, tuple(lines[1:] or lines))
