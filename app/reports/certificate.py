"""A certificate of quality of one lot of sugar: what it weighed and what was analysed of it.

It says what was found and by whom, and nothing of what the sugar is fit for.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from app.figures.sources import Source
from app.figures.uncertainties import STATED, Uncertainty
from app.language import ENGLISH, _, speaking
from app.plant.books.sugar import ANALYSES, BAGGING
from app.reports.numbers import plus_minus, printed

_WORK = re.compile(r"[,:]")


@dataclass(frozen=True)
class Analysed:
    """One analysis of a lot, as printed, with twice its standard uncertainty and who says so.

    What was not analysed has no value; `work` and `mark` are of the source of the uncertainty.
    """

    title: str
    value: str
    unit: str
    doubt: str
    work: str
    mark: str

    @property
    def known_by(self) -> str:
        """Where its uncertainty is from, in words fit for who buys the sugar."""
        if self.work == STATED.work:
            return _("estimate of the laboratory, not yet from duplicates")
        if not self.mark:
            return self.work  # as the laboratory stated it
        # what follows the name of the work is for those who keep the laboratory's uncertainties
        return _("published precision of the method: {work}", work=_WORK.split(self.work)[0])


@dataclass(frozen=True)
class Certificate:
    """What the certificate of a lot says of the sugar."""

    lot: str
    tonnes: str
    packed: tuple[str, str]
    loose: str
    analyses: tuple[Analysed, ...]

    @classmethod
    def of(cls, told: Mapping[str, Any]) -> "Certificate":
        """Return a certificate from what the chain tells of one."""
        analyses = tuple(Analysed(**each) for each in told["analyses"])
        return cls(**{**told, "analyses": analyses, "packed": tuple(told["packed"])})

    @property
    def analysed(self) -> tuple[Analysed, ...]:
        """What was analysed."""
        return tuple(each for each in self.analyses if each.value)

    @property
    def not_analysed(self) -> tuple[str, ...]:
        """The titles of what was not."""
        return tuple(each.title for each in self.analyses if not each.value)


def certificate(values: Mapping[str, Any], uncertainties: Mapping[str, Uncertainty]) -> Certificate:
    """Return the certificate of a lot from the values of its record, with English numbers.

    `uncertainties` are those of the measures of sugar on its day.
    """
    with speaking(ENGLISH):
        return _certificate(values, uncertainties)


def differing(one: Certificate, other: Certificate) -> list[str]:
    """Return the titles of what two certificates of a lot do not say alike."""
    weights = [(each.tonnes, each.packed, each.loose) for each in (one, other)]
    titles = [] if weights[0] == weights[1] else ["Tonnes"]
    titles += [] if one.lot == other.lot else ["Lot"]
    of_other = {each.title: each for each in other.analyses}
    return titles + [each.title for each in one.analyses if of_other.get(each.title) != each]


def _certificate(
    values: Mapping[str, Any], uncertainties: Mapping[str, Uncertainty]
) -> Certificate:
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
    source = known.source if known is not None else Source("", "")
    number = printed(value, field.decimals)
    return Analysed(field.title, number, field.unit, doubt, source.work, source.mark)
