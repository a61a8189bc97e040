"""What may be chosen of a mill's plan, from which day on: the rules, said by field."""

import re
from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

from app.language import _, either, ngettext
from app.ledger.cells import Refused, readable_reason, understand
from app.ledger.desk import Desk
from app.ledger.plan import Change
from app.ledger.uncertainty import A_NUMBER, NO_DAY, WrongFields
from app.plant.grains import DAY, SHIFT, WEEK, Range
from app.plant.measures import MEASURES, PROPERTIES, Measure
from app.plant.plan import DUE, NOT_ALWAYS, NOT_TAKEN, Part, Plan, Sampling
from app.plant.samples import EVERY, LAST, MEAN, SUM

TAKEN = (DUE, NOT_ALWAYS, NOT_TAKEN)
LIMITS = ("usual_low", "usual_high", "hard_low", "hard_high")

# how often a measure is taken, as a form sends it: its grain, and the hours between samples
OFTEN = {
    **{f"{SHIFT}-{every}": (SHIFT, every) for every in EVERY},
    DAY: (DAY, 0),
    WEEK: (WEEK, 0),
}

_FINEST = {SHIFT: 0, DAY: 1, WEEK: 2}

TOO_OFTEN = (
    "{weight} is taken each {seldom}, and {analysis}, which it carries, each {often}: an analysis "
    "is not taken more often than the weight that it is averaged by"
)
TOO_OFTEN_LATER = (
    "{weight} is taken each {seldom} from {day} on, and {analysis}, which it carries, each "
    "{often}: an analysis is not taken more often than the weight that it is averaged by"
)


def would_hide(desk: Desk, change: Change) -> str:
    """Say which results would have no box any more, or one of another time, if any would."""
    before, after = desk.choices.plan, desk.choices.with_change(change).plan
    hidden = {
        name: last
        for name, last in desk.entered.items()
        if last >= change.since
        and any(
            _box(before, name, day) not in (None, _box(after, name, day))
            for day in (change.since, last)
        )
    }
    if not hidden:
        return ""
    last = max(hidden.values())
    name = next(name for name, day in hidden.items() if day == last)
    said = {"title": _(MEASURES[name].title), "last": last, "day": last + timedelta(days=1)}
    if len(hidden) == 1:
        return _(
            "Results of {title} stand up to {last} and would lose their boxes: choose {day} or "
            "later",
            **said,
        )
    return ngettext(
        "Results of {title} and {count} more stand up to {last} and would lose their boxes: "
        "choose {day} or later",
        "Results of {title} and {count} more stand up to {last} and would lose their boxes: "
        "choose {day} or later",
        len(hidden) - 1,
        **said,
    )


def _box(plan: Plan, name: str, day: date) -> tuple[str, int] | None:
    measure = plan.on(day).get(name)
    return (measure.grain, measure.every) if measure else None


def rules_of(measure: Measure) -> tuple[str, ...]:
    """Return the rules that may make a shift's result: a mean of weights is no weight of a shift.

    Stock is a level, so that only the last of it stands for the end of the shift.
    """
    if measure.station == "stock":
        return (LAST,)
    return (SUM, LAST) if measure.prop in ("weight", "hours", "volume") else (MEAN, LAST)


def widest(measure: Measure) -> Range:
    """Return the widest limits that a mill may set: where a number can still be that measure."""
    _, _, _, (low, high) = PROPERTIES.get(measure.prop, ("", "", 0, measure.hard))
    return min(low, measure.hard[0]), max(high, measure.hard[1])


def sampling_change(desk: Desk, measure: Measure, typed: Mapping[str, str]) -> Change:
    """Return how a measure is to be taken, as typed; WrongFields where it cannot be."""
    wrong: dict[str, str] = {}
    own = MEASURES[measure.name]
    if typed["taken"] not in TAKEN:
        wrong["taken"] = _("Choose whether it is taken")
    if typed["often"] not in OFTEN:
        wrong["often"] = _("Choose how often it is taken")
    if typed["rule"] not in rules_of(own):
        wrong["rule"] = _(
            "Of {title} the rule is {rules}",
            title=_(own.title),
            rules=either(map(_, rules_of(own))),
        )
    limits = _limits(own, typed, wrong)
    since, reason = when_and_why(desk, typed, wrong)
    if wrong:
        raise WrongFields(wrong)
    taken, (grain, every), rule = typed["taken"], OFTEN[typed["often"]], typed["rule"]
    usual, hard = (limits[0], limits[1]), (limits[2], limits[3])
    chosen = Sampling(own.name, since, taken, grain, every, rule, usual, hard)
    change = Change(since, reason, sampling=chosen)
    if chosen == desk.choices.plan.sampling(own.name, since)._replace(since=since):
        raise WrongFields({"since": _("All of this holds on that day already: nothing is changed")})
    if problem := _wrong_grain(desk, own, change):
        raise WrongFields({"often": problem})
    return _seen(desk, change)


def _limits(measure: Measure, typed: Mapping[str, str], wrong: dict[str, str]) -> list[float]:
    """Read four limits: numbers that can be that measure, in their order."""
    possible = {measure.name: replace(measure, hard=widest(measure))}
    found: dict[str, Decimal] = {}
    for name in LIMITS:
        try:
            change = understand(
                measure.name, typed[name], unreadable=_(A_NUMBER), measures=possible
            )
        except Refused as refused:
            wrong[name] = str(refused)
            continue
        if change.value is None:
            wrong[name] = _(A_NUMBER)
        else:
            found[name] = change.value
    if len(found) == len(LIMITS):
        wrong |= _out_of_order(*found.values())
    return [float(value) for value in found.values()]


