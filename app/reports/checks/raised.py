"""The checks that a sheet raises: what each found, and which cells it concerns."""

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date

from app.chemistry.validity import OutOfRange
from app.figures.declare import ENTERED, FIGURES
from app.figures.sheets import Period
from app.figures.sources import DEFINITION
from app.language import _, ngettext
from app.plant.grains import DAY, SHIFT, WEEK
from app.plant.measures import MEASURES
from app.plant.samples import place_of
from app.reports.cells import Cell, Result
from app.reports.checks.compared import compared
from app.reports.checks.declare import COMPARISONS, Band, Check, Comparison
from app.reports.checks.filled import Filled
from app.reports.checks.single import (
    OF_ONE_RESULT,
    OF_ONE_SAMPLE,
    OF_SAMPLES,
    SAME_AGAIN,
    Judged,
    Shown,
    repeated,
)
from app.reports.season_books import SeasonBooks
from app.reports.sheet import Sheet

_FIGURES = {
    grain: frozenset(
        name
        for comparison in COMPARISONS
        if comparison.check.grain == grain
        for name in comparison.inputs
        if name in FIGURES
    )
    for grain in (SHIFT, DAY, WEEK)
}
AT_MOST = 3  # samples alike that are told with what was found of each
FIGURES_ASKED = frozenset().union(*_FIGURES.values())


def grains_of(day: date, number: int, shifts_a_day: int) -> tuple[str, ...]:
    """Return what the sheet of a shift ends: a shift, and with it a day, and a week."""
    if number < shifts_a_day:
        return (SHIFT,)
    return (SHIFT, DAY, WEEK) if day.isoweekday() == 7 else (SHIFT, DAY)


def figures_asked(day: date, number: int, shifts_a_day: int) -> frozenset[str]:
    """Return the figures that checks of a sheet take."""
    return frozenset().union(*(_FIGURES[g] for g in grains_of(day, number, shifts_a_day)))


def periods_of(books: SeasonBooks, shift: tuple[date, int], shifts_a_day: int) -> dict[str, Period]:
    """Return the shift, day and week that the sheet of a shift ends; none without a sheet."""
    day, number = shift
    period = books.shift(day, number)
    if period is None:
        return {}
    periods = {SHIFT: period, DAY: books.day(day), WEEK: books.week_to(day)}
    return {grain: periods[grain] for grain in grains_of(day, number, shifts_a_day)}


@dataclass(frozen=True)
class Concerned:
    """A cell that a check is about: its key, what it is, and what stands there."""

    key: str
    title: str
    text: str


@dataclass(frozen=True)
class Raised:
    """A check that a sheet raises: what it found, how large that is, and which cells it concerns.

    `entries` are those of this sheet that it is about; where it looks at a day or week, those of
    `measures` on its other sheets count as well. `which` tells one of several of the same check
    apart, as failed checks of instruments.
    """

    check: Check
    words: str
    size: float
    cells: tuple[Concerned, ...]
    entries: tuple[int, ...]
    measures: tuple[str, ...] = ()
    which: str = ""

    @property
    def rule(self) -> str:
        """What an answer to it answers."""
        return f"{self.check.name}:{self.which}" if self.which else self.check.name

    @property
    def name(self) -> str:
        """How a form names it: the check and the first cell that it concerns."""
        return f"{self.rule}:{self.cells[0].key}"

    @property
    def rank(self) -> tuple[bool, float]:
        """Where it comes among others: what cannot be by definition, then what is largest."""
        return self.check.source is not DEFINITION, -self.size


def raised_on(
    sheet: Sheet,
    standing: Mapping[str, Result],
    books: SeasonBooks,
    shift: tuple[date, int],
    shifts_a_day: int,
) -> tuple[Raised, ...]:
    """Return what the sheet of a shift raises, largest first.

    `books` reach back as far as results are held against those before them. A check that lacks an
    input says nothing; one that the mill has switched off is not asked.
    """
    day, number = shift
    period = books.shift(day, number)
    if period is None:
        return ()
    books.need(figures_asked(day, number, shifts_a_day))
    filled = Filled(sheet, standing, books, period.first)
    found = [*_of_results(filled), *_of_repeats(filled)]
    for grain, ended in periods_of(books, shift, shifts_a_day).items():
        found += _of_figures(filled, grain, ended)
    asked = (raised for raised in found if not books.plan.is_off(raised.check.name, day))
    return tuple(sorted(asked, key=lambda raised: raised.rank))


def _of_results(filled: Filled) -> Iterator[Raised]:
    """Yield what single results raise: one check at most for each, one for samples alike."""
    for cells in filled.cells.values():
        measure = cells[0].measure
        if not filled.comparable(measure):
            continue
        found = []
        if measure.every:
            found = _alike(_of_one(filled, cell, [], OF_ONE_SAMPLE) for cell in cells)
        if not found:
            judged = OF_SAMPLES if measure.every else OF_ONE_RESULT
            found = _alike([_of_one(filled, cells[0], filled.before(measure), judged)])
        yield from found


def _alike(found: Iterable[Raised | None]) -> list[Raised]:
    """Return what samples of one measure raise: as one where it is the same, the largest first."""
    by_check: dict[str, list[Raised]] = {}
    for raised in sorted(filter(None, found), key=lambda raised: -raised.size):
        by_check.setdefault(raised.check.name, []).append(raised)
    return [_together(*alike) for alike in by_check.values()]


