"""How sure the laboratory is of each measure, as pages say it."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Protocol

from app.figures.duplicates import Repeatability, beyond_limit, repeated
from app.figures.uncertainties import STATED, default_uncertainty
from app.plant.measures import MEASURES, Measure
from app.plant.streams import STATIONS
from app.reports.numbers import COVERAGE_FACTOR, printed
from app.reports.sources import source_words

OF_VALUE = "% of value"
THE_MILL, GUESS = "the mill", "a stated guess"
LAST_PAIRS = 30
LARGEST_SHARE = 100  # % of the value that may be stated
# weighed, counted or gauged of a whole shift: there is no sample to test twice
_NOT_SAMPLED = ("weight", "hours", "volume")


class StatedRow(Protocol):
    """What the mill says of a measure from a day on, as the ledger keeps it."""

    @property
    def measure(self) -> str: ...  # noqa: D102
    @property
    def random(self) -> float: ...  # noqa: D102
    @property
    def systematic(self) -> float: ...  # noqa: D102
    @property
    def relative(self) -> bool: ...  # noqa: D102
    @property
    def since(self) -> date: ...  # noqa: D102
    @property
    def source(self) -> str: ...  # noqa: D102
    @property
    def recorded_name(self) -> str: ...  # noqa: D102
    @property
    def recorded_at(self) -> datetime: ...  # noqa: D102


class Withdrawn(Protocol):
    """Why a pair counts no more."""

    @property
    def reason(self) -> str: ...  # noqa: D102
    @property
    def recorded_name(self) -> str: ...  # noqa: D102
    @property
    def recorded_at(self) -> datetime: ...  # noqa: D102


class PairRow(Protocol):
    """Two results of one sample, as the ledger keeps them."""

    @property
    def id(self) -> int: ...  # noqa: D102
    @property
    def measure(self) -> str: ...  # noqa: D102
    @property
    def day(self) -> date: ...  # noqa: D102
    @property
    def first(self) -> str: ...  # noqa: D102
    @property
    def second(self) -> str: ...  # noqa: D102
    @property
    def values(self) -> tuple[Decimal, Decimal]: ...  # noqa: D102
    @property
    def recorded_name(self) -> str: ...  # noqa: D102
    @property
    def recorded_at(self) -> datetime: ...  # noqa: D102
    @property
    def withdrawal(self) -> Withdrawn | None: ...  # noqa: D102


@dataclass(frozen=True)
class Statement:
    """Standard uncertainties of one result, said by whom and since when; None: from the start.

    `mark` says how surely its source is known, that it is a guess, or that the mill is its source.
    """

    random: float
    systematic: float
    relative: bool
    unit: str
    source: str
    mark: str
    since: date | None = None
    recorded_name: str = ""
    recorded_at: datetime | None = None

    @property
    def parts(self) -> tuple[str, str]:
        """Random and systematic, as printed."""
        return _stated_digits(self.random), _stated_digits(self.systematic)

    @property
    def of_one_result(self) -> str:
        """Twice both parts together, "± 0.14"."""
        together = COVERAGE_FACTOR * math.hypot(self.random, self.systematic)
        return f"±\u00a0{two_digits(together)}"


@dataclass(frozen=True)
class Line:
    """A measure: what holds of it today, and what its pairs say."""

    measure: Measure
    stated: Statement
    pairs: int
    own: Repeatability | None

    @property
    def repeatability(self) -> str:
        """The standard deviation of one result by the pairs, as printed."""
        return two_digits(self.own.standard) if self.own else ""

    @property
    def limit(self) -> str:
        """What two results of one sample differ by at most, in 95 pairs of 100."""
        return two_digits(self.own.limit) if self.own else ""

    @property
    def unsure(self) -> str:
        """Twice the uncertainty of that, in % of it."""
        return f"±\u00a0{printed(COVERAGE_FACTOR * self.own.unsure, 0)}" if self.own else ""

    @property
    def too_wide(self) -> bool:
        """Whether the pairs say more than may be stated: over 100 % of the value.

        In the unit of the measure they cannot: no pair differs by more than its whole range.
        """
        return bool(self.own and self.stated.relative and self.own.standard > LARGEST_SHARE)

    @property
    def offered(self) -> bool:
        """Whether the pairs may stand for the random part, and do not already."""
        own = self.own
        if own is None or not own.usable or self.too_wide:
            return False
        return not math.isclose(own.standard, self.stated.random)

    @property
    def own_source(self) -> str:
        """What a statement by the pairs names as its source."""
        return f"own duplicates, {self.own.pairs if self.own else 0} pairs"


@dataclass(frozen=True)
class PairLine:
    """A pair as a page lists it; `beyond` where it differs more than was stated for its day."""

    row: PairRow
    measure: Measure
    difference: str
    beyond: bool


def two_digits(value: float) -> str:
    """Return an uncertainty at two digits, as is usual; 0 or more."""
    return printed(value, max(0, 1 - math.floor(math.log10(value)))) if value else "0"


def _stated_digits(value: float) -> str:
    """Return at most two digits: 0.05 where nobody said 0.050."""
    text = two_digits(value)
    return text.rstrip("0").rstrip(".") if "." in text else text


def is_sampled(measure: Measure) -> bool:
    """Tell whether a sample of it can be tested twice: not of what is weighed or counted."""
    return measure.prop not in _NOT_SAMPLED


def by_station(measures: Iterable[Measure]) -> dict[str, list[Measure]]:
    """Return measures under the titles of their stations, in the order cane passes them."""
    found: dict[str, list[Measure]] = {title: [] for title in STATIONS.values()}
    for measure in measures:
        found[STATIONS[measure.station]].append(measure)
    return {title: here for title, here in found.items() if here}


def history(measure: Measure, rows: Iterable[StatedRow]) -> list[Statement]:
    """Return what held of a measure: the default, then what the mill stated, earliest first."""
    default = default_uncertainty(measure.name)
    source = default.source
    first = Statement(
        default.random, default.systematic, default.relative, _unit(measure, default.relative),
        source_words(source), GUESS if source == STATED else source.mark,
    )  # fmt: skip
    return [first] + [
        Statement(
            row.random, row.systematic, row.relative, _unit(measure, row.relative), row.source,
            THE_MILL, row.since, row.recorded_name, row.recorded_at,
        )
        for row in rows
        if row.measure == measure.name
    ]  # fmt: skip


def _unit(measure: Measure, relative: bool) -> str:
    return OF_VALUE if relative else measure.unit


def in_force(statements: Sequence[Statement], day: date) -> Statement:
    """Return the statement that holds on `day`: the last of those that have begun."""
    return [s for s in statements if s.since is None or s.since <= day][-1]


def line_of(
    measure: Measure, rows: Iterable[StatedRow], pairs: Iterable[PairRow], day: date
) -> Line:
    """Return what holds of a measure on `day`, and what those of `pairs` that count say of it."""
    holds = in_force(history(measure, rows), day)
    counted = [
        (float(first), float(second))
        for pair in pairs
        if pair.measure == measure.name and pair.withdrawal is None
        for first, second in [pair.values]
    ]
    return Line(measure, holds, len(counted), repeated(counted, relative=holds.relative))


def lines_by_station(
    measures: Iterable[Measure], rows: Sequence[StatedRow], pairs: Sequence[PairRow], day: date
) -> dict[str, list[Line]]:
    """Return a line for each of `measures`, by station."""
    of: dict[str, list[PairRow]] = {}
    for pair in pairs:
        of.setdefault(pair.measure, []).append(pair)
    return {
        title: [line_of(measure, rows, of.get(measure.name, []), day) for measure in here]
        for title, here in by_station(measures).items()
    }


def pair_line(pair: PairRow, rows: Iterable[StatedRow]) -> PairLine:
    """Return a pair as a page lists it."""
    measure = MEASURES[pair.measure]
    first, second = pair.values
    difference = abs(first - second)
    held = in_force(history(measure, rows), pair.day)
    return PairLine(
        pair,
        measure,
        printed(difference, max(0, -int(difference.as_tuple().exponent))),
        beyond_limit((float(first), float(second)), held.random, relative=held.relative),
    )