def _out_of_order(low: Decimal, high: Decimal, least: Decimal, most: Decimal) -> dict[str, str]:
    """Say which of a usual range and of the hard limits round it is out of order."""
    found = {}
    if low >= high:
        found["usual_high"] = _("The usual range ends above where it begins, {low}", low=low)
    if least > low:
        found["hard_low"] = _(
            "The hard limits hold the usual range, which begins at {low}", low=low
        )
    if most < high:
        found["hard_high"] = _(
            "The hard limits hold the usual range, which ends at {high}", high=high
        )
    return found


def when_and_why(desk: Desk, typed: Mapping[str, str], wrong: dict[str, str]) -> tuple[date, str]:
    """Read since when a change holds and why; what is wrong is put into `wrong` by field."""
    since = _day(typed["since"].strip())
    if since is None:
        wrong["since"], since = _(NO_DAY), desk.last
    elif since < desk.begins:
        wrong["since"] = _("The first season of this mill began on {day}", day=desk.begins)
    elif approved := desk.approved_by(since):
        wrong["since"] = approved
    elif since > desk.last:
        wrong["since"] = _("Choose a day within a year, {last} at the latest", last=desk.last)
    try:
        reason = readable_reason(typed["reason"])
    except Refused as refused:
        wrong["reason"], reason = str(refused), ""
    else:
        if not reason:
            wrong["reason"] = _("Say in words why, or who says so")
    return since, reason


def _day(text: str) -> date | None:
    if not re.fullmatch(r"\d{4}-\d{2}-\d{2}", text, re.ASCII):
        return None
    try:
        return date.fromisoformat(text)
    except ValueError:
        return None


def _wrong_grain(desk: Desk, measure: Measure, change: Change) -> str:
    """Say why a measure cannot be taken so often, if it cannot."""
    chosen = change.sampling
    if chosen is None or chosen.taken == NOT_TAKEN:
        return ""
    weight = rules_of(measure)[0] == SUM
    if weight and chosen.grain == WEEK:
        return _("What is weighed or counted adds up to days: take it each shift or each day")
    return too_often(desk.choices.with_change(change).plan, change.since, measure.name)


def too_often(plan: Plan, since: date, name: str = "") -> str:
    """Say which analysis would be taken more often than the weight that carries it, if one is.

    From `since` on, whatever comes into force later; of the analyses of `name`, or that one itself.
    """
    for day in plan.days_from(since):
        in_use, every = plan.on(day), plan.every(day)
        for measure in in_use.values():
            if not measure.carrier or name not in ("", measure.name, measure.carrier):
                continue
            weight = every[measure.carrier]
            if _FINEST[measure.grain] < _FINEST[weight.grain]:
                return _(
                    TOO_OFTEN if day == since else TOO_OFTEN_LATER,
                    weight=_(weight.title), seldom=_(weight.grain), day=day,
                    analysis=_(measure.title), often=_(measure.grain),
                )  # fmt: skip
    return ""


def part_change(desk: Desk, part: str, typed: Mapping[str, str]) -> Change:
    """Return that a part is to be switched on or off; WrongFields where it cannot be."""
    wrong: dict[str, str] = {}
    if typed["in_use"] not in ("yes", "no"):
        wrong["in_use"] = _("Choose whether it is in use")
    since, reason = when_and_why(desk, typed, wrong)
    if not wrong and desk.choices.plan.is_off(part, since) == (typed["in_use"] == "no"):
        wrong["since"] = _("It is switched on already then")
        if typed["in_use"] == "no":
            wrong["since"] = _("It is switched off already then")
    if wrong:
        raise WrongFields(wrong)
    change = Change(since, reason, part=Part(part, typed["in_use"] == "yes", since))
    if problem := too_often(desk.choices.with_change(change).plan, since):
        raise WrongFields({"in_use": problem})
    return _seen(desk, change)


def conventions_change(
    desk: Desk,
    values: Mapping[str, str],
    holds: Callable[[str, date], str],
    typed: Mapping[str, str],
    wrong: Mapping[str, str],
) -> Change:
    """Return that conventions are to have `values`, as far as something else `holds` on that day.

    Raises WrongFields, also for what is `wrong` with the values.
    """
    found = dict(wrong)
    since, reason = when_and_why(desk, typed, found)
    other = {name: value for name, value in values.items() if holds(name, since) != value}
    if not found and not other:
        found["since"] = _("All of this holds on that day already: nothing is changed")
    if found:
        raise WrongFields(found)
    return _seen(desk, Change(since, reason, conventions=other))


def _seen(desk: Desk, change: Change) -> Change:
    """Return a change that hides no result; WrongFields for one that would."""
    if problem := would_hide(desk, change):
        raise WrongFields({"since": problem})
    return change


def target_change(
    desk: Desk, figure: str, value: float, typed: Mapping[str, str], wrong: Mapping[str, str]
) -> Change:
    """Return that a figure is to have a target; WrongFields, also for what is `wrong` with it."""
    found = dict(wrong)
    since, reason = when_and_why(desk, {**typed, "reason": "a target"}, found)
    if not found and desk.choices.targets_on(since).get(figure) == value:
        found["since"] = _("This target holds on that day already: nothing is changed")
    if found:
        raise WrongFields(found)
    return Change(since, reason, targets={figure: value})
