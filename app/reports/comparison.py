"""Mills of a group side by side: figures by name, those that are fair to compare first.

Extraction falls with fibre and recovery with purity, so raw ones say as much of the cane as of the
mill; reduced ones say more of the mill. A difference counts where it is more than both errors.
"""

import math
from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import date

from app.figures import CONVENTIONS, FIGURES
from app.figures.conventions import Convention
from app.language import _
from app.reports.balance import signed
from app.reports.numbers import COVERAGE_FACTOR, plus_minus, printed

GROUPS: dict[str, tuple[str, ...]] = {
    "Fair between mills: reduced to the same cane": (
        "reduced_extraction", "reduced_boiling_house_recovery", "reduced_overall_recovery",
        "boiling_house_efficiency", "lost_absolute_juice", "target_purity_difference",
    ),
    "What the cane was like": ("cane_pol", "cane_fibre", "mixed_juice_purity"),
    "As they are, of different cane": (
        "pol_extraction", "boiling_house_recovery", "overall_recovery", "bagasse_loss",
        "filter_cake_loss", "final_molasses_loss", "undetermined_loss", "imbibition_on_fibre",
        "final_molasses_purity", "non_sucrose_ratio", "sugar_on_cane", "cane_per_sugar",
    ),
    "Cane, sugar and time": (
        "cane", "sugar_made_and_estimated", "sugar", "time_efficiency", "crushing_rate",
        "fibre_rate", "steam_on_cane",
    ),
}  # fmt: skip
REST = "Others"


@dataclass(frozen=True)
class Known:
    """A number of a report: its value, and its standard uncertainty where one is stated."""

    value: float | None
    standard: float | None = None


@dataclass(frozen=True)
class Side:
    """The report of one mill: its figures and conventions by name."""

    mill: str
    title: str
    first: date
    last: date
    over: bool
    made_with: str
    figures: Mapping[str, Known]
    conventions: Mapping[str, tuple[str, str]]  # the value and unit of each


@dataclass(frozen=True)
class Box:
    """A figure of one mill: as printed, its ±, and against the first mill."""

    value: str
    doubt: str
    against: str


@dataclass(frozen=True)
class CompareRow:
    """One figure of each mill."""

    name: str
    title: str
    unit: str
    boxes: tuple[Box, ...]


@dataclass(frozen=True)
class Comparison:
    """Everything the page of a comparison prints; `cautions` say why sides may not compare."""

    sides: tuple[Side, ...]
    groups: tuple[tuple[str, tuple[CompareRow, ...]], ...]
    conventions: tuple[tuple[str, tuple[str, ...]], ...]
    cautions: tuple[str, ...]


def comparison(sides: Sequence[Side]) -> Comparison:
    """Return mills side by side, each against the first."""
    listed = {name for names in GROUPS.values() for name in names}
    rest = [n for n in FIGURES if n not in listed and any(n in side.figures for side in sides)]
    groups = [
        (title, tuple(row for name in names if (row := _row(name, sides))))
        for title, names in (*GROUPS.items(), (REST, tuple(rest)))
    ]
    return Comparison(
        tuple(sides), tuple((title, rows) for title, rows in groups if rows),
        tuple(_conventions(sides)), tuple(_cautions(sides)),
    )  # fmt: skip


def _row(name: str, sides: Sequence[Side]) -> CompareRow | None:
    known = [side.figures.get(name, Known(None)) for side in sides]
    if all(each.value is None for each in known):
        return None
    figure = FIGURES[name]
    boxes = tuple(
        Box(
            printed(each.value, figure.decimals),
            plus_minus(each.standard, figure.decimals) if each.standard else "",
            _against(known[0], each, figure.decimals) if place else "",
        )
        for place, each in enumerate(known)
    )
    return CompareRow(name, figure.title, figure.unit, boxes)


def _against(first: Known, other: Known, decimals: int) -> str:
    """Return the difference with its sign, and ▲ or ▼ where it is more than error."""
    if first.value is None or other.value is None:
        return ""
    difference = other.value - first.value
    text = signed(difference, decimals)
    if first.standard is None or other.standard is None:
        return _("{difference}, error not stated", difference=text)
    if abs(difference) <= COVERAGE_FACTOR * math.hypot(first.standard, other.standard):
        return text
    if text == printed(0, decimals):
        return text
    return f"▲ {text}" if difference > 0 else f"▼ {text}"


def _conventions(sides: Sequence[Side]) -> Iterable[tuple[str, tuple[str, ...]]]:
    """Yield each convention that is not the same in all reports that list it, with what each has.

    A report lists only those that decided something of it.
    """
    for name, convention in CONVENTIONS.items():
        said = [side.conventions.get(name) for side in sides]
        if len({_read(convention, *each) for each in said if each}) > 1:
            yield convention.title, tuple(" ".join(each or ()).strip() for each in said)


def _read(convention: Convention, value: str, unit: str) -> tuple[str | float, str]:
    """Return a convention so that it compares by value: 85.0 is 85."""
    with suppress(ValueError):
        return convention.read(value), unit
    return value, unit


def _cautions(sides: Sequence[Side]) -> Iterable[str]:
    if len({(side.first, side.last) for side in sides}) > 1:
        yield _("The reports are not of the same days.")
    if not all(side.over for side in sides):
        yield _("A report is not over yet.")
    if len({side.made_with for side in sides}) > 1:
        yield _("The reports were made with different versions of the figures.")
    mills = [side.mill for side in sides]
    if len(set(mills)) < len(mills):
        yield _("A mill is there more than once.")
