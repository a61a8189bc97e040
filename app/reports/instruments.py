"""How instruments stand by their standard checks, and what a failed one throws doubt on.

A wrong instrument makes a wrong season: from a check that fails back to the last that passed, and
on to the next that passes, nothing that it measured is sure.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from app.plant.books.declare import Value
from app.plant.books.laboratory import INSTRUMENTS, MEASURED_BY
from app.plant.measures import MEASURES
from app.reports.numbers import enough_decimals, printed

CHECKED_WITHIN = timedelta(days=1)  # common practice: each day, before its first reading


@dataclass(frozen=True)
class Check:
    """One check: of which instrument, when, its error, and that as a share of what is allowed.

    `unit` is that of the error, where it is sure what was read.
    """

    kind: str
    instrument: str
    at: datetime
    error: float
    share: float
    record: int
    unit: str = ""

    @property
    def error_words(self) -> str:
        """The error as printed, with enough decimals to be more than nothing, and its unit."""
        return f"{printed(self.error, enough_decimals(self.error, 3))} {self.unit}".rstrip()

    @property
    def passed(self) -> bool:
        """Whether the error is within what is allowed."""
        return self.share <= 100


@dataclass(frozen=True)
class Doubt:
    """A time in which an instrument was out: from its last good check, if any, to the next one."""

    kind: str
    instrument: str
    failed: Check
    after: datetime | None
    until: datetime | None

    @property
    def title(self) -> str:
        """What kind of instrument it is."""
        return INSTRUMENTS[self.kind]

    @property
    def begins(self) -> datetime:
        """Since when it is in doubt: without an earlier check, a day back at the least."""
        return self.after or self.failed.at - timedelta(days=1)

    @property
    def measures(self) -> frozenset[str]:
        """What such an instrument measures."""
        props = MEASURED_BY[self.kind]
        return frozenset(name for name, measure in MEASURES.items() if measure.prop in props)

    def covers(self, at: datetime) -> bool:
        """Tell whether what was measured at a moment is in doubt."""
        return self.begins <= at and (self.until is None or at <= self.until)


@dataclass(frozen=True)
class Standing:
    """How one instrument stands: its last check, and how many it had."""

    last: Check
    count: int

    @property
    def title(self) -> str:
        """What kind of instrument it is."""
        return INSTRUMENTS[self.last.kind]

    def overdue(self, now: datetime) -> bool:
        """Whether its last check is longer ago than a day."""
        return now - self.last.at > CHECKED_WITHIN


def checks_of(values: Sequence[Mapping[str, Value]]) -> list[Check]:
    """Return the checks that were judged, in order of time."""
    found = []
    for said in values:
        at, error, share = (said.get(name) for name in ("at", "error", "error_on_tolerance"))
        if isinstance(at, datetime) and isinstance(error, float) and isinstance(share, float):
            names = f"{said['kind']}", f"{said['instrument']}"
            record = int(float(f"{said['record']}"))
            found.append(Check(*names, at, error, share, record, _unit(said)))
    return sorted(found, key=lambda check: check.at)


def _unit(said: Mapping[str, Value]) -> str:
    """Return the unit of what was read; "" where an instrument may read one of several."""
    if said["kind"] != "refractometer":
        return "°C" if said["kind"] == "thermometer" else ""
    certified = said.get("certified")
    is_index = isinstance(certified, float) and 1.3 < certified < 1.7  # of refraction, no unit
    return "" if is_index else "°Bx"


def standings(checks: Sequence[Check]) -> list[Standing]:
    """Return how each instrument stands, in the order of their kinds."""
    groups = _by_instrument(checks)
    return [
        Standing(own[-1], len(own))
        for _name, own in sorted(groups.items(), key=lambda group: _place(group[0]))
    ]


def doubts(checks: Sequence[Check]) -> list[Doubt]:
    """Return every time in which an instrument was out, the latest first."""
    found = []
    for (kind, _name), own in _by_instrument(checks).items():
        good: datetime | None = None
        failed: Check | None = None
        for check in own:
            if check.passed:
                if failed:
                    found.append(Doubt(kind, failed.instrument, failed, good, check.at))
                good, failed = check.at, None
            elif failed is None:
                failed = check
        if failed:
            found.append(Doubt(kind, failed.instrument, failed, good, None))
    return sorted(found, key=lambda doubt: doubt.failed.at, reverse=True)


def _by_instrument(checks: Sequence[Check]) -> dict[tuple[str, str], list[Check]]:
    groups: dict[tuple[str, str], list[Check]] = {}
    for check in checks:
        groups.setdefault((check.kind, check.instrument.casefold()), []).append(check)
    return groups


def _place(name: tuple[str, str]) -> tuple[int, str]:
    return list(INSTRUMENTS).index(name[0]), name[1]
