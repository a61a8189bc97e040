"""What the JSON of a morning report says of what stands out of its day."""

import math
from datetime import date

from pydantic import BaseModel, Field

from app.reports.findings import Finding, Told


class DaySaid(BaseModel):
    """A figure on one day."""

    day: date = Field(description="The factory day.")
    value: float | None = Field(description="Its value; null where it has none.")


class FindingSaid(BaseModel):
    """One thing that stands out of a day."""

    kind: str = Field(
        description="measurement_reads_wrong, instrument_in_doubt, sugar_in_water, "
        "loss_of_recovery or sugar_not_made."
    )
    name: str = Field(
        description="The measure, the kind of instrument, the place, the part of the change of "
        "recovery, or the figure."
    )
    title: str = Field(description="What the page says of it, in English.")
    first: bool = Field(description="Whether the page says it among those to look at first.")
    unit: str = Field(description="The unit of value, target and difference.")
    value: float | None = Field(description="What it was; null where that has no meaning.")
    target: float | None = Field(description="What the mill wants of it; null where nothing is.")
    difference: float | None = Field(
        description="Value less target; of a measurement or an instrument, by how much it reads "
        "high, below zero low."
    )
    sugar: float | None = Field(
        description="Tonnes of sugar that were not made for it; null where that is not known."
    )
    is_lost: bool | None = Field(
        description="Whether that sugar is lost for good; false where its cane may still be "
        "crushed; null where there is none."
    )
    seeming_sugar: float | None = Field(
        description="Tonnes of sugar a day that a measurement so wrong makes seem lost."
    )
    standard_uncertainty: float | None = Field(
        description="The standard uncertainty of sugar, in tonnes, from measuring alone; null "
        "where none is known."
    )
    is_real: bool | None = Field(
        description="Whether sugar is more than twice that, or no uncertainty is known of it; null "
        "where there is no loss to judge."
    )
    verdict: str = Field(description="What the page says of that, in English.")
    money: float | None = Field(
        description="What that sugar would have brought; null where the mill states no price."
    )
    currency: str = Field(description="What the mill calls its money; empty where it does not say.")
    trend_of: str = Field(description="The figure that the trend is of; empty where there is none.")
    trend: list[DaySaid] = Field(description="That figure on the last days, the oldest first.")


def findings_said(told: Told) -> list[FindingSaid]:
    """Return all that stands out of a day, in the order of its page."""
    first = len(told.first)
    return [_finding(each, n < first) for n, each in enumerate((*told.first, *told.further))]


def _finding(of: Finding, first: bool) -> FindingSaid:
    exact, days = of.exact, of.trend.values if of.trend else ()
    sugar = _known(of.sugar)
    return FindingSaid(
        kind=of.kind, name=of.name, title=of.title, first=first, unit=of.unit,
        value=_known(exact.value), target=_known(exact.target),
        difference=_known(exact.difference), sugar=sugar,
        is_lost=None if sugar is None else of.is_lost, seeming_sugar=_known(exact.seeming),
        standard_uncertainty=_known(exact.standard), is_real=of.is_real, verdict=of.verdict,
        money=_known(of.amount), currency=of.currency,
        trend_of=of.trend.name if of.trend else "",
        trend=[DaySaid(day=day, value=value) for day, value in days],
    )  # fmt: skip


def _known(value: float) -> float | None:
    return value if math.isfinite(value) else None
