"""The conversions of the bench, each a form of its own, by the relations of `app.chemistry`."""

from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal

from app.language import _
from app.reports.bench import Choice, Section
from app.reports.conversions import boiling_house, juice, laboratory
from app.reports.conversions.declare import CONVERSIONS

__all__ = ["CONVERSIONS", "boiling_house", "juice", "laboratory", "sections"]

TITLES = {
    "juice": "Brix and density",
    "saccharimeter": "Pol and sucrose",
    "lime": "Lime",
    "pan": "Pan and crystallization",
    "analyses": "Other analyses",
}


def sections(doses: Mapping[tuple[Decimal, Decimal], Decimal]) -> tuple[Section, ...]:
    """Return all conversions under their headings, with the mill's lime `doses` to choose from.

    `doses` are kg of calcium oxide per tonne of juice, by the pH before and the pH after; a mill
    that has none is not asked to choose.
    """
    steps = tuple(
        Choice(
            f"{low}-{high}",
            _("pH {low} to {high}: {dose} kg/t", low=low, high=high, dose=dose),
            float(dose),
        )
        for (low, high), dose in doses.items()
    )
    lime = CONVERSIONS["lime"]
    step, *others = lime.fields
    with_steps = replace(lime, fields=(replace(step, choices=steps), *others))
    every = tuple((CONVERSIONS | {"lime": with_steps}).values())
    if not steps:
        every = tuple(one for one in every if one is not with_steps)
    return tuple(
        Section(name, title, tuple(one for one in every if one.section == name))
        for name, title in TITLES.items()
    )
