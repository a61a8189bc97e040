"""What stands out of a day: what to look at first, at most seven, with what it is worth in sugar.

A measurement that likeliest reads wrong goes first, because losses behind it may not be real; then
what throws doubt on results or cannot wait; then losses that are more than measuring error, the
largest first; and last large ones that measuring error alone may explain.
"""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

import numpy as np

from app.figures import FIGURES
from app.figures.closing import FIGURES_ASKED as OF_BALANCES
from app.figures.effects_of_loss import cane_not_crushed
from app.figures.periods import Result
from app.figures.points import ASKED
from app.language import _
from app.plant.calendar import Clock
from app.reports.balance import Judged, judged
from app.reports.dates import moment
from app.reports.day_trend import DayTrend, trends
from app.reports.findings import (
    DOUBTFUL,
    IN_DOUBT,
    LOSS,
    NOT_MADE,
    READS_WRONG,
    REAL,
    SWEET,
    URGENT,
    WRONG,
    Exact,
    Finding,
    Told,
)
from app.reports.instruments import Doubt
from app.reports.numbers import COVERAGE_FACTOR, printed
from app.reports.points import DECIMALS, OF_CANE, Part, Points, points, side_in, target_side
from app.reports.season_books import SeasonBooks
from app.reports.sugar_traces import PlaceLine
from app.reports.suspects import WEIGHT
from app.reports.worth import NEEDED as OF_WORTH
from app.reports.worth import Worth, worth_of

AT_MOST = 7
LARGE = 0.5  # points of recovery: a smaller loss that measuring error may explain is not told
LEAST = 0.05  # t of sugar: what prints as nothing is none

# by which figure the last days of a part are told
OF_PARTS = {
    "extraction": "pol_extraction", "juice_purity": "mixed_juice_purity",
    "filter_cake": "filter_cake_loss", "molasses_purity": "final_molasses_purity",
    "sugar_quality": "sugar_purity", "rest": "undetermined_loss",
}  # fmt: skip
EFFICIENCY, RATE, HOURS = "time_efficiency", "crushing_rate", "crushing_hours"
POL = "pol_in_cane"
# how sure these are is asked at once
DOUBTED = (*ASKED, EFFICIENCY, RATE, *OF_BALANCES)
NEEDED = (*DOUBTED, HOURS, POL, *OF_WORTH)


@dataclass(frozen=True)
class Around:
    """What other books tell of a day: instruments in doubt, and places with sugar in water."""

    clock: Clock
    doubts: Sequence[Doubt] = ()
    sweet: Sequence[PlaceLine] = ()


@dataclass
class _Day:
    """A day of a season's books, and what it is judged by."""

    books: SeasonBooks
    day: date
    targets: Mapping[str, float]
    result: Result  # of the day, the week and the season to date
    worth: Worth = field(init=False)
    trends: Mapping[str, DayTrend] = field(init=False)

    def __post_init__(self) -> None:
        self.worth = worth_of(self.result)
        shown = (*OF_PARTS.values(), EFFICIENCY, RATE)
        self.trends = trends(self.books, self.day, shown, self.targets)


def exceptions(
    books: SeasonBooks, day: date, result: Result, targets: Mapping[str, float], around: Around
) -> Told:
    """Return what stands out of a day, by a result of the day, its week and its season to date."""
    of = _Day(books, day, targets, result)
    side = side_in(_("Day"), books, result, "")
    of_recovery = points(target_side(targets), side, float(result.values[POL][0]))
    balances = judged(books, result.periods[0])
    found = [
        *_wrong(balances, of.worth), *_in_doubt(around), *_in_water(around, day),
        *_of_recovery(of, of_recovery), *_of_time(of),
    ]  # fmt: skip
    found.sort(key=lambda each: (each.rank, -np.nan_to_num(each.sugar)))
    found = [
        replace(each, money=of.worth.money(each.sugar), amount=of.worth.amount(each.sugar),
                currency=of.worth.called)
        for each in found
    ]  # fmt: skip
    untold = list(_not_judged(of, of_recovery, balances))
    notes = [*of_recovery.says[:1], *(words for words, _no_target in untold)]
    if sum(each.rank in (REAL, DOUBTFUL) for each in found) > 1:
        notes.append(_("Losses of recovery add up; sugar not made for want of time or rate stands "
                       "apart, for its cane is not lost."))  # fmt: skip
    return Told(
        tuple(found[:AT_MOST]), tuple(found[AT_MOST:]), tuple(notes),
        any(no_target for _words, no_target in untold), of.worth.price > 0, judged=not untold,
    )  # fmt: skip


