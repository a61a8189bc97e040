"""The language in which words are given: English, unless somebody chose another.

Words stand in the code in English. `_` gives them in the language of whoever asks; titles and
other words kept as data go through it where a page prints them. What is stored, and every export,
stays as it stands in the code.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

ENGLISH = "en"

_chosen: ContextVar[str] = ContextVar("language", default=ENGLISH)


def _(words: str, /, **names: object) -> str:
    """Return `words` in the language chosen, with each {name} in them filled in."""
    return words.format(**names) if names else words


def ngettext(one: str, many: str, count: int, /, **names: object) -> str:
    """Return the words for one or for `count` of something; {count} in them is filled in."""
    return (one if count == 1 else many).format(count=count, **names)


def chosen() -> str:
    """Return the language that holds now."""
    return _chosen.get()


@contextmanager
def speaking(language: str) -> Iterator[None]:
    """Have everything within the block said in a language."""
    before = _chosen.set(language)
    try:
        yield
    finally:
        _chosen.reset(before)
