"""Checks of single results: against what is usual, and against what stood on the shifts before."""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from app.chemistry.control_chart import (
    RANGE_LIMIT,
    Limits,
    beyond,
    follow_each_other,
    limits,
    run_on_one_side,
)
from app.figures.sources import COMMON, Source
from app.language import _
from app.plant.measures import Measure
from app.reports.checks.declare import Check, declare
from app.reports.numbers import as_read, printed

CHART = 20  # results that a control chart looks back on
_NIST = Source("NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2", "read as quoted")
_WESTERN_ELECTRIC = Source(
    "Western Electric, Statistical Quality Control Handbook, 1956", "from memory"
)
_BY_CHANCE = 1 / 1000  # less likely repeats are asked about


@dataclass(frozen=True)
class Shown:
    """A result and those of the shifts before, oldest first."""

    measure: Measure
    value: float
    before: Sequence[float]

    @property
    def text(self) -> str:
        """The result with its unit."""
        return self.printed(self.value)

    def printed(self, value: float, digits: int = 0) -> str:
        """Return a value with the unit of the measure."""
        unit = "" if self.measure.prop == "ph" else f" {_(self.measure.unit)}"
        return f"{printed(value, self.measure.decimals + digits)}{unit}"

    @property
    def last(self) -> str:
        """What stood on the last shift that had a result, and how far that is off."""
        if not self.before:
            return ""
        decimals, before = self.measure.decimals, self.before[-1]
        apart = printed(abs(self.value - before), decimals)
        was = printed(before, decimals)
        if self.value > before:
            return "; " + _("{number} before, this is {apart} above", number=was, apart=apart)
        if self.value < before:
            return "; " + _("{number} before, this is {apart} below", number=was, apart=apart)
        return "; " + _("{number} before", number=was)

    @cached_property
    def chart(self) -> Limits | None:
        """The control chart of the last results before."""
        return limits(self.before[-CHART:])

    @property
    def chance_of_a_repeat(self) -> float:
        """How likely a result repeats the one before to the last digit, by its mean step.

        Steps of a normal distribution of mean size m are nothing, to a digit d, d ÷ (π × m) times.
        """
        if self.chart is None:
            return 1.0
        mean_step = self.chart.moving_range / RANGE_LIMIT
        return min(1.0, 10.0**-self.measure.decimals / (math.pi * mean_step))

    @property
    def usual(self) -> str:
        """The usual range."""
        low, high = self.measure.usual
        return _("{low} to {high}", low=as_read(f"{low:g}"), high=as_read(f"{high:g}"))


@dataclass(frozen=True)
class Found:
    """What a check found of a result: words, and how large it is."""

    words: str
    size: float


Judge = Callable[[Shown], Found | None]


SLIPPED_POINT = declare(
    Check(
        "slipped_point",
        "Ten times or a tenth of the usual",
        "With its decimal point moved by one place the result would be usual.",
        (
            "the decimal point slipped in typing",
            "kg were typed for t, or a dilution was not reckoned with",
            "read from the wrong line",
        ),
        COMMON,
    )
)
SUGAR_IN_WATER = declare(
    Check(
        "sugar_in_water",
        "Sugar in water",
        "A trace above the usual of the mill's plan. Sugar in boiler water turns acid and eats the "
        "boiler: what is above the limit of its maker goes to drain at once, by local rules. In "
        "other water it is sugar that is lost.",
        (
            "a tube of a heater, an effect or a pan leaks",
            "juice was carried over: a level too high, foam, a sudden vacuum, a worn separator",
            "condensate of another vessel was turned into this line",
            "the flask or the sampling line was not clean: test again",
        ),
        COMMON,
    )
)
USUAL_RANGE = declare(
    Check(
        "usual_range",
        "Outside the usual range",
        "The mill says in its plan within which range each result usually lies.",
        (
            "read from the wrong line, or figures exchanged",
            "the sample was not a fair one: taken at a start, a stop, or from a dead corner",
            "the instrument is off: test again",
            "it is so: say what the factory did",
        ),
        COMMON,
    )
)
SUDDEN_JUMP = declare(
    Check(
        "sudden_jump",
        "A sudden jump",
        "The result lies beyond three sigma of the last 20, by individuals and moving ranges, and "
        "so does its step from the one before: results of a factory follow each other, and one "
        "that has drifted there has not jumped.",
        (
            "figures exchanged, or read from the wrong line",
            "the sample of another place or time",
            "the instrument was set anew, or is off",
            "the factory changed suddenly: a stop, other cane, a valve",
        ),
        _NIST,
    )
)
LONG_RUN = declare(
    Check(
        "long_run",
        "Eight in a row on one side",
        "This result makes it eight on one side of the mean of the 20 before. It is not asked "
        "where results follow each other, as most of a factory do, nor again while a run goes on.",
        (
            "an instrument has drifted: hold it against a standard",
            "another method, reagent or dilution since the run began",
            "the factory runs at a new level",
        ),
        _WESTERN_ELECTRIC,
    )
)
SAME_AGAIN = declare(
    Check(
        "same_again",
        "The same as on the last shift, to the last digit",
        "Several analyses of one sample that all repeat those of the last shift are rarely found: "
        "asked where chance would do it less than once in 1000 times, by how far each result steps "
        "from shift to shift.",
        (
            "the results of the last shift were typed again",
            "the sheet of another shift was open",
            "the sample of the last shift was analysed again",
        ),
        COMMON,
    )
)