def _wrong(by: Judged, worth: Worth) -> Iterator[Finding]:
    """Yield the measurement that likeliest reads wrong, if one stands out of the balances."""
    if by.verdict.first is None:
        return
    seeming = worth.of_pol(by.same_loss)
    says = _("Losses behind it may not be real.")
    if seeming > LEAST:
        says = _(
            "Losses behind it may not be real: so wrong, it makes {tonnes} t of sugar a day seem "
            "lost.", tonnes=printed(seeming, 1),
        )  # fmt: skip
    measure, bias = by.verdict.first.measure, by.verdict.first.bias
    unit, decimals = ("%", 1) if measure.prop == WEIGHT else (measure.unit, measure.decimals)
    yield Finding(
        WRONG, READS_WRONG, measure.name, by.verdict.sentence, unit=unit,
        verdict=f"{says} {by.verdict.check_first}",
        leads=((_("Is the balance right?"), "balance"),),
        exact=Exact(difference=bias, seeming=max(seeming, 0.0), decimals=decimals),
    )  # fmt: skip


def _in_doubt(around: Around) -> Iterator[Finding]:
    for doubt in around.doubts:
        said = _(
            "{what} {which} failed its standard check on {at}, off by {error}: what it measured "
            "since the last good check is in doubt.",
            what=_(doubt.title), which=doubt.instrument, error=doubt.failed.error_words,
            at=moment(doubt.failed.at, around.clock),
        )  # fmt: skip
        day = around.clock.local(doubt.failed.at).date()
        address = f"/books/standard_checks?last={day}#doubt-{doubt.failed.record}"
        yield Finding(
            URGENT, IN_DOUBT, doubt.kind, said, leads=((_("The results in doubt"), address),),
            exact=Exact(difference=doubt.failed.error, decimals=3),
        )  # fmt: skip


def _in_water(around: Around, day: date) -> Iterator[Finding]:
    for place in around.sweet:
        told = {"place": _(place.title), "highest": place.highest, "count": place.above}
        said = (
            _("Sugar in water, {place}: 1 trace above the usual, {highest} mg/kg.", **told)
            if place.above == 1
            else _("Sugar in water, {place}: {count} traces above the usual, the highest {highest} "
                   "mg/kg.", **told)
        )  # fmt: skip
        silent = _("Not every one says what was done.") if place.silent else ""
        address = f"/books/water?first={day}&last={day}"
        yield Finding(
            URGENT, SWEET, place.place, said, unit="mg/kg", verdict=silent,
            leads=((_("Sugar traces in water"), address),),
            exact=Exact(value=place.most, decimals=0),
        )  # fmt: skip


def _of_recovery(of: _Day, shared: Points) -> Iterator[Finding]:
    """Yield the parts by which recovery is behind its target: real ones, and large ones."""
    pol_in_cane = float(of.result.values[POL][0])
    for part in shared.parts:
        sugar = of.worth.of_pol(-part.tonnes)
        real = part.is_real or not math.isfinite(part.standard)
        if sugar < LEAST or part.change > 0 or not (real or part.change <= -LARGE):
            continue
        unit = part.kind.unit if part.kind.unit != OF_CANE else "%"
        opens = tuple((_(FIGURES[n].title), f"figures/{n}") for n in part.kind.opens[:1])
        yield Finding(
            REAL if real else DOUBTFUL, LOSS, part.name, _(part.kind.title), part.now, unit,
            part.before, _difference(part), sugar, verdict=_told_real(part, shared),
            trend=of.trends[OF_PARTS[part.name]],
            leads=((_("Where the points went"), "points"), *opens),
            exact=Exact(
                part.became, part.was, part.became - part.was,
                of.worth.of_pol(part.standard * pol_in_cane / 100),
            ),
        )  # fmt: skip


