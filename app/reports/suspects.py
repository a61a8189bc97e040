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
FAR = 10.0  # times what is stated: a measurement that cannot move a balance so is not tested
SEEN = 0.002  # of what comes in, by which it would have to
ALIKE = 4.0  # of squared multiples: closer than that, two suspects cannot be told apart
WITHIN = 2.0  # times what is stated: a lasting bias that is smaller is no news
OTHERS = 2

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
        how = amount(self.measure, self.bias)
        if self.bias > 0:
            return _(
                "{measure}: about {amount} too high", measure=name_of(self.measure), amount=how
            )
        return _("{measure}: about {amount} too low", measure=name_of(self.measure), amount=how)

    @property
    def times_stated(self) -> str:
        """How many times what is stated of it that is."""
        return printed(abs(self.bias) / self.stated, 0 if abs(self.bias) > 9.5 * self.stated else 1)


@dataclass(frozen=True)
class Verdict:
    """What the balances say, first in one sentence; `first` is None where nothing stands out."""

    sentence: str
    how_sure: str
    first: Suspect | None
    others: tuple[Suspect, ...]
    check_first: str
    ended: str
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
    every = list(_suspects(closing, days, measured))
    now = [level for level, _change in every]
    changes = [change for _level, change in every if change]
    last = days.last_row
    lasting = [change for change in changes if change.found and change.found.last == last]
    tried = max((s.found.change.tried for s in lasting if s.found), default=1)
    tests = len(every)
    found = _standing_out(lasting, multiple_limit(tests * tried), news=True)
    limit = multiple_limit(tests * tried) if found else multiple_limit(tests)
    found = found or _standing_out(now, limit, news=False)
    ended = _ended(books, changes, days, tests)
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


def _suspects(
    closing: Closing, days: Days, tested: Sequence[Measured]
) -> Iterator[tuple[Suspect, Suspect | None]]:
    """Yield each measurement as off in this period, and as off since some day before its end."""
    for each in tested:
        named = each.measure, each.source, each.units
        bias, standard = closing.misfit.bias(closing.moves(each.source, each.units))
        found = days.change(each.source, each.units)
        change = None
        if found is not None:
            by = found.change.by, found.change.multiple
            change = Suspect(*named, *by, each.stated, found)
        yield Suspect(*named, bias, bias / standard, each.stated, None), change


def _standing_out(suspects: Sequence[Suspect], limit: float, *, news: bool) -> list[Suspect]:
    """Return who stands out: whoever explains nearly as much as the best, the least odd first."""
    best = max((abs(suspect.multiple) for suspect in suspects), default=0.0)
    if best <= limit:
        return []
    alike = [s for s in suspects if s.multiple**2 > best**2 - ALIKE]
    found = sorted(alike, key=lambda s: abs(s.bias) / s.stated)
    return [] if news and abs(found[0].bias) <= WITHIN * found[0].stated else found


def _nothing(closing: Closing) -> str:
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


def _ended(books: SeasonBooks, changes: Sequence[Suspect], days: Days, tests: int) -> str:
    """Say that some measurement did read wrong for a while, where that explains most."""
    best = max(changes, key=lambda s: abs(s.multiple), default=None)
    if best is None or best.found is None or best.found.last == days.last_row:
        return ""
    found = _standing_out(
        [s for s in changes if s.found and s.found.last != days.last_row],
        multiple_limit(tests * best.found.change.tried), news=True,
    )  # fmt: skip
    if not found or found[0].found is None:
        return ""
    return _(
        "From about {first} to {last} something was off that no longer is; likeliest {suspect}.",
        first=short_day(books.days[found[0].found.first]),
        last=short_day(books.days[found[0].found.last]), suspect=found[0].words,
    )  # fmt: skip
