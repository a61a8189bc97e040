"""How pages name a result's place: what was measured, when it was sampled, which test it is."""

from datetime import datetime

from app.language import _
from app.plant.calendar import Clock
from app.plant.samples import Place
from app.reports.lines import title_of

_TESTS = (
    "first test", "second test", "third test", "fourth test", "fifth test", "sixth test",
    "seventh test", "eighth test", "ninth test",
)  # fmt: skip


def place_title(place: Place, sampled_at: datetime | None, clock: Clock) -> str:
    """Return the name of a place: "Clear juice, pH, 08:00, second test"."""
    return ", ".join([_(title_of(place.measure)), *_further(place, sampled_at, clock)])


def sample_title(place: Place, sampled_at: datetime | None, clock: Clock) -> str:
    """Return the same without the measure: "08:00, second test", else "the shift's sample"."""
    return ", ".join(_further(place, sampled_at, clock)) or _("the shift’s sample")


def test_words(number: int) -> str:
    """Return how a test of a sample is called: "second test"."""
    return _(_TESTS[number - 1])


def _further(place: Place, sampled_at: datetime | None, clock: Clock) -> list[str]:
    found = []
    if sampled_at is not None:
        found.append(f"{clock.local(sampled_at):%H:%M}")
    elif place.sample > 1:
        found.append(_("sample {number}", number=place.sample))
    return [*found, *([test_words(place.determination)] if place.determination > 1 else [])]
