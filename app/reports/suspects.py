"""Which measurement likeliest reads wrong, by how much and since when; or that none stands out.

The hypotheses are fixed: one measurement is off, alike on all its results, from some day on. A loss
that is really there is none of them, and looks like a weight that reads too high before it.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from app.chemistry.reconciliation import multiple_limit
from app.figures.closing import Closing, Season
from app.figures.closing_days import Days, Found
from app.figures.declare import ENTERED
from app.figures.sheets import Period
from app.language import _
from app.plant.measures import CARRIERS, MEASURES, Measure
from app.reports.dates import short_day
from app.reports.numbers import printed
from app.reports.season_books import SeasonBooks

WEIGHT = "weight"
# what is tested: what is weighed, and these analyses
TESTED = (WEIGHT, "brix", "pol", "purity", "fibre", "moisture", "suspended_solids")
FAR = 10.0  # times what is stated: so far off is what is broken, usually (common practice)
SEEN = 0.002  # of what comes in: what then moves no balance by so much is not tested
ALIKE = 4.0  # of squared multiples: closer than that, two suspects cannot be told apart
WITHIN = 2.0  # times what is stated: a lasting bias that is smaller is no news
OTHERS = 2
EPISODES = 4  # that ended again are looked for, one after the other, at most

# what to do first, by property
CHECK_FIRST = {
    WEIGHT: "Weigh a known load on it, look at its zero, and at its last standard check.",
    "brix": "Test the refractometer with a solution of known brix, and look at how it is sampled.",
    "pol": "Test the polarimeter with a quartz plate, then the flasks and the sampling.",
    "purity": "Test the refractometer and the polarimeter with a known solution.",
}
CHECK_ELSE = "Test a sample twice, by another pair of hands, and look at how it is sampled."


@dataclass(frozen=True)
class Measured:
    """A measure over a period: its value, and what each row of the season adds to that.

    `units` are a bias of 1 on each row: 1 % of a weight, 1 of the unit of an analysis. `stated` is
    the standard uncertainty of an error that is alike on all rows, in those.
    """

    measure: Measure
    source: str
    value: float
    weights: NDArray[np.float64]
    units: NDArray[np.float64]
    stated: float


@dataclass(frozen=True)
class Suspect:
    """A measurement that may be off: by how much, of how many of its uncertainties, since when.

    `bias` is in % of a weight, else in the unit of the measure; `stated` is what is stated of it.
    `found` tells since when, where that stands out.
    """

    measure: Measure
    source: str
    units: NDArray[np.float64]
    bias: float
    multiple: float
    stated: float
    found: Found | None

    @property
    def words(self) -> str:
        """Return "Mixed juice, weight: about 1.8 % too high"."""
        told = {"measure": name_of(self.measure), "amount": amount(self.measure, self.bias)}
        if self.bias > 0:
            return _("{measure}: about {amount} too high", **told)
        return _("{measure}: about {amount} too low", **told)

    @property
    def times(self) -> float:
        """How many times what is stated of it that is."""
        return abs(self.bias) / self.stated

    @property
    def evidence(self) -> float:
        """How much it explains, less what makes it odd: to be far off beside what is stated.

        Twice the logarithm of a likelihood, with biases of FAR times what is stated as usual.
        """
        usual = (FAR * self.stated) ** 2 + (self.bias / self.multiple) ** 2
        return self.multiple**2 - self.bias**2 / usual

    @property
    def times_stated(self) -> str:
        """That, as printed."""
        return printed(self.times, 0 if self.times > 9.5 else 1)

    @property
    def tried(self) -> int:
        """Among how many changes it is the one that explains most."""
        return self.found.change.tried if self.found else 1


@dataclass(frozen=True)
class Verdict:
    """What the balances say, first in one sentence; `first` is None where nothing stands out."""

    sentence: str
    how_sure: str
    first: Suspect | None
    others: tuple[Suspect, ...]
    check_first: str
    ended: tuple[str, ...]
    tested: int


def name_of(measure: Measure) -> str:
    """Return how the page calls a measurement; of a stream's weight, that it is one."""
    title = _(measure.title)
    return _("{stream}, weight", stream=title) if measure.prop == WEIGHT else title


def amount(measure: Measure, bias: float) -> str:
    """Return "1.8 %" of a weight, "0.11 °Bx" of an analysis."""
    if measure.prop == WEIGHT:
        return f"{printed(abs(bias), 1)}\u00a0%"
    return f"{printed(abs(bias), measure.decimals)}\u00a0{measure.unit}"


def tested(
    books: SeasonBooks, season: Season, closing: Closing, period: Period
) -> tuple[Measured, ...]:
    """Return what was weighed and analysed in a period, and would move a balance were it far off.

    Not what is dipped and analysed of stock: an error of it goes with the next dip.
    """
    found = []
    for source in season.sources:
        measure = MEASURES.get(source.removeprefix(ENTERED))
        if measure is None or measure.station == "stock" or measure.prop not in TESTED:
            continue
        each = _measured(books, season, period, measure)
        if each is None or not each.stated > 0:
            continue
        moves = closing.moves(source, each.units)
        if (FAR * each.stated * np.abs(moves) > SEEN * closing.into).any():
            found.append(each)
    return tuple(found)


