"""The sheet of one shift: a cell for each measure that is taken on it, and what is owed."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal
from typing import Protocol

from app.plant.calendar import Clock
from app.plant.measures import DAY, MEASURES, SHIFT, Measure
from app.plant.typed import NUMBER, VOID
from app.plant.vessels import VESSELS
from app.reports.dates import moment
from app.reports.grid import Table, tables_of
from app.reports.numbers import printed


class Result(Protocol):
    """What stands in a cell, as the ledger keeps it."""

    @property
    def id(self) -> int: ...  # noqa: D102
    @property
    def state(self) -> str: ...  # noqa: D102
    @property
    def typed(self) -> str: ...  # noqa: D102
    @property
    def value(self) -> Decimal | None: ...  # noqa: D102
    @property
    def supersedes_id(self) -> int | None: ...  # noqa: D102
    @property
    def recorded_name(self) -> str: ...  # noqa: D102
    @property
    def recorded_at(self) -> datetime: ...  # noqa: D102


@dataclass(frozen=True)
class Trouble:
    """Why a cell was not saved, and what would save it: a reason, in a choice and in words."""

    message: str
    asks_reason: bool = False
    choice: str = ""
    words: str = ""
    theirs: str | None = None


@dataclass(frozen=True)
class Attempt:
    """What somebody typed that is not saved, and what stood in the way in that cell, if it did."""

    text: str
    trouble: Trouble | None = None


@dataclass(frozen=True)
class Cell:
    """One box of a sheet: its measure, what stands in it, and what was typed but not saved.

    A purity that follows from brix and pol, or a result from readings, is `derived`: no box.
    """

    measure: Measure
    result: Result | None = None
    outside: str = ""
    written: str = ""
    derived: str = ""
    attempt: Attempt | None = None
    saved: bool = False

    @property
    def label(self) -> str:
        """The name of the box, with its unit: "Mixed juice, brix, °Bx"."""
        unit = "" if self.measure.prop == "ph" else f", {self.measure.unit}"
        weight = ", weight" if self.measure.prop == "weight" else ""
        return f"{self.measure.title}{weight}{unit}"

    @property
    def text(self) -> str:
        """What the box says."""
        if self.attempt:
            return self.attempt.text
        return self.result.typed if self.result else ""

    @property
    def trouble(self) -> Trouble | None:
        """Why what it says is not saved, if it was refused."""
        return self.attempt.trouble if self.attempt else None

    @property
    def corrected(self) -> bool:
        """Whether something else stood here before."""
        return self.result is not None and self.result.supersedes_id is not None

    @property
    def filled(self) -> bool:
        """Whether a number or a named state stands here."""
        return bool(self.derived) or (self.result is not None and self.result.state != VOID)


@dataclass(frozen=True)
class Sheet:
    """The cells of a shift, and how far it is filled."""

    cells: Mapping[str, Cell]
    due: tuple[Cell, ...]

    @property
    def tables(self) -> tuple[Table, ...]:
        """The cells as a page lays them out."""
        return tables_of(self.cells.values())

    @property
    def missing(self) -> tuple[Cell, ...]:
        """The results that are due and not there."""
        return tuple(cell for cell in self.due if not cell.filled)

    @property
    def entered(self) -> int:
        """How many of the due results are there, as numbers."""
        return len(self.due) - len(self.missing) - len(self.named)

    @property
    def named(self) -> tuple[Cell, ...]:
        """The due results of which it is said why there is no number."""
        return tuple(
            cell
            for cell in self.due
            if not cell.derived and cell.result and cell.result.state not in (NUMBER, VOID)
        )

    @property
    def outside(self) -> tuple[Cell, ...]:
        """The results outside their usual range."""
        return tuple(cell for cell in self.cells.values() if cell.outside)


@dataclass(frozen=True)
class Filling:
    """What goes into the cells of a sheet.

    `usual` says on which side of its usual range a value lies; `attempts` is what was typed and
    not saved; `follows` what follows from readings, and
    `cannot_be` why something does not; `saved` names the measures saved just now.
    """

    clock: Clock
    results: Mapping[str, Result]
    usual: Callable[[str, Decimal], str]
    attempts: Mapping[str, Attempt] = field(default_factory=dict)
    follows: Mapping[str, float] = field(default_factory=dict)
    cannot_be: Mapping[str, str] = field(default_factory=dict)
    saved: frozenset[str] = frozenset()


def measures_of_shift(
    streams: Iterable[str], clock: Clock, day: date, number: int
) -> tuple[Measure, ...]:
    """Return what is taken on one shift: what is daily on its day's last, weekly on Sunday's."""
    in_use = {*streams, *VESSELS}
    last = number == clock.shifts_a_day
    taken = {SHIFT} | ({DAY} if last else set())
    everything = last and day.isoweekday() == 7
    return tuple(
        measure
        for measure in MEASURES.values()
        if measure.stream in in_use and (everything or measure.grain in taken)
    )


def sheet_of(measures: Iterable[Measure], filling: Filling) -> Sheet:
    """Return the sheet of a shift on which `measures` are taken."""
    cells = {measure.name: _cell(measure, filling) for measure in measures}
    due = tuple(cell for cell in cells.values() if _is_due(cell, filling.results))
    return Sheet(cells, due)


def _cell(measure: Measure, filling: Filling) -> Cell:
    name = measure.name
    result = filling.results.get(name)
    standing = result is not None and result.state != VOID
    return Cell(
        measure,
        result,
        outside=_outside(measure, result, filling),
        written=_written(result, filling.clock),
        derived="" if standing or name in filling.attempts else _derived(measure, filling),
        attempt=filling.attempts.get(name),
        saved=name in filling.saved,
    )


def _outside(measure: Measure, result: Result | None, filling: Filling) -> str:
    if result is not None and result.state != VOID:
        return "" if result.value is None else filling.usual(measure.name, result.value)
    if measure.name in filling.follows:
        return filling.usual(measure.name, Decimal(str(filling.follows[measure.name])))
    return filling.cannot_be.get(measure.name, "")


def _written(result: Result | None, clock: Clock) -> str:
    if result is None:
        return ""
    return f"{result.recorded_name}, {moment(result.recorded_at, clock)}"


def _derived(measure: Measure, filling: Filling) -> str:
    """Return what follows from readings, or the purity that brix and pol give, as printed."""
    if measure.name in filling.follows:
        return printed(filling.follows[measure.name], measure.decimals)
    if measure.prop != "purity":
        return ""
    brix, pol = (_value(f"{measure.stream}_{prop}", filling) for prop in ("brix", "pol"))
    return printed(100 * pol / brix, measure.decimals) if brix and pol is not None else ""


def _value(name: str, filling: Filling) -> Decimal | None:
    result = filling.results.get(name)
    if result is not None and result.state != VOID:
        return result.value
    follows = filling.follows.get(name)
    return None if follows is None else Decimal(str(follows))


def _is_due(cell: Cell, results: Mapping[str, Result]) -> bool:
    """Tell whether a cell is owed: not of a mill that stood still, nor of an empty vessel."""
    measure = cell.measure
    if not measure.due:
        return False
    carrier = "cane" if measure.carrier else f"{measure.stream}_volume"
    if carrier == measure.name:
        return True
    carried = results.get(carrier)
    return carried is None or carried.state != NUMBER or carried.value != 0
