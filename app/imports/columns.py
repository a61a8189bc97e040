"""What the columns of a table are: guessed by their headings, and laid on a sheet or a book."""

import re
import unicodedata
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache

from app.imports import units
from app.imports.days import YEAR_FIRST
from app.imports.files import Rows
from app.language import LANGUAGES, _, speaking
from app.plant.books import BOOKS
from app.plant.measures import MEASURES

SHEET = "sheet"  # what a table is laid on, where that is no book

DAY, SHIFT, TIME, PERSON, MEASURE, VALUE = "day", "shift", "time", "person", "measure", "value"

_HEADINGS_WITHIN = 20  # rows
_LETTERS = 26


@dataclass(frozen=True)
class Columns:
    """What each column of a table is, by its place from 0; those left out are not among them.

    `target` is the sheet or the name of a book; `order` how days are written; `shares` the columns
    of percent that hold shares of one; `unmeasured` the words that stand for not measured, as they
    are compared; `decimal` the decimal sign, where 1,250 may be read two ways.
    """

    target: str
    of: Mapping[int, str]
    order: str = YEAR_FIRST
    shares: frozenset[int] = frozenset()
    unmeasured: frozenset[str] = frozenset()
    decimal: str = ""

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
    """Return the place of the row of headings: that of the first rows in which most are known.

    Of two rows of headings it is the lower one, which is read together with the one above.
    """
    within = range(len(rows[:_HEADINGS_WITHIN]))
    known = [len(set(guess(headings_of(rows, place), target).values())) for place in within]
    if not known:
        return 0
    best = known.index(max(known))
    below = best + 1
    if below < len(known) and known[below] == known[best] and not _has_digits(rows[below][1]):
        return below
    return best


def headings_of(rows: Rows, place: int) -> list[str]:
    """Return the headings in a row, each behind that of the row above where both are headings.

    What stands above several columns is said of the first alone.
    """
    texts = rows[place][1]
    above = rows[place - 1][1] if place else []
    if sum(bool(text) for text in above) < 2 or _has_digits([*above, *texts]):
        return texts
    headings, over = [], ""
    for n in range(max(len(texts), len(above))):
        over = (above[n] if n < len(above) else "") or over
        headings.append(" ".join([over, texts[n] if n < len(texts) else ""]).strip())
    return headings


def _has_digits(texts: Sequence[str]) -> bool:
    return any(sign.isdecimal() for text in texts for sign in text)


def guess(headings: Sequence[str], target: str) -> dict[int, str]:
    """Return what columns are, as far as their headings say so in any language."""
    return recognised(headings, target)[0]


def recognised(
    headings: Sequence[str], target: str, known: Mapping[str, str] | None = None
) -> tuple[dict[int, str], dict[int, str]]:
    """Return what columns are, and of those that only seem to be something why they are not.

    `known` is what headings were said to be, blank for those that were left out.
    """
    known = known or {}
    of = {
        place: what
        for place, heading in enumerate(headings)
        if (what := known.get(heading, "")) in choices(target)
    }
    notes: dict[int, str] = {}
    for place, heading in enumerate(headings):
        if heading in known:
            continue
        what, unit = _seems(heading, target)
        if unit:
            own = _(_units(target).get(what, ""))
            notes[place] = _(
                "Its heading says {unit}; {title} is in {own}",
                unit=unit, title=word_for(what, target), own=own,
            )  # fmt: skip
        elif what and what in of.values():
            first = next(other for other, taken in of.items() if taken == what)
            notes[place] = _(
                "Column {letter} is {title} already",
                letter=letter(first), title=word_for(what, target),
            )  # fmt: skip
        elif what:
            of[place] = what
    return of, notes


def _seems(heading: str, target: str) -> tuple[str, str]:
    """Return what a heading says a column is, and its unit where that is another."""
    names = _names(target)
    if what := names.get(_plain(heading)):
        return what, ""
    for name, unit in units.parted(heading):
        what = names.get(_plain(name), "")
        own = _units(target).get(what, "")
        if what and not units.is_unit(unit):
            if not heading.endswith(f" {unit}"):  # a remark, in brackets or behind a comma
                return what, ""
        elif what:
            return what, "" if not own or units.alike(unit, own) else unit
    return "", ""


def unit_of(what: str, target: str) -> str:
    """Return the unit of what a column may be, as it is kept."""
    return _units(target).get(what, "")


def _units(target: str) -> Mapping[str, str]:
    if target != SHEET:
        return {field.name: field.unit for field in BOOKS[target].fields}
    return {name: measure.unit for name, measure in MEASURES.items()}


def called(words: str, target: str) -> str | None:
    """Return what goes by a name or title, in any language, with or without its unit."""
    names = _names(target)
    return names.get(_plain(words)) or names.get(_plain(_without_unit(words)))


def unmeasured_in(words: str) -> frozenset[str]:
    """Return the words, parted by commas or semicolons, that stand for not measured."""
    return frozenset(said.strip().casefold() for said in re.split("[,;]", words)) - {""}


def near(words: str, target: str) -> str:
    """Return the title of what is called most like some words; empty where nothing is."""
    names = _names(target)
    found = get_close_matches(_plain(words), names, n=1)
    return word_for(names[found[0]], target) if found else ""


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
    for what, title in choices(target).items():
        yield what, what
        for language in LANGUAGES:
            with speaking(language):
                yield what, _(title)
                yield what, f"{_(title)} {_(unit_of(what, target))}"
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
