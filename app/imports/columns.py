"""What the columns of a table are: guessed by their headings, and laid on a sheet or a book."""

import re
import unicodedata
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache

from app.imports.files import Rows
from app.language import LANGUAGES, _, speaking
from app.plant.books import BOOKS
from app.plant.measures import MEASURES

SHEET = "sheet"  # what a table is laid on, where that is no book

DAY, SHIFT, TIME, PERSON, MEASURE, VALUE = "day", "shift", "time", "person", "measure", "value"

YEAR_FIRST, DAY_FIRST, MONTH_FIRST = "year first", "day first", "month first"

_HEADINGS_WITHIN = 20  # rows
_LETTERS = 26


@dataclass(frozen=True)
class Columns:
    """What each column of a table is, by its place from 0; those left out are not among them.

    `target` is the sheet or the name of a book; `order` how days are written.
    """

    target: str
    of: Mapping[int, str]
    order: str = YEAR_FIRST

    def place(self, what: str) -> int | None:
        """Return which column is `what`, if one is."""
        return next((place for place, other in self.of.items() if other == what), None)

    @property
    def measures(self) -> dict[int, str]:
        """The columns that hold a measure of the sheet, or a field of the book."""
        return {place: what for place, what in self.of.items() if what not in _OTHERS}

    @property
    def wrong(self) -> dict[int | str, str]:
        """What is wrong with the choice, by column, by "order", or by "day" for all of it."""
        wrong: dict[int | str, str] = {}
        for what, count in Counter(self.of.values()).items():
            if count > 1:
                places = [place for place, other in self.of.items() if other == what]
                wrong |= dict.fromkeys(places[1:], _("Another column is that already"))
        if not wrong and (words := self._lacks()):
            wrong[DAY] = words
        return wrong

    def _lacks(self) -> str:
        """Say what no table can do without and this one does, or what does not go together."""
        chosen = set(self.of.values())
        long = MEASURE in chosen
        lacks = {
            _("Say which column is the day"): DAY not in chosen,
            _("Say which column is the shift"): SHIFT not in chosen
            and (self.target != SHEET or TIME in chosen),
            _("A column of measures goes with a column of results"): long != (VALUE in chosen),
            _("Where one column names the measure, no other can be one"): long
            and bool(self.measures),
            _("Say of at least one column what it holds"): not long and not self.measures,
        }
        return next((words for words, so in lacks.items() if so), "")


_OTHERS = (DAY, SHIFT, TIME, PERSON, MEASURE, VALUE)


TITLES = {
    DAY: "Day",
    SHIFT: "Shift",
    PERSON: "Seen by",
    TIME: "Time of the sample",
    MEASURE: "Measure",
    VALUE: "Result",
}


def choices(target: str) -> dict[str, str]:
    """Return what a column may be, with its title in English: the names of forms and of events."""
    if target != SHEET:
        of_book = {field.name: field.title for field in BOOKS[target].fields}
        return {what: TITLES[what] for what in (DAY, SHIFT, PERSON)} | of_book
    return TITLES | {name: measure.title for name, measure in MEASURES.items()}


def word_for(what: str, target: str) -> str:
    """Return what a column is called on pages: its title, or its name where two share a title."""
    title = _(choices(target)[what])
    return title if called(title, target) == what else what


def heading_row(rows: Rows, target: str = SHEET) -> int:
    """Return the place of the row of headings: that of the first rows in which most are known."""
    known = [len(set(guess(texts, target).values())) for _number, texts in rows[:_HEADINGS_WITHIN]]
    return known.index(max(known)) if known else 0


def guess(headings: Sequence[str], target: str) -> dict[int, str]:
    """Return what columns are, as far as their headings say so in any language."""
    found: dict[int, str] = {}
    for place, heading in enumerate(headings):
        what = called(heading, target)
        if what and what not in found.values():
            found[place] = what
    return found


def called(words: str, target: str) -> str | None:
    """Return what goes by a name or title, in any language, with or without its unit."""
    names = _names(target)
    return names.get(_plain(words)) or names.get(_plain(_without_unit(words)))


def measure_called(words: str) -> str | None:
    """Return the measure that goes by a name or title."""
    what = called(words, SHEET)
    return what if what in MEASURES else None


def letter(place: int) -> str:
    """Return how a spreadsheet names a column by its place from 0: A, B … Z, AA."""
    first, last = divmod(place, _LETTERS)
    return (letter(first - 1) if first else "") + chr(ord("A") + last)


@cache
def _names(target: str) -> dict[str, str]:
    """Return by what headings each column may go; what two share says nothing."""
    found: dict[str, set[str]] = {}
    for what, called in _called(target):
        found.setdefault(_plain(called), set()).add(what)
    return {plain: whats.pop() for plain, whats in found.items() if plain and len(whats) == 1}


def _called(target: str) -> Iterator[tuple[str, str]]:
    units = {name: measure.unit for name, measure in MEASURES.items()}
    if target != SHEET:
        units = {field.name: field.unit for field in BOOKS[target].fields}
    for what, title in choices(target).items():
        yield what, what
        for language in LANGUAGES:
            with speaking(language):
                yield what, _(title)
                yield what, f"{_(title)} {_(units.get(what, ''))}"
    for language in LANGUAGES:
        with speaking(language):
            yield DAY, _("Date")
            yield VALUE, _("Value")
    yield VALUE, "typed"


def _without_unit(heading: str) -> str:
    """Return a heading without what stands in brackets at its end, or after its last comma."""
    bare = re.sub(r"\s*[(\[][^()\[\]]*[)\]]\s*$", "", heading)
    return bare if bare != heading else heading.rpartition(",")[0]


def _plain(words: str) -> str:
    """Return words without accents, capitals and signs, as they are compared."""
    parted = unicodedata.normalize("NFKD", words.casefold())
    return "".join(sign for sign in parted if sign.isalnum() or sign in "%°")


def day_orders(texts: Sequence[str]) -> set[str]:
    """Return the orders in which the days of a column may be written: several where none tells.

    A day whose year comes first is read in every order.
    """
    parts = [re.findall(r"\d+", text) for text in texts]
    days = [(int(p[0]), int(p[1])) for p in parts if len(p) >= 3 and len(p[0]) < 4]
    if not days:
        return {YEAR_FIRST}
    found = set()
    if all(second <= 12 for _first, second in days):
        found.add(DAY_FIRST)
    if all(first <= 12 for first, _second in days):
        found.add(MONTH_FIRST)
    return found
