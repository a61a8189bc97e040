"""Samples within a shift, which the invented mill takes from 26 October on, and tests of some."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta

import numpy as np

from app.ledger.plan import Change
from app.plant.calendar import Clock
from app.plant.measures import MEASURES
from app.plant.plan import DUE, NOT_ALWAYS, Sampling
from app.plant.samples import MEAN, Place

from .factory import SEED, SHIFTS, SHIFTS_A_DAY
from .typed import FIRST_DAY

SINCE = date(2026, 10, 26)
CHOSEN_ON = date(2026, 10, 25)
WHY = "the liming station hunts within a shift, and one sample did not show it"

# measure: hours between its samples, and how far these scatter about what the shift has
SAMPLED = {
    "mixed_juice_brix": (2, 0.15), "mixed_juice_pol": (2, 0.04), "limed_juice_ph": (1, 0.12),
    "clear_juice_ph": (1, 0.06), "syrup_brix": (2, 0.5), "feed_water_sugar_trace": (2, 1.2),
}  # fmt: skip
READY_AFTER = timedelta(minutes=22)  # from sampling to typing


@dataclass(frozen=True)
class Retest:
    """A second test of a sample; or that it is left out, where nothing was typed."""

    day: date
    number: int
    place: Place
    typed: str
    reason: str
    hours: float  # from the beginning of the shift

    def at(self, clock: Clock) -> datetime:
        """Return when it was written."""
        return clock.shift_bounds(self.day, self.number)[0] + timedelta(hours=self.hours)


RETESTED_BY = "ines"
TESTED_AGAIN = (
    Retest(date(2026, 10, 27), 2, Place("clear_juice_ph", 5), "8.02", "far from the hour before",
           4.6),
    Retest(date(2026, 10, 27), 2, Place("clear_juice_ph", 5), "", "the electrode was dry", 4.8),
    Retest(date(2026, 10, 28), 1, Place("mixed_juice_pol", 2), "12.12", "", 2.6),
)  # fmt: skip

# a dish that was not weighed anew: its mass as of the time before
CARRIED = Retest(date(2026, 10, 28), 1, Place("bagasse_dish_mass"), "84.2310", "", 5.5)


def plan_changes() -> tuple[Change, ...]:
    """Return how the mill chose to sample, a change for each measure."""
    return tuple(
        Change(SINCE, WHY, sampling=_sampling(name, every)) for name, (every, _) in SAMPLED.items()
    )


def _sampling(name: str, every: int) -> Sampling:
    measure = MEASURES[name]
    usual, hard = ((float(low), float(high)) for low, high in (measure.usual, measure.hard))
    taken = DUE if measure.due else NOT_ALWAYS
    return Sampling(name, SINCE, taken, measure.grain, every, MEAN, usual, hard)


def samples_of(texts: Mapping[str, list[str]]) -> dict[tuple[int, str], list[str]]:
    """Return what is typed of each sample, by shift and measure, where `texts` has one a shift.

    They scatter about what the shift has, and have it as their mean. What is no number is said of
    each of them.
    """
    random = np.random.Generator(np.random.PCG64(SEED + 7))
    found = {}
    for shift in range((SINCE - FIRST_DAY).days * SHIFTS_A_DAY, SHIFTS):
        juice = np.zeros(0)
        for name, (every, spread) in SAMPLED.items():
            scatter = random.normal(0, spread, 8 // every)
            if name == "mixed_juice_brix":
                juice = scatter
            elif name == "mixed_juice_pol":  # which goes with the brix, by the purity
                scatter += 0.84 * juice
            found[shift, name] = _scattered(texts[name][shift], MEASURES[name].decimals, scatter)
    return found


def _scattered(text: str, decimals: int, scatter: np.ndarray) -> list[str]:
    if not text[:1].isdigit():
        return [text] * len(scatter) if text else []
    steps = np.round((scatter - scatter.mean()) * 10**decimals).astype(int)
    middle = round(float(text) * 10**decimals)
    steps = np.maximum(steps, 1 - middle)  # never below the least that is typed as a number
    while (over := int(steps.sum())) != 0:
        steps[steps.argmax() if over > 0 else steps.argmin()] -= np.sign(over)
    return [f"{(middle + step) / 10**decimals:.{decimals}f}" for step in steps.tolist()]
