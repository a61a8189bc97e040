"""A language that nobody speaks, its words accented and 40 % longer: shows what is not marked."""

import re
from collections.abc import Iterator
from functools import cache
from gettext import NullTranslations
from html.parser import HTMLParser

from tests.words import said

_ACCENTED = str.maketrans("aeiouyAEIOUY", "áéíóúýÁÉÍÓÚÝ")
# what stands in words and is none: names to be filled in, tags, references to characters
_NO_WORD = re.compile(r"(\{\w*\}|%\(\w+\)s|%%|<[^>]*>|&\w+;)")
_PLAIN = re.compile(r"[A-Za-z]*[aeiouyAEIOUY][A-Za-z]*")
_UNREAD = ("script", "style", "code", "kbd")
_READ_OUT = ("title", "aria-label", "placeholder", "alt")


def longer(words: str) -> str:
    """Return words accented, and longer by two letters in five."""
    parts = _NO_WORD.split(words)
    return "".join(part if n % 2 else _stretched(part) for n, part in enumerate(parts))


def _stretched(words: str) -> str:
    return re.sub(r"[^\W\d_]+", lambda found: _one(found[0]), words)


def _one(word: str) -> str:
    more = round(0.6 * len(word)) if len(word) > 2 else 0  # all in all 40 %, blanks and all
    accented = word.translate(_ACCENTED)
    return accented + (accented[-1].lower() * more if accented[-1].isalpha() else "")


class Longer(NullTranslations):
    """Says every message that the catalogues hold in the language that nobody speaks."""

    def gettext(self, message: str) -> str:
        """Return a message accented and longer; what is in no catalogue stays as it is."""
        return longer(message) if message in _messages() else message

    def ngettext(self, msgid1: str, msgid2: str, n: int) -> str:
        """Return the same for one or for several."""
        return longer(msgid1 if n == 1 else msgid2) if msgid1 in _messages() else msgid1


@cache
def _messages() -> frozenset[str]:
    ids = [message.id for message in said() if message.id]
    return frozenset(each if isinstance(each, str) else each[0] for each in ids)


class _Texts(HTMLParser):
    """Gathers what a page says: its texts, and what is read out of attributes."""

    def __init__(self) -> None:
        super().__init__()
        self.texts: list[str] = []
        self._within: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag in _UNREAD or dict(attrs).get("lang"):
            self._within.append(tag)
        self.texts += [text for name, text in attrs if name in _READ_OUT and text]

    def handle_endtag(self, tag: str) -> None:
        if self._within and self._within[-1] == tag:
            self._within.pop()

    def handle_data(self, data: str) -> None:
        if not [tag for tag in self._within if tag != "html"]:
            self.texts.append(data)


def unmarked(page: str) -> Iterator[str]:
    """Yield the texts of a page in which a word stayed English."""
    read = _Texts()
    read.feed(page)
    for text in read.texts:
        if plain_words(text):
            yield " ".join(text.split())


def plain_words(text: str) -> list[str]:
    """Return the words of a text that stayed English; addresses, heads and names in it are none."""
    return [word for word in _PLAIN.findall(_without_names(text)) if len(word) > 2]


def _without_names(text: str) -> str:
    return re.sub(r"\S*[/_]\S*|\{\w*\}|\d+:[0-9a-f]{16}", "", text)
