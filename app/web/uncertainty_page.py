"""What the pages on uncertainty hold: all measures by station, or one with all its pairs."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime

from sqlalchemy import Connection

from app.language import _
from app.ledger import mills, uncertainty
from app.ledger.mills import Mill
from app.ledger.people import Person
from app.ledger.plan import plan_of
from app.ledger.uncertainty import Duplicate, Stated
from app.plant.calendar import Clock
from app.plant.measures import MEASURES, Measure
from app.reports.uncertainty import (
    LAST_PAIRS,
    Line,
    PairLine,
    Statement,
    by_station,
    history,
    in_force,
    is_sampled,
    line_of,
    lines_by_station,
    pair_line,
)

MAY_TEST = ("chemist", "chief chemist")
MAY_STATE = ("administrator",)

_FIELDS = {
    "measure": "Measure", "day": "Day", "first": "First result", "second": "Second result",
    "random": "Random", "systematic": "Systematic", "since": "Since", "source": "Source",
    "reason": "Why",
}  # fmt: skip


@dataclass(frozen=True)
class Book:
    """What is stated of the mill's measures, and their pairs, seen from a factory day."""

    mill: Mill
    day: date
    rows: list[Stated]
    pairs: list[Duplicate]
    in_use: frozenset[str]

    @property
    def measures(self) -> list[Measure]:
        """What the mill measures, and whatever else it has pairs or statements of."""
        known = self.in_use | {row.measure for row in self.rows}
        known |= {pair.measure for pair in self.pairs}
        return [measure for name, measure in MEASURES.items() if name in known]

    @property
    def choices(self) -> dict[str, Measure]:
        """What the mill can test twice, by name."""
        return {m.name: m for m in self.measures if m.name in self.in_use and is_sampled(m)}

    def line(self, measure: Measure) -> Line:
        """Return what holds of one measure, and what its pairs say."""
        return line_of(measure, self.rows, self.pairs, self.day)


@dataclass(frozen=True)
class Said:
    """What was done or was not: what was typed, and what is wrong with it, by field.

    `pair` is the one whose withdrawal it is about, if it is.
    """

    done: str = ""
    not_done: str = ""
    typed: Mapping[str, str] = field(default_factory=dict)
    wrong: Mapping[str, str] = field(default_factory=dict)
    pair: int = 0

    @property
    def problems(self) -> list[tuple[str, str]]:
        """What is wrong, in words, and the address of the field it is wrong in."""
        place = f"-{self.pair}" if self.pair else ""
        return [
            (f"{_(_FIELDS[name])}: {why}.", f"#{name}{place}") for name, why in self.wrong.items()
        ]


@dataclass(frozen=True)
class UncertaintyPage:
    """Every measure by station, the last pairs, and the form for one more."""

    stations: Mapping[str, list[Line]]
    sources: list[str]
    choices: Mapping[str, list[Measure]]
    pairs: list[PairLine]
    said: Said
    may_test: bool
    may_state: bool


@dataclass(frozen=True)
class MeasurePage:
    """One measure: all that was stated of it, and all its pairs."""

    line: Line
    statements: list[Statement]
    holds: Statement
    pairs: list[PairLine]
    clock: Clock
    said: Said
    may_test: bool
    may_state: bool

    @property
    def beyond(self) -> int:
        """How many pairs that count differ by more than was stated."""
        return sum(pair.beyond and pair.row.withdrawal is None for pair in self.pairs)


def book_of(connection: Connection, now: datetime) -> Book:
    """Return all that is known of the laboratory's uncertainties."""
    mill = mills.the_mill(connection)
    day, _ = mill.clock.shift_at(now)
    return Book(
        mill,
        day,
        uncertainty.stated(connection, mill),
        uncertainty.duplicates(connection, mill),
        frozenset(plan_of(connection, mill).on(day)),
    )


def uncertainty_page(book: Book, by: Person, said: Said) -> UncertaintyPage:
    """Return the page of every measure."""
    stations = lines_by_station(book.measures, book.rows, book.pairs, book.day)
    return UncertaintyPage(
        stations,
        list(dict.fromkeys(line.stated.source for here in stations.values() for line in here)),
        by_station(book.choices.values()),
        [pair_line(pair, book.rows) for pair in _newest_first(book.pairs)[:LAST_PAIRS]],
        said,
        by.role in MAY_TEST,
        by.role in MAY_STATE,
    )


def measure_page(book: Book, measure: Measure, by: Person, said: Said) -> MeasurePage:
    """Return the page of one measure."""
    statements = history(measure, book.rows)
    pairs = [pair for pair in book.pairs if pair.measure == measure.name]
    return MeasurePage(
        book.line(measure),
        statements,
        in_force(statements, book.day),
        [pair_line(pair, book.rows) for pair in _newest_first(pairs)],
        book.mill.clock,
        said,
        by.role in MAY_TEST,
        by.role in MAY_STATE,
    )


def _newest_first(pairs: list[Duplicate]) -> list[Duplicate]:
    return sorted(pairs, key=lambda pair: (pair.recorded_at, pair.id), reverse=True)