def _measured(
    books: SeasonBooks, season: Season, period: Period, measure: Measure
) -> Measured | None:
    """Return a measure over a period, an analysis as its mean by carrier; None where it lacks."""
    source, rows = ENTERED + measure.name, slice(period.first, period.last)
    column = books.books.whole[measure.name]
    weights, there = np.zeros(len(column)), np.isfinite(column[rows])
    if measure.prop == WEIGHT:
        units = np.nan_to_num(column / 100)
        weights[rows] = there
    else:
        units = np.isfinite(column).astype(float)
        carrier = books.books.filled.get(CARRIERS.get(measure.name, ""), np.ones(len(column)))
        weights[rows] = np.where(there, np.nan_to_num(carrier[rows]), 0.0)
        weights /= weights.sum() or 1.0
    known = units > 0
    if not weights.any() or not known.any():
        return None
    stated = float(np.mean(season.systematic[season.place[source], known] / units[known]))
    value = float(np.nan_to_num(column) @ weights)
    return Measured(measure, source, value, weights, units, stated)


def verdict(
    books: SeasonBooks, closing: Closing, days: Days, measured: Sequence[Measured]
) -> Verdict:
    """Return what stands out of the balances of a period, and of the days up to its end."""
    tests = len(measured)
    found, limit, ended = _lasting(books, days, measured)
    if not found or found[0].times <= WITHIN:
        limit = multiple_limit(tests)
        found = _standing_out(list(_levels(closing, measured)), limit)
    if not found:
        return Verdict(_nothing(closing), "", None, (), "", ended, tests)
    first, others = found[0], tuple(found[1 : 1 + OTHERS])
    sure = _(
        "That is {multiple} times what errors of measuring explain; from {limit} on it stands out "
        "among all that was tried.",
        multiple=printed(abs(first.multiple), 1), limit=printed(limit, 1),
    )  # fmt: skip
    check = _(CHECK_FIRST.get(first.measure.prop, CHECK_ELSE))
    return Verdict(_sentence(books, first), sure, first, others, check, ended, tests)


def _lasting(
    books: SeasonBooks, days: Days, measured: Sequence[Measured]
) -> tuple[list[Suspect], float, tuple[str, ...]]:
    """Return who stands out since some day and still does, from what on, and what ended before.

    What ended again counts for nothing when the next is looked for.
    """
    ended: list[str] = []
    limit = 0.0
    for _episode in range(EPISODES):
        changes = list(_changes(days, measured))
        limit = multiple_limit(len(measured) * max((s.tried for s in changes), default=1))
        found = _standing_out(changes, limit)
        if not found or found[0].found is None:
            break
        if found[0].found.last == days.last_row:
            return found, limit, tuple(ended)
        ended.append(_ended(books, found[0], found[0].found))
        days = days.without(found[0].source, found[0].units, found[0].found)
    return [], limit, tuple(ended)


def _levels(closing: Closing, measured: Sequence[Measured]) -> Iterator[Suspect]:
    """Yield each measurement as off in this period."""
    for each in measured:
        bias, standard = closing.misfit.bias(closing.moves(each.source, each.units))
        if np.isfinite(standard):
            yield Suspect(
                each.measure, each.source, each.units, bias, bias / standard, each.stated, None
            )


def _changes(days: Days, measured: Sequence[Measured]) -> Iterator[Suspect]:
    """Yield each measurement as off since some day, or between two."""
    for each in measured:
        found = days.change(each.source, each.units)
        if found is not None:
            by = found.change.by, found.change.multiple
            yield Suspect(each.measure, each.source, each.units, *by, each.stated, found)


def _standing_out(suspects: Sequence[Suspect], limit: float) -> list[Suspect]:
    """Return who stands out, the likeliest first, with all that balances cannot tell from it."""
    most = max((abs(suspect.multiple) for suspect in suspects), default=0.0)
    if most <= limit:
        return []
    least = min(limit**2, most**2 - ALIKE)
    found = [suspect for suspect in suspects if suspect.multiple**2 > least]
    found.sort(key=lambda suspect: -suspect.evidence)
    least = found[0].multiple ** 2 - ALIKE
    return [suspect for suspect in found if suspect.multiple**2 > least]


def _nothing(closing: Closing) -> str:
    if closing.parts.get("cane") == 0:
        return _("The mill stood: there is nothing to balance.")
    if not closing.balances:
        return _("Too little is measured for a balance: nothing here can be tested.")
    if closing.misfit.statistic > closing.misfit.limit:
        return _(
            "The balances do not close as they should, but no single measurement stands out as the "
            "cause."
        )
    return _("Nothing stands out: all measurements fit the balances within what is stated of them.")


def _sentence(books: SeasonBooks, first: Suspect) -> str:
    """Say who likeliest reads wrong, by how much, and since when."""
    named = {"measure": name_of(first.measure), "amount": amount(first.measure, first.bias)}
    high = first.bias > 0
    if first.found is None:
        return (
            _("{measure} likeliest reads about {amount} too high.", **named) if high
            else _("{measure} likeliest reads about {amount} too low.", **named)
        )  # fmt: skip
    named["day"] = short_day(books.days[first.found.first])
    if first.found.change.grows:
        return (
            _("{measure} likeliest reads about {amount} high, more each day since about {day}.",
              **named) if high
            else _("{measure} likeliest reads about {amount} low, more each day since about {day}.",
                   **named)
        )  # fmt: skip
    return (
        _("{measure} likeliest reads about {amount} high since about {day}.", **named) if high
        else _("{measure} likeliest reads about {amount} low since about {day}.", **named)
    )  # fmt: skip


def _ended(books: SeasonBooks, suspect: Suspect, found: Found) -> str:
    """Say that something did read wrong for a while."""
    days = {"first": short_day(books.days[found.first]), "last": short_day(books.days[found.last])}
    if days["first"] == days["last"]:
        return _(
            "On {day} something was off that no longer is; likeliest {suspect}.",
            day=days["first"], suspect=suspect.words,
        )  # fmt: skip
    return _(
        "From about {first} to {last} something was off that no longer is; likeliest {suspect}.",
        **days, suspect=suspect.words,
    )  # fmt: skip
