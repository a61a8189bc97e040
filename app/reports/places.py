"""How pages name a result's place: what was measured, when it was sampled, which test it is."""

from datetime import datetime

from app.plant.calendar import Clock
from app.plant.samples import Place
from app.reports.lines import title_of

_ORDINALS = (
    "first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth",
)  # fmt: skip


def place_title(place: Place, sampled_at: datetime | None, clock: Clock) -> str:
    """Return the name of a place: "Clear juice, pH, 08:00, second test"."""
    return ", ".join([title_of(place.measure), *_further(place, sampled_at, clock)])


def sample_title(place: Place, sampled_at: datetime | None, clock: Clock) -> str:
    """Return the same without the measure: "08:00, second test", else "the shift's sample"."""
    return ", ".join(_further(place, sampled_at, clock)) or "the shift’s sample"


def test_words(number: int) -> str:
    """Return how a test of a sample is called: "second test"."""
    return f"{_ORDINALS[number - 1]} test"


def _further(place: Place, sampled_at: datetime | None, clock: Clock) -> list[str]:
    found = []
    if sampled_at is not None:
        found.append(f"{clock.local(sampled_at):%H:%M}")
    elif place.sample > 1:
        found.append(f"sample {place.sample}")
    return [*found, *([test_words(place.determination)] if place.determination > 1 else [])]
