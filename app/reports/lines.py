"""Lines of a report: a figure across several periods, with its target and what lacks."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from app.figures import CONVENTIONS, FIGURES
from app.figures.periods import Result
from app.language import _, ngettext
from app.plant.measures import MEASURES
from app.reports.numbers import COVERAGE_FACTOR, analysed_words, plain, printed
from app.reports.season_books import SeasonBooks

# Whether more or less is better; a figure that is not here has no better side.
MORE_IS_BETTER = frozenset({
    "pol_extraction", "reduced_extraction", "brix_extraction", "boiling_house_recovery",
    "overall_recovery", "boiling_house_efficiency", "time_efficiency", "crushing_rate", "cane",
    "sugar_on_cane", "a_massecuite_exhaustion", "b_massecuite_exhaustion",
    "c_massecuite_exhaustion", "reduced_boiling_house_recovery", "reduced_overall_recovery",
})  # fmt: skip
LESS_IS_BETTER = frozenset({
    "bagasse_loss", "filter_cake_loss", "final_molasses_loss",
    "lost_absolute_juice", "milling_loss", "final_molasses_purity", "target_purity_difference",
    "cane_per_sugar", "safety_factor",
})  # fmt: skip

# Shares of a whole: outside 0 to 100 something that was entered cannot be.
SHARES = frozenset({
    "pol_extraction", "brix_extraction", "cane_fibre", "cane_pol", "cane_brix", "bagasse_fibre",
    "bagasse_on_cane", "evaporation_on_clear_juice", "time_efficiency", "bagasse_loss",
    "filter_cake_loss", "final_molasses_loss", "overall_recovery",
})  # fmt: skip
# a difference, and what grows or shrinks, may have either sign
BEGINNINGS_OF_DIFFERENCES = "change_of_", "undetermined_"
ENDS_OF_DIFFERENCES = (
    "_difference", "_growth", "refinery_undetermined_pol", "reducing_sugars_made",
)  # fmt: skip
NOT_ANALYSED, NOTHING = "not analysed", "nothing to divide by"


@dataclass(frozen=True)
class Cell:
    """One printed number: its text, its exact value, what lacks where there is none, coverage.

    Where less was analysed than the mill asks for, nothing is estimated: what was analysed
    `stands` for all of the period.
    """

    text: str
    value: float | None
    missing: str = ""
    coverage: str = ""
    stands: bool = False


@dataclass(frozen=True)
class Line:
    """A figure or a measure across periods, its target as printed, and a verdict on the first.

    One that is `impossible` has a value that cannot be, however unsure its measuring is.
    """

    name: str
    title: str
    unit: str
    cells: tuple[Cell, ...]
    target: str = ""
    verdict: str = ""
    impossible: bool = False

    @property
    def opens(self) -> bool:
        """Whether it is a figure, which opens to its formula."""
        return self.name in FIGURES


@dataclass(frozen=True)
class Section:
    """Lines under one heading."""

    title: str
    lines: tuple[Line, ...]


def line(
    name: str, result: Result, books: SeasonBooks, targets: Mapping[str, float] | None = None
) -> Line:
    """Return the line of figure `name` over the periods of `result`."""
    figure = FIGURES[name]
    cells = tuple(cell(name, result, index, books) for index in range(len(result.periods)))
    target = (targets or {}).get(name)
    return Line(
        name, figure.title, figure.unit, cells,
        printed(target, figure.decimals),
        _verdict(name, cells[0].value, target, figure.decimals),
        any(_cannot_be(name, each.value, result, n) for n, each in enumerate(cells)),
    )  # fmt: skip


def _cannot_be(name: str, value: float | None, result: Result, index: int) -> bool:
    """Tell a share outside 0 to 100, or less than nothing, that measuring alone cannot explain."""
    weighed = FIGURES[name].unit in ("t", "t/h", "% fibre")
    if value is None or not (name in SHARES or weighed):
        return False
    beyond = value - 100 if name in SHARES and value > 100 else -value
    differs = name.startswith(BEGINNINGS_OF_DIFFERENCES) or name.endswith(ENDS_OF_DIFFERENCES)
    if beyond <= 0 or (value < 0 and differs):
        return False
    standard = result.certainty.standard(name, index)
    return not beyond <= COVERAGE_FACTOR * standard  # where none is stated, it cannot be


def mean_lines(names: Sequence[str], result: Result, books: SeasonBooks) -> tuple[Line, ...]:
    """Return a line for each analysis of `names`: its mean by the weight that carries it.

    Where a figure of that name is the mean, the line prints the figure that it opens.
    """
    means = books.books.means(result.periods)
    return tuple(
        Line(
            name, MEASURES[name].title, MEASURES[name].unit,
            tuple(
                _mean(name, float(means[name][index]), result, index, books)
                for index in range(len(result.periods))
            ),
        )
        for name in names
    )  # fmt: skip


def _mean(name: str, value: float, result: Result, index: int, books: SeasonBooks) -> Cell:
    period = result.periods[index]
    states = {books.states.get((row, name)) for row in range(period.first, period.last)}
    state = states.pop() if len(states) == 1 else None
    if name in FIGURES and not state:
        return cell(name, result, index, books)
    if math.isfinite(value):
        return Cell(printed(value, MEASURES[name].decimals), value)
    return Cell("", None, _(state or NOT_ANALYSED))


def cell(name: str, result: Result, index: int, books: SeasonBooks) -> Cell:
    """Return one figure of one period as a page prints it."""
    value = float(result.values[name][index])
    if not math.isfinite(value):
        return Cell("", None, _missing(name, result, index, books))
    coverage = float(result.coverage[name][index])
    share = analysed_words(coverage) if coverage != 1 else ""
    stands = coverage * 100 < float(result.conventions["coverage_needed"][index])
    return Cell(printed(value, FIGURES[name].decimals), value, coverage=share, stands=stands)


def _missing(name: str, result: Result, index: int, books: SeasonBooks) -> str:
    """In a period of one shift, that shift goes without saying."""
    period = result.periods[index]
    said = period.first if period.last - period.first == 1 else None
    lacks = lacking_words(result.missing(name, index), books, said=said)
    if not lacks:
        return _(NOTHING)
    if result.withheld(name, index):
        return _("withheld, too little analysed: {lacks}", lacks=lacks)
    return _("needs {lacks}", lacks=lacks)


def title_of(name: str) -> str:
    """Return what pages call a measure, a figure or a convention."""
    for known in (MEASURES, FIGURES, CONVENTIONS):
        if name in known:
            return str(known[name].title)
    return name.replace("_", " ")


def measure_title(name: str) -> str:
    """Return how a page names a measure, or an opening level of stock."""
    if name in MEASURES:
        title = _(MEASURES[name].title)
    elif name in FIGURES:
        title = _(FIGURES[name].title)
    elif name.startswith("opening_"):
        level = FIGURES[name.removeprefix("opening_")]
        title = _("opening {level}", level=_(level.title))
    else:
        title = name.replace("_", " ")
    return title[0].lower() + title[1:] if title[1:2].islower() else title


def missing_words(missing: Mapping[str, Sequence[int]], books: SeasonBooks) -> str:
    """Return "needs bagasse, moisture (shift 2 of 14 Jul) and 3 more", or why there is nothing."""
    lacks = lacking_words(missing, books)
    return _("needs {lacks}", lacks=lacks) if lacks else _(NOTHING)


def lacking_words(
    missing: Mapping[str, Sequence[int]], books: SeasonBooks, *, said: int | None = None
) -> str:
    """Return "bagasse, moisture (shift 2 of 14 Jul) and 3 more"; empty where nothing lacks.

    The row `said` is known already and is not named again.
    """
    if not missing:
        return ""
    name, rows = next(iter(missing.items()))
    stock = all(MEASURES[n].station == "stock" for n in missing if n in MEASURES)
    if stock and len(missing) > 2 and next(iter(missing)) in MEASURES:
        return _("the stock-taking of {shift}", shift=books.shift_words(rows[-1]))
    lacks = measure_title(name)
    if len(rows) > 1:
        lacks = ngettext(
            "{lacks} ({count} shift)", "{lacks} ({count} shifts)", len(rows), lacks=lacks
        )
    elif rows and rows[0] != said:
        lacks = f"{lacks} ({books.shift_words(rows[0])})"
    if len(missing) == 1:
        return lacks
    return ngettext(
        "{lacks} and {count} more", "{lacks} and {count} more", len(missing) - 1, lacks=lacks
    )


def _verdict(name: str, value: float | None, target: float | None, decimals: int) -> str:
    if value is None or target is None:
        return ""
    if name == "undetermined_loss" and value < 0:
        return _("below zero: a fault of measuring")
    difference = value - target
    if not float(plain(abs(difference), decimals)):
        return _("on target")
    words = printed(abs(difference), decimals)
    words = (
        _("{number} above", number=words) if difference > 0 else _("{number} below", number=words)
    )
    better = (name in MORE_IS_BETTER and difference > 0) or (
        name in LESS_IS_BETTER and difference < 0
    )
    mark = "✓" if better else "✗" if name in MORE_IS_BETTER | LESS_IS_BETTER else ""
    return f"{mark} {words}".strip()


def sections(
    plan: Mapping[str, Sequence[str]],
    result: Result,
    books: SeasonBooks,
    targets: Mapping[str, float] | None = None,
) -> tuple[Section, ...]:
    """Return the sections of a report, each figure of `plan` a line."""
    return tuple(
        Section(title, tuple(line(name, result, books, targets) for name in names))
        for title, names in plan.items()
    )