def slipped(shown: Shown) -> Found | None:
    """Find a result that would be usual with its decimal point moved by one place."""
    low, high = shown.measure.usual
    if low <= 0 or low <= shown.value <= high:
        return None
    said = {"result": shown.text, "usual": shown.usual}
    if low <= shown.value / 10 <= high:
        words = _("{result}, about ten times the usual {usual}", **said)
    elif low <= shown.value / 0.1 <= high:
        words = _("{result}, about a tenth of the usual {usual}", **said)
    else:
        return None
    return Found(f"{words}{shown.last}", 10)


def sweet(shown: Shown) -> Found | None:
    """Find a sugar trace above the usual."""
    return outside(shown) if shown.measure.prop == "sugar_trace" else None


def outside(shown: Shown) -> Found | None:
    """Find a result outside the usual range."""
    low, high = shown.measure.usual
    side = shown.measure.side(shown.value)
    if not side:
        return None
    off = shown.value - high if shown.value > high else low - shown.value
    apart = printed(off, shown.measure.decimals)
    size = off / (high - low) if high > low else off
    words = _(
        "{result}, {apart} {side} (usual {usual})",
        result=shown.text, apart=apart, side=side, usual=shown.usual,
    )  # fmt: skip
    return Found(f"{words}{shown.last}", size)


def jumped(shown: Shown) -> Found | None:
    """Find a result beyond three sigma of those before, which it reached at one step."""
    chart = shown.chart
    if chart is None or not beyond(shown.value, chart):
        return None
    if abs(shown.value - shown.before[-1]) <= chart.moving_range:
        return None
    reach = chart.high - chart.centre
    size = (abs(shown.value - chart.centre) - reach) / (2 * reach)
    low = max(chart.low, shown.measure.hard[0])
    words = _(
        "{result}, {low} to {high} by the shifts before",
        result=shown.text, low=shown.printed(low, 1), high=shown.printed(chart.high, 1),
    )  # fmt: skip
    return Found(f"{words}{shown.last}", size)


def ran_on(shown: Shown) -> Found | None:
    """Find a result that makes it eight in a row on one side of the mean of those before."""
    chart, series = shown.chart, [*shown.before, shown.value]
    if chart is None or not run_on_one_side(series, chart.centre):
        return None
    if run_on_one_side(shown.before, chart.centre) or follow_each_other(shown.before):
        return None
    said = {"result": shown.text, "mean": shown.printed(chart.centre, 1)}
    words = _("{result} makes it eight in a row below the mean {mean}", **said)
    if shown.value > chart.centre:
        words = _("{result} makes it eight in a row above the mean {mean}", **said)
    return Found(words, 0.1)


Judged = tuple[Check, Judge]

# of one result the most telling is asked, not all of them: in this order
OF_ONE_SAMPLE: tuple[Judged, ...] = (
    (SLIPPED_POINT, slipped),
    (SUGAR_IN_WATER, sweet),
    (USUAL_RANGE, outside),
)
OF_SAMPLES: tuple[Judged, ...] = ((SUDDEN_JUMP, jumped), (LONG_RUN, ran_on))
OF_ONE_RESULT: tuple[Judged, ...] = (*OF_ONE_SAMPLE, *OF_SAMPLES)


def repeated(analyses: Mapping[str, Shown]) -> tuple[str, ...]:
    """Return those analyses of one sample that repeat the last shift's, where that is telling."""
    chances = {
        name: shown.chance_of_a_repeat
        for name, shown in analyses.items()
        if shown.before and shown.value == shown.before[-1]
    }
    telling = len(chances) > 1 and math.prod(chances.values()) < _BY_CHANCE
    return tuple(chances) if telling else ()
