"""A mill's plan in words: how each measure is taken, what is on and off, what is chosen."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from app.figures import CONVENTIONS, FIGURES
from app.language import _
from app.plant.grains import DAY, SHIFT, WEEK, Range
from app.plant.measures import MEASURES, Measure
from app.plant.plan import NOT_TAKEN, Part, Plan, Sampling
from app.plant.samples import RULES
from app.plant.streams import STATIONS, STREAMS
from app.plant.vessels import VESSELS
from app.reports.checks import CHECKS
from app.reports.numbers import as_read, printed, typed_words, with_numbers

# how often, as a page says it, by grain and hours between samples
OFTEN = {
    (SHIFT, 0): "once each shift",
    (SHIFT, 1): "every hour",
    (SHIFT, 2): "every 2 hours",
    (SHIFT, 4): "every 4 hours",
    (DAY, 0): "once a day",
    (WEEK, 0): "once a week",
}
ONE_SAMPLE = "that one sample"
LABELS = ("Taken", "How often", "Result of the shift", "Usual range", "Hard limits")
# why a part or measure is not on the sheet
SWITCHED_OFF, STATION_OFF = "switched off", "station switched off"
NOT_HERE = "not with this equipment"


def part_titles() -> dict[str, str]:
    """Return what may be switched on and off: stations, streams, vessels and checks, by name."""
    checks = {name: check.title for name, check in CHECKS.items()}
    streams = {name: stream.title for name, stream in STREAMS.items()}
    return streams | VESSELS | checks | STATIONS


def kind_of_part(name: str) -> str:
    """Return what a part is: a station, stream, vessel or check."""
    kinds = {"station": {*STATIONS}, "vessel": {*VESSELS}, "stream": {*STREAMS}}
    return next((kind for kind, names in kinds.items() if name in names), "check")


def limits_text(limits: Range) -> str:
    """Return "6.9 to 7.3"."""
    low, high = (as_read(number_text(limit)) for limit in limits)
    return _("{low} to {high}", low=low, high=high)


def number_text(value: float) -> str:
    """Return a limit or constant, exactly, as somebody would type it."""
    return f"{Decimal(repr(float(value))):f}".removesuffix(".0")


def sampling_words(sampling: Sampling) -> dict[str, str]:
    """Return how a measure is taken, in words, under what each of them is."""
    several = sampling.every > 0
    said = (
        _(sampling.taken),
        _(OFTEN[sampling.grain, sampling.every]),
        _(RULES[sampling.rule] if several else ONE_SAMPLE),
        limits_text(sampling.usual),
        limits_text(sampling.hard),
    )
    return dict(zip(LABELS, said, strict=True))


def value_words(name: str, value: Part | Sampling | str | float) -> str:
    """Return what was chosen, in one line."""
    if isinstance(value, Sampling):
        words = sampling_words(value)
        if value.taken == NOT_TAKEN:
            return _(NOT_TAKEN)
        often = words["How often"] + (f", {words['Result of the shift']}" if value.every else "")
        return _(
            "{taken}, {often}; usual {usual}, hard {hard}",
            taken=words["Taken"], often=often, usual=words["Usual range"],
            hard=words["Hard limits"],
        )  # fmt: skip
    if isinstance(value, Part):
        return _("switched on") if value.in_use else _(SWITCHED_OFF)
    if isinstance(value, str):
        return with_unit(typed_words(with_numbers(_(value))), CONVENTIONS[name].unit)
    figure = FIGURES[name]
    return with_unit(printed(value, figure.decimals), figure.unit)


def with_unit(value: str, unit: str) -> str:
    """Return a value with its unit, where it has one."""
    return f"{value} {_(unit)}" if unit else value


@dataclass(frozen=True)
class Line:
    """A measure in the overview: how it is taken, and why not where it is not."""

    measure: Measure
    sampling: Sampling
    words: dict[str, str]
    off: str

    @property
    def chosen(self) -> bool:
        """Whether the mill has chosen how."""
        return self.sampling.since != date.min


@dataclass(frozen=True)
class Material:
    """A stream or vessel in the overview, with its measures."""

    name: str
    title: str
    off: str
    lines: tuple[Line, ...]


@dataclass(frozen=True)
class StationLines:
    """A station in the overview, with its streams and vessels; how many measures are on."""

    name: str
    title: str
    off: str
    materials: tuple[Material, ...]

    @property
    def lines(self) -> list[Line]:
        """All its measures."""
        return [line for material in self.materials for line in material.lines]

    @property
    def on(self) -> int:
        """How many of them are taken."""
        return sum(not line.off for line in self.lines)


ON, OFF, CHOSEN = "on", "off", "chosen"
SHOWS = {"": "everything", ON: "what is taken", OFF: "what is not taken", CHOSEN: "what was chosen"}


def overview(plan: Plan, day: date, words: str = "", show: str = "") -> list[StationLines]:
    """Return the plan of a day by station: the measures whose title holds `words`, and `show`."""
    found = []
    for name, title in STATIONS.items():
        off = SWITCHED_OFF if plan.is_off(name, day) else ""
        materials = list(_materials(plan, day, name, off))
        kept = [
            Material(m.name, m.title, m.off, lines)
            for m in materials
            if (lines := tuple(line for line in m.lines if _asked(line, words, show)))
        ]
        if kept:
            found.append(StationLines(name, title, off, tuple(kept)))
    return found


def _asked(line: Line, words: str, show: str) -> bool:
    title = line.measure.title
    if _bare(words) not in _bare(f"{_(title)} {title} {line.measure.name}"):
        return False
    wanted = {ON: not line.off, OFF: bool(line.off), CHOSEN: line.chosen}
    return wanted.get(show, True)


def _bare(words: str) -> str:
    """Return words as a search compares them, whatever their case and with or without commas."""
    return " ".join(words.casefold().replace(",", " ").split())


def _materials(plan: Plan, day: date, station: str, station_off: str) -> Iterable[Material]:
    own = [m for m in MEASURES.values() if m.station == station]
    for name in dict.fromkeys(m.stream for m in own):
        title = VESSELS.get(name) or STREAMS[name].title
        off = _why_off(plan, day, name)
        lines = tuple(
            _line(plan, day, m, STATION_OFF if station_off else off)
            for m in own
            if m.stream == name
        )
        yield Material(name, title, off, lines)


def _why_off(plan: Plan, day: date, name: str) -> str:
    if plan.is_off(name, day):
        return SWITCHED_OFF
    return "" if plan.has(name, day) else NOT_HERE


def _line(plan: Plan, day: date, measure: Measure, off: str) -> Line:
    sampling = plan.sampling(measure.name, day)
    not_taken = NOT_TAKEN if sampling.taken == NOT_TAKEN else ""
    return Line(measure, sampling, sampling_words(sampling), off or not_taken)
