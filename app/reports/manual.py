"""The reference manual: every figure, measure and convention, said from what is declared."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache

from app.figures import CONVENTIONS, FIGURES
from app.figures.conventions import Convention
from app.figures.declare import ENTERED, OPENING, Figure, Way
from app.figures.readings import RESULTS
from app.figures.uncertainties import Uncertainty, default_uncertainty
from app.language import _, either
from app.plant.measures import MEASURES, Measure
from app.reports.lines import measure_title
from app.reports.numbers import with_numbers
from app.reports.sources import source_words
from app.reports.stations import figures_of

KINDS = {
    "adds": "Worked out on each sheet and summed over a period.",
    "level": "Taken at the end of a period.",
    "follows": "Follows from the sums of a period, never from an average of percentages.",
}


@dataclass(frozen=True)
class Link:
    """Something that an entry points to: its words, and its address in the manual."""

    title: str
    address: str


@dataclass(frozen=True)
class Rule:
    """One way to work a figure out: formula, conventions that allow it, inputs, own source."""

    formula: str
    when: tuple[str, ...]
    inputs: tuple[Link, ...]
    source: str = ""


@dataclass(frozen=True)
class FigureEntry:
    """A figure as the manual tells of it."""

    figure: Figure
    kind: str
    rules: tuple[Rule, ...]
    used_by: tuple[Link, ...]


@dataclass(frozen=True)
class MeasureEntry:
    """A measure as the manual tells of it; `readings` are the rules by which readings give it."""

    measure: Measure
    uncertainty: Uncertainty
    carried_by: str
    readings: tuple[Rule, ...]
    source: str
    used_by: tuple[Link, ...]


@dataclass(frozen=True)
class ConventionEntry:
    """A convention as the manual tells of it, and the figures and results that it decides."""

    convention: Convention
    decides: tuple[Link, ...]


def figure_entries(station: str) -> tuple[FigureEntry, ...]:
    """Return the entries of all public figures of a station."""
    return tuple(
        FigureEntry(
            figure,
            KINDS[figure.kind],
            tuple(_rule(way) for way in figure.ways),
            _links(_users(figure.name)),
        )
        for figure in figures_of(station)
    )


def measure_entries(station: str) -> tuple[MeasureEntry, ...]:
    """Return the entries of all measures of a station."""
    return tuple(
        MeasureEntry(
            measure,
            default_uncertainty(measure.name),
            measure_title(measure.carrier) if measure.carrier else "",
            tuple(_rule(way) for way in RESULTS[measure.name].ways)
            if measure.name in RESULTS
            else (),
            source_words(RESULTS[measure.name].source) if measure.name in RESULTS else "",
            _links(_users(ENTERED + measure.name)),
        )
        for measure in MEASURES.values()
        if measure.station == station
    )


def convention_entries() -> tuple[ConventionEntry, ...]:
    """Return the entries of all conventions."""
    return tuple(
        ConventionEntry(convention, _decided(name)) for name, convention in CONVENTIONS.items()
    )


def _rule(way: Way) -> Rule:
    when = tuple(
        f"{_(CONVENTIONS[name].title)}: {either(map(_, choices))}"
        for name, choices in way.when.items()
    )
    source = source_words(way.source) if way.source else ""
    return Rule(way.formula, when, _links(way.inputs), source)


def _link(name: str) -> Link:
    if name in FIGURES:
        return _figure(FIGURES[name])
    if name in CONVENTIONS:
        return Link(_(CONVENTIONS[name].title), f"/manual/conventions#{name}")
    if name.startswith(OPENING):
        level = FIGURES[name.removeprefix(OPENING)]
        return Link(_("{level}, at the opening", level=_(level.title)), _figure(level).address)
    measure = name.removeprefix(ENTERED)
    address = f"/manual/measures#{measure}" if measure in MEASURES else ""
    return Link(measure_title(measure), address)


def _figure(figure: Figure) -> Link:
    address = "" if figure.internal else f"/manual/{figure.station}#{figure.name}"
    return Link(with_numbers(_(figure.title)), address)


def _links(names: Iterable[str]) -> tuple[Link, ...]:
    return tuple(_link(name) for name in names)


@cache
def _users(name: str) -> tuple[str, ...]:
    """Return what asks for a measure or figure, an internal sum being passed over to its users."""
    found: dict[str, None] = {}
    for figure in FIGURES.values():
        if any(i in (name, OPENING + name) for way in figure.ways for i in way.inputs):
            found |= dict.fromkeys(_users(figure.name) if figure.internal else (figure.name,))
    for measure, result in RESULTS.items():
        if any(name in way.inputs for way in result.ways):
            found[ENTERED + measure] = None
    return tuple(found)


def _decided(name: str) -> tuple[Link, ...]:
    figures = [
        _figure(figure)
        for figure in FIGURES.values()
        if any(name in way.inputs or name in way.when for way in figure.ways)
        if not figure.internal
    ]
    results = [
        Link(measure_title(measure), f"/manual/measures#{measure}")
        for measure, result in RESULTS.items()
        if any(name in way.inputs or name in way.when for way in result.ways)
    ]
    return tuple(figures + results)
