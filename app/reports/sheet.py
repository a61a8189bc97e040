"""The sheet of one shift: a cell for each sample that is taken on it, and what is owed."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from decimal import Decimal
from functools import cached_property

from app.plant.books import GIVEN_BY
from app.plant.calendar import Clock
from app.plant.measures import DAY, SHIFT, Measure
from app.plant.samples import Place, made, mean, place_of, times
from app.plant.streams import STATIONS
from app.plant.typed import LEFT_OUT, NUMBER, VOID
from app.reports.cells import Attempt, Cell, Made, Result
from app.reports.dates import moment
from app.reports.grid import Table, tables_of
from app.reports.numbers import printed


@dataclass(frozen=True)
class Sheet:
    """The cells of a shift by the keys of their places, and how far it is filled.

    `made` has what the samples of a shift make, of each measure that has several.
    """

    cells: Mapping[str, Cell]
    due: tuple[Cell, ...]
    made: Mapping[str, Made] = field(default_factory=dict)

    @cached_property
    def tables(self) -> tuple[Table, ...]:
        """The cells as a page lays them out."""
        return tables_of(self.cells.values(), self.made)

    @property
    def stations(self) -> dict[str, str]:
        """The titles of the stations that have a cell, in the order of the factory."""
        found = {cell.measure.station for cell in self.cells.values()}
        return {station: title for station, title in STATIONS.items() if station in found}

    def tables_of_station(self, station: str) -> tuple[Table, ...]:
        """Return the cells of one station as a page lays them out."""
        own = [cell for cell in self.cells.values() if cell.measure.station == station]
        return tables_of(own, self.made)

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
    """What goes into the cells of a sheet, by the keys of their places.

    `bounds` are when the shift begins and ends; `attempts` is what was typed and not saved;
    `follows` what follows from readings, by measure, and `cannot_be` why something does not;
    `booked` what other books give, by measure;
    `saved` names what was saved just now; `before` is what may be carried over from the shift
    before, as typed.
    """

    clock: Clock
    bounds: tuple[datetime, datetime]
    results: Mapping[str, Result]
    attempts: Mapping[str, Attempt] = field(default_factory=dict)
    follows: Mapping[str, float] = field(default_factory=dict)
    cannot_be: Mapping[str, str] = field(default_factory=dict)
    saved: frozenset[str] = frozenset()
    before: Mapping[str, str] = field(default_factory=dict)
    booked: Mapping[str, float] = field(default_factory=dict)

    @cached_property
    def tests(self) -> Mapping[tuple[str, int], list[Result]]:
        """The tests of each sample in their order, those left out and emptied among them."""
        found: dict[tuple[str, int], list[Result]] = {}
        for place, test in sorted(
            ((place_of(key), test) for key, test in self.results.items()), key=lambda each: each[0]
        ):
            found.setdefault((place.measure, place.sample), []).append(test)
        return found


def measures_of_shift(
    measures: Iterable[Measure], clock: Clock, day: date, number: int
) -> tuple[Measure, ...]:
    """Return what is taken on one shift: what is daily on its day's last, weekly on Sunday's."""
    last = number == clock.shifts_a_day
    taken = {SHIFT} | ({DAY} if last else set())
    everything = last and day.isoweekday() == 7
    return tuple(measure for measure in measures if everything or measure.grain in taken)


def sheet_of(measures: Iterable[Measure], filling: Filling) -> Sheet:
    """Return the sheet of a shift on which `measures` are taken."""
    taken = list(measures)
    samples = {measure.name: _samples(measure, filling) for measure in taken}
    values = {
        m.name: value
        for m in taken
        if (value := made(m.rule, samples[m.name], len(_due(m, filling)))) is not None
    } | {**filling.booked, **filling.follows}
    cells = {cell.key: cell for measure in taken for cell in _cells(measure, filling, values)}
    due = tuple(cell for cell in cells.values() if _is_due(cell, filling))
    several = {
        m.name: Made(m, _printed(m, values), len(samples[m.name]), len(_due(m, filling)))
        for m in taken
        if m.every
    }
    return Sheet(cells, due, several)


def _due(measure: Measure, filling: Filling) -> list[datetime]:
    return times(*filling.bounds, measure.every)


def _samples(measure: Measure, filling: Filling) -> list[float]:
    """Return the numbers of the samples of a shift, each the mean of its tests that count."""
    numbers = range(1, len(_due(measure, filling)) + 1)
    found = (mean(_counted(Place(measure.name, n), filling)) for n in numbers)
    return [value for value in found if value is not None]


def _counted(place: Place, filling: Filling) -> list[float]:
    tests = filling.tests.get((place.measure, place.sample), [])
    return [float(test.value) for test in tests if test.value is not None]


def _printed(measure: Measure, values: Mapping[str, float]) -> str:
    return printed(values[measure.name], measure.decimals) if measure.name in values else ""


def _cells(measure: Measure, filling: Filling, values: Mapping[str, float]) -> list[Cell]:
    """Return the boxes of a measure: one, or one for each sample of the shift."""
    return [
        _cell(measure, Place(measure.name, n), at, filling, values)
        for n, at in enumerate(_due(measure, filling), start=1)
    ]


def _clock_time(at: datetime, filling: Filling) -> str:
    """Return the clock time of a sample; an hour that comes twice as clocks change has its zone."""
    local, hour = filling.clock.local(at), timedelta(hours=1)
    same = {f"{filling.clock.local(other):%H:%M}" for other in (at - hour, at + hour)}
    return f"{local:%H:%M %Z}" if f"{local:%H:%M}" in same else f"{local:%H:%M}"


def _cell(
    measure: Measure,
    place: Place,
    due_at: datetime,
    filling: Filling,
    values: Mapping[str, float],
) -> Cell:
    key, tests = place.key, filling.tests.get((place.measure, place.sample), [])
    found = next((test for test in tests if _stands(test)), filling.results.get(key))
    counted = _counted(place, filling)
    standing = found is not None and found.state != VOID
    single = len(tests) < 2
    outside, side = _outside(measure, found, filling)
    derived = None if standing or key in filling.attempts else _derived(measure, filling, values)
    if not single:
        derived = mean(counted)
    return Cell(
        measure,
        place,
        due_at,
        at=_clock_time(due_at, filling) if measure.every else "",
        tests=(1, 1) if single else (len(counted), len(tests)),
        result=filling.results.get(key),
        outside=outside,
        side=side,
        written=_written(found, filling.clock),
        derived=printed(derived, measure.decimals),
        number=derived if derived is not None or not standing else _number(found),
        attempt=filling.attempts.get(key),
        saved=key in filling.saved,
        before=filling.before.get(key, ""),
        book=_book(measure, filling) if derived is not None else "",
    )


def _number(found: Result | None) -> float | None:
    return None if found is None or found.value is None else float(found.value)


def _book(measure: Measure, filling: Filling) -> str:
    return GIVEN_BY[measure.name].name if measure.name in filling.booked else ""


def _stands(found: Result) -> bool:
    return found.state not in (VOID, LEFT_OUT)


def _outside(measure: Measure, found: Result | None, filling: Filling) -> tuple[str, int]:
    """Say what is unusual of a cell, and whether it lies above, 1, or below, -1."""
    value: Decimal | float | None = None
    if found is not None and found.state != VOID:
        value = found.value
        if value is None:
            return "", 0
    elif not measure.every:
        value = filling.follows.get(measure.name, filling.booked.get(measure.name))
    if value is None:
        return filling.cannot_be.get(measure.name, ""), 0
    return measure.side(value), measure.direction(value)


def _written(found: Result | None, clock: Clock) -> str:
    if found is None:
        return ""
    return f"{found.recorded_name}, {moment(found.recorded_at, clock)}"


def _derived(measure: Measure, filling: Filling, values: Mapping[str, float]) -> float | None:
    """Return what follows from readings or other books, or the purity that brix and pol give."""
    if measure.every:
        return None
    for given in (filling.follows, filling.booked):
        if measure.name in given:
            return given[measure.name]
    if measure.prop != "purity":
        return None
    brix, pol = (values.get(f"{measure.stream}_{prop}") for prop in ("brix", "pol"))
    return 100 * pol / brix if brix and pol is not None else None


def _is_due(cell: Cell, filling: Filling) -> bool:
    """Tell whether a cell is owed: not of a mill that stood still, nor of an empty vessel."""
    measure = cell.measure
    if not measure.due:
        return False
    carrier = "cane" if measure.carrier else f"{measure.stream}_volume"
    if carrier == measure.name:
        return True
    carried = filling.results.get(carrier)
    if carried is None and carrier in filling.booked:
        return filling.booked[carrier] != 0
    return carried is None or carried.state != NUMBER or carried.value != 0
