"""Why the invented mill stood: hours of each cause, which with hours crushing make every shift."""

import numpy as np

from .factory import LONG_STOPS, SEED, SHIFTS, Values

SHIFT_HOURS = 8
MANY_HOURS = 0.5  # a shorter stop is a choke, a trip or a wait for juice
(RAIN, RAIN_SHIFTS), (SHAFT, SHAFT_SHIFTS) = LONG_STOPS

# causes of a stop within a shift, and how often each is the one
LONGER = {"mechanical_stop": 0.5, "electrical_stop": 0.15, "process_stop": 0.15, "no_cane": 0.2}
SHORTER = {
    "mechanical_stop": 0.35, "foreign_matter": 0.25, "process_stop": 0.2, "no_cane": 0.2,
}  # fmt: skip


def hours_stopped(crushing_hours: Values) -> dict[str, Values]:
    """Return the hours of each cause, NaN on a shift that was not stopped for it.

    Rain is force majeure while it falls, and no cane until the fields carry again.
    """
    random = np.random.Generator(np.random.PCG64(SEED + 7))
    causes = ("scheduled_stop", "force_majeure", *LONGER, "foreign_matter")
    found = {cause: np.full(SHIFTS, np.nan) for cause in causes}
    stopped = np.round(SHIFT_HOURS - crushing_hours, 2)
    for shift in np.flatnonzero(stopped):
        for cause, part in _parts(int(shift), stopped[shift], random).items():
            found[cause][shift] = part
    return {f"{cause}_hours": hours for cause, hours in found.items()}


def _parts(shift: int, hours: float, random: np.random.Generator) -> dict[str, float]:
    if hours == SHIFT_HOURS:
        return {_of_a_whole_shift(shift): hours}
    causes = LONGER if hours >= MANY_HOURS else SHORTER
    first, second = random.choice(list(causes), 2, replace=False, p=list(causes.values()))
    part = round(hours * random.uniform(0.5, 0.9), 2)
    if hours < MANY_HOURS or random.random() < 0.6:
        return {str(first): hours}
    return {str(first): part, str(second): round(hours - part, 2)}


def _of_a_whole_shift(shift: int) -> str:
    if RAIN <= shift < RAIN + RAIN_SHIFTS:
        return "force_majeure" if shift < RAIN + RAIN_SHIFTS // 2 else "no_cane"
    return "mechanical_stop" if SHAFT <= shift < SHAFT + SHAFT_SHIFTS else "scheduled_stop"