def _told_real(part: Part, shared: Points) -> str:
    """Say whether a part is real; and of the rest, of which two it is made."""
    if part.name != "rest" or not shared.of_rest:
        return part.verdict
    undetermined, molasses = (each.now for each in shared.of_rest)
    return _(
        "{verdict}; of it {undetermined} undetermined loss and {molasses} molasses weighed against "
        "purities",
        verdict=part.verdict, undetermined=undetermined, molasses=molasses,
    )  # fmt: skip


def _difference(part: Part) -> str:
    by = part.became - part.was
    number = printed(abs(by), DECIMALS)
    if part.name == "sugar_quality" and by > 0:
        return _("{number} above: better sugar, at the cost of recovery", number=number)
    return (
        _("{number} above: worse", number=number) if by > 0
        else _("{number} below: worse", number=number)
    )  # fmt: skip


def _of_time(of: _Day) -> Iterator[Finding]:
    """Yield time and rate that are behind their targets, with the sugar that was not made."""
    values, targets = of.result.values, of.targets
    hours, rate = float(values[HOURS][0]), float(values[RATE][0])
    period = of.result.periods[0]
    gross = float(of.books.books.entered["gross_hours"][period.first : period.last].sum())
    usual = float(values[RATE][-1])  # of the season, where the day had none or none is aimed at
    hours_wanted = targets[EFFICIENCY] * gross / 100 if EFFICIENCY in targets else hours
    rate_wanted = targets.get(RATE, rate if math.isfinite(rate) else usual)
    lost = cane_not_crushed(hours, rate, (hours_wanted, rate_wanted))
    stops = f"/trends/stops?first={of.day}&last={of.day}"
    for name, cane in zip((EFFICIENCY, RATE), lost, strict=True):
        sugar = of.worth.of_cane(cane)
        if name not in targets or sugar < LEAST:
            continue
        figure, value = FIGURES[name], float(values[name][0])
        by, standard = targets[name] - value, of.result.certainty.standard(name)
        real = not by <= COVERAGE_FACTOR * standard
        is_small = by < targets[name] * LARGE / 100 or sum(lost) <= 0  # the other makes up for it
        if not by > 0 or (not real and is_small):
            continue
        yield Finding(
            REAL if real else DOUBTFUL, NOT_MADE, name, _(figure.title),
            printed(value, figure.decimals), figure.unit, printed(targets[name], figure.decimals),
            _("{number} below: worse", number=printed(by, figure.decimals)), sugar, is_lost=False,
            verdict=_("more than measuring error") if real
            else _("measuring error alone may explain it"),
            trend=of.trends[name], leads=((_("Stops and losses"), stops),),
            exact=Exact(
                value, targets[name], -by, sugar * standard / by, decimals=figure.decimals
            ),
        )  # fmt: skip


def _not_judged(of: _Day, shared: Points, by: Judged) -> Iterator[tuple[str, bool]]:
    """Yield what could not be judged, and whether that is for want of a target."""
    if shared.stood or float(of.result.values[HOURS][0]) == 0:
        yield _("The mill stood: there is no recovery to judge."), False
        return
    if by.verdict.first is None and not by.fits:
        yield by.verdict.sentence, False
    if shared.lacks:
        lacks = "; ".join(shared.lacks[:3])
        yield (
            _("Losses of recovery are not judged. {lacks}.", lacks=lacks),
            bool(shared.before.lacks),
        )
    for name in (EFFICIENCY, RATE):
        title = _(FIGURES[name].title)
        if name not in of.targets:
            yield _("{figure} is not judged: it has no target.", figure=title), True
        elif not math.isfinite(of.result.values[name][0]):
            yield _("{figure} is not judged: it has no value.", figure=title), False
