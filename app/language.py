"""The language in which words are given: English, unless somebody chose another.

Words stand in the code in English. `_` gives them in the language of whoever asks; titles and
other words kept as data go through it where a page prints them. What is stored, and every export,
stays as it stands in the code.
"""

from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import date, datetime
from functools import cache, reduce
from gettext import NullTranslations
from io import BytesIO
from pathlib import Path
from typing import TypeGuard

from babel import Locale
from babel.dates import format_date
from babel.messages.catalog import Catalog
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po
from babel.numbers import get_decimal_symbol
from babel.support import Translations

ENGLISH = "en"

LANGUAGES: Mapping[str, str] = {
    "en": "English",
    "es": "español, con coma decimal",
    "es-419": "español, con punto decimal",
    "pt": "português",
    "fr": "français",
}
"""The languages offered, each by its own name."""

CATALOGUES = Path(__file__).parent / "languages"

_chosen: ContextVar[str] = ContextVar("language", default=ENGLISH)


def _(words: str, /, **names: object) -> str:
    """Return `words` in the language chosen, with each {name} in them filled in.

    A day among what is filled in is written as the language writes it.
    """
    said = catalogue(chosen()).gettext(words) if words else words
    if not names:
        return said
    return said.format(**{name: day_words(of) if is_day(of) else of for name, of in names.items()})


def day_words(day: date) -> str:
    """Return "2026-07-14", as English readers type it, or as another language writes a day."""
    if chosen() == ENGLISH:
        return f"{day}"
    return format_date(day, "d MMM y", locale=locale_of(chosen()))


def is_day(thing: object) -> TypeGuard[date]:
    """Tell whether something is a day of the calendar, and no moment of it."""
    return isinstance(thing, date) and not isinstance(thing, datetime)


def ngettext(one: str, many: str, count: int, /, **names: object) -> str:
    """Return the words for one or for `count` of something; {count} in them is filled in."""
    return one_or_many(one, many, count).format(count=count, **names)


def one_or_many(one: str, many: str, count: int, /) -> str:
    """Return the words for one or for `count` of something, with nothing in them filled in."""
    return catalogue(chosen()).ngettext(one, many, count)


def either(items: Iterable[str], /) -> str:
    """Return "one or another or a third" in the language chosen."""
    return reduce(lambda one, other: _("{one} or {other}", one=one, other=other), items)


def chosen() -> str:
    """Return the language that holds now."""
    return _chosen.get()


def decimal_sign() -> str:
    """Return what stands between whole numbers and fractions in the language chosen."""
    return _decimal_sign(chosen())


@cache
def _decimal_sign(language: str) -> str:
    return get_decimal_symbol(locale_of(language))


@cache
def locale_of(language: str) -> Locale:
    """Return what CLDR knows of a language offered."""
    return Locale.parse(language, sep="-")


@contextmanager
def speaking(language: str) -> Iterator[None]:
    """Have everything within the block said in a language."""
    before = _chosen.set(language)
    try:
        yield
    finally:
        _chosen.reset(before)


@cache
def catalogue(language: str) -> NullTranslations:
    """Return the words of a language; what is not among them stays English."""
    kept = _kept(language)
    if kept is None:
        return NullTranslations()
    compiled = BytesIO()
    write_mo(compiled, kept)
    compiled.seek(0)
    return Translations(compiled)


@cache
def share(language: str) -> int:
    """Return how much of all messages is said in a language, in whole percent, rounded down."""
    kept = _kept(language)
    if kept is None:
        return 100  # English, in which they stand
    messages = [message for message in kept if message.id]
    said = sum(all(_forms(message.string or "")) for message in messages)
    return 100 * said // len(messages)


def _forms(string: str | Iterable[str]) -> tuple[str, ...]:
    return (string,) if isinstance(string, str) else tuple(string)


def _kept(language: str) -> Catalog | None:
    file = CATALOGUES / f"{language.partition('-')[0]}.po"
    if not file.is_file():
        return None
    with file.open("rb") as text:
        return read_po(text)
