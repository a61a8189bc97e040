"""How a figure is declared: a function whose argument names are its inputs.

An argument that names a figure takes that figure; one that begins with `entered_` takes what was
typed on a sheet; one that begins with `opening_` takes a level at the end of the period before;
one that names a convention takes the value in force.
"""

import inspect
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from graphlib import TopologicalSorter

import numpy as np
from numpy.typing import NDArray

from app.figures.conventions import CONVENTIONS
from app.figures.sources import Source

Values = NDArray[np.float64]

ENTERED = "entered_"
OPENING = "opening_"


@dataclass(frozen=True)
class Way:
    """One way to work a figure out, used where every convention in `when` has such a value.

    `source` is its own where it is not that of the figure.
    """

    function: Callable[..., Values]
    inputs: tuple[str, ...]
    when: Mapping[str, tuple[str, ...]]
    formula: str
    source: Source | None = None


@dataclass(frozen=True)
class Figure:
    """A declared figure: its name, unit, printed decimals, formula, source and ways.

    `kind` is "adds" (worked out on each sheet, then summed), "level" (taken at a point in time) or
    "follows" (worked out from sums and levels). `note` is the docstring of its first way.
    """

    name: str
    title: str
    unit: str
    decimals: int
    kind: str
    station: str
    source: Source
    note: str
    internal: bool = False
    ways: list[Way] = field(default_factory=list)

    @property
    def formula(self) -> str:
        """The formula of the first way, as the trade writes it."""
        return self.ways[0].formula

    def source_of(self, way: Way) -> Source:
        """Return where the formula of one of its ways comes from."""
        return way.source or self.source

    def otherwise(
        self,
        formula: str,
        *,
        when: Mapping[str, tuple[str, ...]] | None = None,
        inputs: tuple[str, ...] = (),
        source: Source | None = None,
    ) -> Callable[[Callable[..., Values]], Callable[..., Values]]:
        """Declare a further way, tried where the ways before it give no value.

        `source` is given where it is not that of the figure.
        """

        def add(function: Callable[..., Values]) -> Callable[..., Values]:
            asked = inputs or _inputs(function)
            self.ways.append(Way(function, asked, when or {}, formula, source))
            return function

        return add


FIGURES: dict[str, Figure] = {}


def figure(  # noqa: PLR0913  one argument for each thing a reader of the manual is told
    title: str,
    *,
    unit: str,
    decimals: int,
    formula: str,
    source: Source,
    station: str,
    kind: str = "follows",
    when: Mapping[str, tuple[str, ...]] | None = None,
    name: str | None = None,
    inputs: tuple[str, ...] = (),
    internal: bool = False,
) -> Callable[[Callable[..., Values]], Figure]:
    """Declare the decorated function as a figure of the same name.

    A family of figures that shares one function gives each `name` and `inputs` apart.
    """

    def declare(function: Callable[..., Values]) -> Figure:
        declared = Figure(
            name=name or function.__name__,
            title=title,
            unit=unit,
            decimals=decimals,
            kind=kind,
            station=station,
            source=source,
            note=_paragraphs(function.__doc__ or ""),
            internal=internal,
            ways=[Way(function, inputs or _inputs(function), when or {}, formula)],
        )
        if declared.name in FIGURES:
            raise ValueError(f"{declared.name} is declared twice")
        FIGURES[declared.name] = declared
        return declared

    return declare


def _inputs(function: Callable[..., Values]) -> tuple[str, ...]:
    return tuple(inspect.signature(function).parameters)


def _paragraphs(docstring: str) -> str:
    """Return a docstring with each paragraph on one line."""
    paragraphs = inspect.cleandoc(docstring).split("\n\n")
    return "\n\n".join(" ".join(paragraph.split()) for paragraph in paragraphs)


def is_leaf(name: str) -> bool:
    """Tell whether `name` is given from outside: typed, a convention, or an opening level."""
    return name.startswith((ENTERED, OPENING)) or name in CONVENTIONS


def in_order() -> tuple[str, ...]:
    """Return the names of all figures, each after its inputs.

    Raises graphlib.CycleError for a circle, ValueError for an input that nobody declares.
    """
    needs = {}
    for name, declared in FIGURES.items():
        inputs = {i for way in declared.ways for i in way.inputs if not is_leaf(i)}
        unknown = inputs - FIGURES.keys()
        if unknown:
            raise ValueError(f"{name} asks for {sorted(unknown)}, which nobody declares")
        needs[name] = inputs
    return tuple(TopologicalSorter(needs).static_order())
