"""A certificate of quality of one lot of sugar: what it weighed and what was analysed of it.

It says what was found and by whom, and nothing of what the sugar is fit for.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from app.figures.uncertainties import Uncertainty
from app.plant.books.sugar import ANALYSES, BAGGING
from app.reports.numbers import plus_minus, printed


@dataclass(frozen=True)
class Analysed:
    """One analysis of a lot, as printed, with twice its standard uncertainty and who says so.

    What was not analysed has no value.
    """

    title: str
    value: str
    unit: str
    doubt: str
    known_by: str


@dataclass(frozen=True)
class Certificate:
    """What the certificate of a lot says of the sugar."""

    lot: str
    tonnes: str
    packed: tuple[str, str]
    loose: str
    analyses: tuple[Analysed, ...]

    @property
    def analysed(self) -> tuple[Analysed, ...]:
        """What was analysed."""
        return tuple(each for each in self.analyses if each.value)

    @property
    def not_analysed(self) -> tuple[str, ...]:
        """The titles of what was not."""
        return tuple(each.title for each in self.analyses if not each.value)


def certificate(values: Mapping[str, Any], uncertainties: Mapping[str, Uncertainty]) -> Certificate:
    """Return the certificate of a lot from the values of its record.

    `uncertainties` are those of the measures of sugar on its day.
    """
    bags, mass = values.get("bags"), values.get("bag_mass")
    (tonnes,) = (each for each in BAGGING.worked if each.name == "tonnes")
    return Certificate(
        values["lot"],
        printed(values.get("tonnes"), tonnes.decimals),
        (printed(bags, 0), printed(mass, BAGGING.field("bag_mass").decimals)),
        printed(values.get("bulk"), BAGGING.field("bulk").decimals),
        tuple(_analysed(each.name, values, uncertainties) for each in ANALYSES),
    )


def _analysed(
    name: str, values: Mapping[str, Any], uncertainties: Mapping[str, Uncertainty]
) -> Analysed:
    field, value = BAGGING.field(name), values.get(name)
    known = uncertainties.get(f"sugar_{name}")
    doubt = ""
    if value is not None and known is not None:
        parts = known.random, known.systematic
        share = value / 100 if known.relative else 1.0
        doubt = plus_minus(share * (parts[0] ** 2 + parts[1] ** 2) ** 0.5, field.decimals)
    source = str(known.source) if known is not None else ""
    return Analysed(field.title, printed(value, field.decimals), field.unit, doubt, source)
