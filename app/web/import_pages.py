"""What the pages say by which a table is brought in."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

from app.imports.bringing import Table
from app.imports.columns import DAY_FIRST, MONTH_FIRST, SHEET, choices, letter, word_for
from app.ledger.imported import Imported
from app.ledger.importing import Fault
from app.plant.books import BOOKS
from app.plant.calendar import Clock
from app.web.forms import WithProblems
from app.web.uploads import Upload

_ROWS_SHOWN, _FAULTS_SHOWN, _VALUES_SHOWN = 10, 200, 3

SHIFT_SHEET = "Shift sheet"
ORDERS = {DAY_FIRST: "day first, 14/07/2026", MONTH_FIRST: "month first, 07/14/2026"}


@dataclass(frozen=True)
class ImportsPage(WithProblems):
    """What was brought in, and a form to bring in more."""

    imports: Sequence[Imported]
    clock: Clock
    may_import: bool
    wrong: Mapping[str, str] = field(default_factory=dict)

    def target(self, name: str) -> str:
        """Return what a table was laid on."""
        return target_title(name)


def target_title(name: str) -> str:
    """Return the sheet or a book in words."""
    return BOOKS[name].title if name in BOOKS else SHIFT_SHEET


@dataclass(frozen=True)
class UploadPage(WithProblems):
    """A table before it is written: its columns, and what checking it found.

    `typed` is what was said of each column, by its place; `known` tells that it is remembered.
    """

    upload: Upload
    table: Table
    target: str
    typed: Mapping[int, str]
    order: str
    known: bool = False
    wrong: Mapping[str, str] = field(default_factory=dict)

    @cached_property
    def columns(self) -> list[tuple[int, str, str, str]]:
        """Of each column its place, letter, heading and first values."""
        rows = self.table.rows
        return [
            (place, letter(place), heading, _first_values(rows, place))
            for place, heading in enumerate(self.table.headings)
        ]

    @property
    def choices(self) -> list[str]:
        """What a column may be, in words."""
        return [word_for(what, self.target) for what in choices(self.target)]

    @property
    def targets(self) -> dict[str, str]:
        """What a table may be laid on, in words."""
        return {SHEET: target_title(SHEET)} | {name: book.title for name, book in BOOKS.items()}

    @property
    def orders(self) -> dict[str, str]:
        """How days may be written, where the table does not say."""
        return ORDERS if self.order or "order" in self.wrong else {}

    @property
    def heading_number(self) -> int:
        """The number of the row of headings."""
        return self.table.brought.sheets[self.table.sheet][self.table.heading][0]

    @property
    def rows(self) -> list[tuple[int, list[str]]]:
        """The first rows."""
        wide = len(self.table.headings)
        return [
            (number, [*texts, *([""] * (wide - len(texts)))])
            for number, texts in self.table.rows[:_ROWS_SHOWN]
        ]

    @property
    def faults(self) -> Sequence[Fault]:
        """What is wrong, as far as it is shown."""
        return self.upload.checked.faults[:_FAULTS_SHOWN] if self.upload.checked else []

    @property
    def faulty_rows(self) -> int:
        """How many rows cannot be brought in."""
        faults = self.upload.checked.faults if self.upload.checked else []
        return len({fault.row for fault in faults})

    @property
    def unusual(self) -> list[tuple[str, int]]:
        """How many new numbers of each measure or field are outside the usual range, most first."""
        counts = self.upload.checked.unusual.most_common() if self.upload.checked else []
        return [(word_for(name, self.target), count) for name, count in counts]


def _first_values(rows: Sequence[tuple[int, list[str]]], place: int) -> str:
    texts = (texts[place] for _number, texts in rows if place < len(texts) and texts[place])
    return " · ".join(text[:30] for text, _n in zip(texts, range(_VALUES_SHOWN), strict=False))
