"""What a mill samples on some day, how often and within which limits: its own plan, dated.

The tables of the factory in words are what holds where a mill has chosen nothing.
"""

from bisect import bisect_right
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import NamedTuple

from app.plant.grains import DAY, SHIFT, WEEK, Range
from app.plant.measures import ASKED, MEASURES, Measure
from app.plant.readings import SERVES
from app.plant.streams import STREAMS, Equipment, streams_in_use
from app.plant.vessels import VESSELS

DUE, NOT_ALWAYS, NOT_TAKEN = "due", "not always", "not taken"


class Sampling(NamedTuple):
    """How a mill takes a measure from a day on: whether, how often, by which rule, in which limits.

    `every` is the hours between samples of a shift, 0 for once; `grain` shift, day or week.
    """

    measure: str
    since: date
    taken: str
    grain: str
    every: int
    rule: str
    usual: Range
    hard: Range


class Part(NamedTuple):
    """Whether a station, stream, vessel or check is in use from a day on."""

    name: str
    in_use: bool
    since: date


@dataclass(frozen=True)
class _Chosen:
    """What is chosen on one day."""

    equipment: Equipment | None
    off: frozenset[str]
    samplings: Mapping[str, Sampling]


class Plan:
    """The plan of a mill on any day; what was chosen last for a day holds.

    Each list is in the order in which it was chosen. Without `equipment` every stream is in use.
    """

    def __init__(
        self,
        equipment: Sequence[tuple[date, Equipment]] = (),
        parts: Sequence[Part] = (),
        samplings: Sequence[Sampling] = (),
    ) -> None:
        # stable: of one day the last that was chosen comes last
        self._equipment = sorted(equipment, key=lambda row: row[0])
        self._parts = sorted(parts, key=lambda part: part.since)
        self._samplings = sorted(samplings, key=lambda sampling: sampling.since)
        days = {since for since, _ in self._equipment}
        days |= {part.since for part in self._parts} | {s.since for s in self._samplings}
        self._days = sorted(days)
        self._on: dict[int, dict[str, Measure]] = {}
        self._all: dict[int, dict[str, Measure]] = {}

    def on(self, day: date) -> Mapping[str, Measure]:
        """Return the measures in use on `day`, as the mill takes them, in the sheet's order."""
        place = bisect_right(self._days, day)
        if place not in self._on:
            chosen = self._chosen(day)
            streams = STREAMS if chosen.equipment is None else streams_in_use(chosen.equipment)
            in_use = {*streams, *VESSELS} - chosen.off
            taken = {
                name: measure
                for name, measure in self.every(day).items()
                if measure.stream in in_use and self._taken(name, chosen)
            }
            # nobody reads an instrument for a result that is not taken
            self._on[place] = {
                name: measure
                for name, measure in taken.items()
                if name not in SERVES or any(result in taken for result in SERVES[name])
            }
        return self._on[place]

    def every(self, day: date) -> Mapping[str, Measure]:
        """Return every measure with the limits that hold on `day`, in use or not."""
        place = bisect_right(self._days, day)
        if place not in self._all:
            chosen = self._chosen(day)
            every = {
                name: _as_taken(measure, chosen.samplings.get(name))
                for name, measure in MEASURES.items()
            }
            # a reading is taken as often as what follows from it
            every |= {
                name: replace(every[name], grain=_finest(every[result].grain for result in results))
                for name, results in SERVES.items()
                if name not in chosen.samplings
            }
            self._all[place] = every
        return self._all[place]

    def asked(self, day: date) -> frozenset[str]:
        """Return what a laboratory is asked for where it lacks, whatever equipment it has."""
        chosen = self._chosen(day)
        return frozenset(
            name
            for name, measure in self.every(day).items()
            if (measure.due or (name in ASKED and not MEASURES[name].due))
            and measure.stream not in chosen.off
            and self._taken(name, chosen)
        )

    def is_off(self, part: str, day: date) -> bool:
        """Tell whether a station, stream, vessel or check is switched off on `day`."""
        return part in self._chosen(day).off

    @property
    def vessels_ever_off(self) -> tuple[str, ...]:
        """The vessels that are switched off on some day."""
        off = {part.name for part in self._parts if not part.in_use}
        return tuple(vessel for vessel in VESSELS if vessel in off)

    def equipment(self, day: date) -> Equipment | None:
        """Return what the mill has on `day`."""
        return self._chosen(day).equipment

    def sampling(self, name: str, day: date) -> Sampling:
        """Return how a measure is taken on `day`, by choice or as it is where none was made."""
        return self._chosen(day).samplings.get(name) or as_declared(MEASURES[name])

    def has(self, stream: str, day: date) -> bool:
        """Tell whether a stream is there with the equipment of `day`; a vessel always is."""
        equipment = self.equipment(day)
        return equipment is None or stream in VESSELS or stream in streams_in_use(equipment)

    def days_from(self, day: date) -> list[date]:
        """Return `day` and every later one on which something else comes into force."""
        return [day, *(later for later in self._days if later > day)]

    def _taken(self, name: str, chosen: _Chosen) -> bool:
        sampling = chosen.samplings.get(name)
        taken = sampling is None or sampling.taken != NOT_TAKEN
        return taken and MEASURES[name].station not in chosen.off

    def _chosen(self, day: date) -> _Chosen:
        equipment = [found for since, found in self._equipment if since <= day]
        parts = {part.name: part.in_use for part in self._parts if part.since <= day}
        return _Chosen(
            equipment[-1] if equipment else None,
            frozenset(name for name, in_use in parts.items() if not in_use),
            {s.measure: s for s in self._samplings if s.since <= day},
        )


def _finest(grains: Iterable[str]) -> str:
    return min(grains, key=(SHIFT, DAY, WEEK).index)


def as_declared(measure: Measure) -> Sampling:
    """Return how a measure is taken where a mill has chosen nothing."""
    taken = DUE if measure.due else NOT_ALWAYS
    return Sampling(
        measure.name, date.min, taken, measure.grain, measure.every, measure.rule, measure.usual,
        measure.hard,
    )  # fmt: skip


def _as_taken(measure: Measure, sampling: Sampling | None) -> Measure:
    if sampling is None:
        return measure
    return replace(
        measure,
        due=sampling.taken == DUE,
        grain=sampling.grain,
        every=sampling.every,
        rule=sampling.rule,
        usual=sampling.usual,
        hard=sampling.hard,
    )