def _together(largest: Raised, *others: Raised) -> Raised:
    """Return one that names all samples of some that are the same check of one measure."""
    if not others:
        return largest
    of_measure = f"{_(MEASURES[place_of(largest.cells[0].key).measure].title)}, "
    cells = [cell for each in others for cell in each.cells]
    later = [replace(cell, title=cell.title.removeprefix(of_measure)) for cell in cells]
    said = [
        largest.words,
        *(f"{cell.title}: {o.words}" for cell, o in zip(later, others, strict=True)),
    ]
    many = len(said) - AT_MOST
    more = [ngettext("and {count} more", "and {count} more", many)] if many > 0 else []
    return replace(
        largest,
        words="; ".join(said[:AT_MOST] + more),
        cells=(*largest.cells, *later),
        entries=tuple(sorted({*largest.entries, *(e for each in others for e in each.entries)})),
    )


def _of_one(
    filled: Filled, cell: Cell, before: list[float], judged: tuple[Judged, ...]
) -> Raised | None:
    whole = judged is OF_SAMPLES
    value = filled.result(cell.measure) if whole else filled.number(cell)
    if value is None:
        return None
    shown = Shown(cell.measure, value, before)
    for check, judge in judged:
        if found := judge(shown):
            about = filled.cells[cell.measure.name] if whole else [cell]
            entries = {entry for each in about for entry in filled.entries_of(each)}
            cells = told(_numbered(filled, about))
            if cells:
                return Raised(check, found.words, found.size, cells, tuple(sorted(entries)))
    return None


def _of_repeats(filled: Filled) -> Iterator[Raised]:
    streams: dict[str, dict[str, Shown]] = {}
    for name, (cell, *others) in filled.cells.items():
        measure, value = cell.measure, filled.number(cell)
        if measure.carrier and not others and value is not None:
            shown = Shown(measure, value, filled.before(measure))
            streams.setdefault(measure.stream, {})[name] = shown
    for analyses in streams.values():
        same = repeated(analyses)
        if same:
            words = ", ".join(analyses[name].text for name in same)
            cells = [cell for name in same for cell in filled.cells[name]]
            yield Raised(SAME_AGAIN, words, 0.5, told(cells), filled.entries(same))


def _of_figures(filled: Filled, grain: str, period: Period) -> Iterator[Raised]:
    """Yield what figures of a period, held against each other, raise."""
    result = filled.books.over(period)
    for comparison in COMPARISONS:
        if comparison.check.grain != grain:
            continue
        samples = _samples(filled, comparison)
        for cells in samples:
            numbers = [filled.number(cell) for cell in cells]
            values = [math.nan if number is None else number for number in numbers]
            yield from _of_values(filled, comparison, values, cells)
        if not samples:
            values = [_input(filled, name, result.values) for name in comparison.inputs]
            about = [cell for name in comparison.concerns for cell in filled.cells.get(name, ())]
            yield from _of_values(filled, comparison, values, about)


def _samples(filled: Filled, comparison: Comparison) -> list[tuple[Cell, ...]]:
    """Return the cells of each sample that is compared for itself; none where the shift is."""
    cells = [filled.cells.get(name.removeprefix(ENTERED), []) for name in comparison.inputs]
    of_one_time = len({len(of_measure) for of_measure in cells}) == 1 and len(cells[0]) > 1
    return list(zip(*cells, strict=True)) if comparison.of_samples and of_one_time else []


def _of_values(
    filled: Filled, comparison: Comparison, values: list[float], about: Iterable[Cell]
) -> Iterator[Raised]:
    if not all(map(math.isfinite, values)) or _rests_on_too_much_pol(comparison, values):
        return
    band, cells = _band(comparison, values), _numbered(filled, about)
    if band is None or not math.isfinite(band.value) or band.within or not cells:
        return
    entries = {entry for cell in cells for entry in filled.entries_of(cell)}
    of_others = () if comparison.check.grain == SHIFT else comparison.concerns
    yield Raised(
        comparison.check, compared(comparison, values, band), band.size, told(cells),
        tuple(sorted(entries)), of_others,
    )  # fmt: skip


def _band(comparison: Comparison, values: list[float]) -> Band | None:
    """Return what a comparison finds; nothing where it is of nothing, as of a mill that stood."""
    try:
        return comparison.function(*values)
    except (ZeroDivisionError, OutOfRange):
        return None


def _rests_on_too_much_pol(comparison: Comparison, values: list[float]) -> bool:
    """Tell whether a purity is over 100: that is asked of its own brix and pol, and once."""
    pairs = zip(comparison.inputs, values, strict=True)
    return any(name.endswith("_purity") and value > 100 for name, value in pairs)


def _input(filled: Filled, name: str, values: Mapping[str, object]) -> float:
    measure = name.removeprefix(ENTERED)
    if measure != name:
        return float(filled.books.books.entered[measure][filled.row])
    if name in FIGURES:
        return float(values[name][0])  # type: ignore[index]
    return float(filled.books.books.sheets.conventions[name][filled.row])


def _numbered(filled: Filled, cells: Iterable[Cell]) -> list[Cell]:
    """Return those cells that have a number, or something it follows from."""
    return [cell for cell in cells if filled.number(cell) is not None]


def told(cells: Iterable[Cell]) -> tuple[Concerned, ...]:
    """Return cells as a check names them; of a measure's later samples, the time is enough."""
    told: dict[str, Concerned] = {}
    named = set()
    for cell in cells:
        text = cell.derived or (cell.result.typed.strip() if cell.result else "")
        title = cell.at if cell.measure.name in named else cell.title
        named.add(cell.measure.name)
        told[cell.key] = Concerned(cell.key, title, text)
    return tuple(told.values())
