"""Bring the catalogues up to date: `.venv/bin/python -m tests.words`.

All words that people see are gathered into the catalogue of each language: those marked in modules
and templates, and those kept as data. What was translated stays, what is said no more goes.
"""

from collections.abc import Iterator
from datetime import UTC, datetime
from functools import cache
from io import BytesIO
from pathlib import Path

from babel.messages.catalog import Catalog, Message
from babel.messages.extract import extract_from_dir
from babel.messages.pofile import read_po, write_po

from app.language import CATALOGUES
from tests.titles import titles

ROOT = Path(__file__).parent.parent
TRANSLATED = ("es", "pt", "fr")
WIDTH = 100

# function: which of its arguments are words
MARKS = {"_": None, "gettext": None, "ngettext": (1, 2), "within": (1,)}
_TEMPLATES = {
    "newstyle_gettext": "true",
    "trimmed": "true",
    "trim_blocks": "true",
    "lstrip_blocks": "true",
    "silent": "false",  # a template that cannot be read is an error, not one without words
}

_HEAD = {
    "project": "Mill Chemistry Ledger",
    "version": "1",
    "header_comment": "# The words of the ledger; `python -m tests.words` brings them up to date.",
    "msgid_bugs_address": "see README.md",
    "last_translator": "nobody named yet",
    "language_team": "nobody named yet",
    "creation_date": datetime(2026, 11, 26, tzinfo=UTC),
    "revision_date": datetime(2026, 11, 26, tzinfo=UTC),
}

Words = str | tuple[str, str]


@cache
def said() -> Catalog:
    """Return every message that people may see."""
    catalogue = Catalog()
    for words in (*marked(), *titles()):
        catalogue.add(words).flags.clear()
    return catalogue


def marked() -> Iterator[Words]:
    """Yield the words that are marked in modules and templates."""
    for folder, pattern, method, options in (
        ("app", "**.py", "python", {}),
        ("templates", "**.html", "jinja2", _TEMPLATES),
    ):
        found = extract_from_dir(ROOT / folder, [(pattern, method)], {pattern: options}, MARKS)
        for _file, _line, words, _comments, _context in found:
            if words != "":
                yield words


def catalogue_of(language: str) -> Catalog:
    """Return the catalogue of a language as it is kept; an empty one where none is yet."""
    file = CATALOGUES / f"{language}.po"
    if not file.exists():
        return Catalog(language, fuzzy=False, **_HEAD)
    with file.open("rb") as text:
        return read_po(text, locale=language)


def written(catalogue: Catalog) -> bytes:
    """Return the text of a catalogue, in one order, so that a change shows as what it is.

    Nor does it say which release of Babel wrote it.
    """
    for message in catalogue:
        message.flags &= {"fuzzy"}  # "% cane" is no format
    text = BytesIO()
    write_po(text, catalogue, width=WIDTH, no_location=True, sort_output=True, ignore_obsolete=True)
    lines = text.getvalue().splitlines(keepends=True)
    return b"".join(line for line in lines if not line.startswith(b'"Generated-By:'))


def renew(language: str) -> Catalog:
    """Bring the catalogue of a language up to date, and return it."""
    catalogue = catalogue_of(language)
    made = catalogue.creation_date
    catalogue.update(said(), no_fuzzy_matching=True)
    catalogue.creation_date = made  # else two days would differ in nothing else
    (CATALOGUES / f"{language}.po").write_bytes(written(catalogue))
    return catalogue


def main() -> None:
    """Renew every catalogue, and say how much each holds."""
    for language in TRANSLATED:
        messages = [message for message in renew(language) if message.id]
        lacking = sum(not is_translated(message) for message in messages)
        count = sum(len(part.split()) for message in messages for part in _parts(message.id))
        print(f"{language}: {len(messages)} messages of {count} words, {lacking} not translated")


def is_translated(message: Message) -> bool:
    """Tell whether a message is said in the language of its catalogue, every form of it."""
    return bool(message.string) and all(_parts(message.string))


def _parts(words: Words) -> tuple[str, ...]:
    return (words,) if isinstance(words, str) else tuple(words)


if __name__ == "__main__":
    main()
