"""What the pages say by which a table is brought in."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from functools import cached_property

from app.imports.bringing import Table
from app.imports.columns import (
    SHEET,
    called,
    choices,
    letter,
    unit_of,
    word_for,
)
from app.imports.days import DAY_FIRST, MONTH_FIRST, YEAR_FIRST
from app.ledger.imported import Imported
from app.ledger.importing import Fault
from app.plant.books import BOOKS
from app.plant.calendar import Clock
from app.plant.typed import both_readings, plain
from app.web.forms import WithProblems
from app.web.uploads import Upload

_ROWS_SHOWN, _FAULTS_SHOWN, _VALUES_SHOWN = 10, 200, 3

SHIFT_SHEET = "Shift sheet"
SHARE, PERCENT = "share", "percent"  # what a number of a column of percent is
ORDERS = {
    DAY_FIRST: "day first, 14/07/2026",
    MONTH_FIRST: "month first, 07/14/2026",
    YEAR_FIRST: "year first, 26/07/14",
}


DECIMALS = (",", ".")


@dataclass(frozen=True)
class ImportsPage(WithProblems):
    """What was brought in, and a form to bring in more.

    `waiting` is a file of the viewer that is not accepted yet, `back` how much was just taken back.
    """

    imports: Sequence[Imported]
    clock: Clock
    may_import: bool
    wrong: Mapping[str, str] = field(default_factory=dict)
    waiting: Upload | None = None
    back: str = ""

    def target(self, name: str) -> str:
        """Return what a table was laid on."""
        return target_title(name)


def target_title(name: str) -> str:
    """Return the sheet or a book in words."""
    return BOOKS[name].title if name in BOOKS else SHIFT_SHEET


@dataclass(frozen=True)
class UploadPage(WithProblems):
    """A table before it is written: its columns, and what checking it found.

    `typed` is what was said of each column, by its place, and `notes` why one was left blank that
    seems to be something; `known` tells that they are remembered. `asks` are the orders
    of which somebody must say in which days are written, `last_time` what was said before;
    `two_ways` are two of its days that are not written alike, `confirmed` what was said of that;
    `doubted` is a number of each column that may hold shares, `shares` what was said of each;
    `two_readings` a number like 1,250, and `decimal` the sign that was said to be the decimal one;
    `unmeasured` the words that were said to stand for not measured.
    """

    upload: Upload
    table: Table
    target: str
    typed: Mapping[int, str]
    order: str = ""
    known: bool = False
    asks: Sequence[str] = ()
    last_time: str = ""
    notes: Mapping[int, str] = field(default_factory=dict)
    two_ways: tuple[str, str] | None = None
    confirmed: bool = False
    doubted: Mapping[int, Decimal] = field(default_factory=dict)
    shares: Mapping[int, str] = field(default_factory=dict)
    two_readings: str = ""
    decimal: str = ""
    unmeasured: str = ""
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
    def choices(self) -> list[tuple[str, str]]:
        """What a column may be, in words, and its unit."""
        every = choices(self.target)
        return [(word_for(what, self.target), unit_of(what, self.target)) for what in every]

    def unit(self, place: int) -> str:
        """Return the unit of what a column was said to be."""
        return unit_of(called(self.typed.get(place, ""), self.target) or "", self.target)

    def may_mean(self, place: int) -> dict[str, str]:
        """Return what a number of a column that may hold shares can mean, in percent."""
        number = self.doubted[place]
        return {SHARE: f"{plain(100 * number)} %", PERCENT: f"{plain(number)} %"}

    @property
    def decimals(self) -> dict[str, str]:
        """What a number like 1,250 may mean, by the decimal sign of the table."""
        readings = both_readings(self.two_readings)
        if readings is None:
            return {}
        sign = "," if "," in self.two_readings else "."
        return {other: readings[other == sign] for other in DECIMALS}

    @property
    def targets(self) -> dict[str, str]:
        """What a table may be laid on, in words."""
        return {SHEET: target_title(SHEET)} | {name: book.title for name, book in BOOKS.items()}

    @property
    def orders(self) -> dict[str, str]:
        """How days may be written, where the table does not say."""
        return {name: ORDERS[name] for name in self.asks}

    @property
    def read_as(self) -> str:
        """How the days of the table were read, where it does not say itself."""
        return ORDERS.get(self.order, "") if self.asks else ""

    @property
    def as_last_time(self) -> str:
        """How the days of such a table were written the last time, where that is asked."""
        return ORDERS.get(self.last_time, "") if self.asks else ""

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
