"""The page of a control chart: what its address asks for, and what its limits rest on."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from difflib import get_close_matches
from typing import Any

from pydantic import TypeAdapter, ValidationError

from app.language import _
from app.ledger import mills
from app.ledger.baselines import MAY_KEEP, Kept, kept_baselines
from app.ledger.people import Person
from app.plant.calendar import Clock
from app.reports.control import (
    RULES,
    USUAL,
    Basis,
    Chart,
    Limits,
    Rule,
    basis_of,
    control_of,
    no_limits_because,
)
from app.reports.numbers import printed
from app.reports.series import PER, Place, Thing, places_of, things, values_of
from app.reports.table import KEY_FIGURES
from app.web.forms import WithProblems
from app.web.periods import Finder, known_words
from app.web.requests import Day

FIELDS = ("of", "per", "season", "first", "last", "from", "to", "version")
DAYS_OF_SHIFTS = 30  # shown at first of a chart by shift
_NEAR = 6
_DAY: TypeAdapter[date] = TypeAdapter(Day)


@dataclass(frozen=True)
class TrendsPage(WithProblems):
    """The form that asks for a chart; `near` is what an unknown name may have meant."""

    typed: Mapping[str, str]
    names: Mapping[str, Thing]
    seasons: Sequence[str]
    rules: Sequence[str] = USUAL
    wrong: Mapping[str, str] = field(default_factory=dict)
    near: Sequence[Thing] = ()

    @property
    def every_rule(self) -> tuple[Rule, ...]:
        """Every rule that may be switched on."""
        return tuple(RULES.values())

    @property
    def begin(self) -> tuple[str, ...]:
        """What a reader may begin with."""
        return KEY_FIGURES


@dataclass(frozen=True, kw_only=True)
class ChartPage(TrendsPage):
    """A control chart with what its limits rest on.

    `kept` is the baseline whose limits are shown, if it is one that is kept; `moved` are lower
    limit, centre and upper limit as its days would give them now, where they are others.
    """

    thing: Thing
    per: str
    season: str
    shown: tuple[date, date]
    chart: Chart
    basis: Basis
    kept: Kept | None
    every_kept: Sequence[Kept]
    moved: tuple[str, str, str] | None
    because: str
    clock: Clock
    may_keep: bool
    known: str
    reason: str = ""

    def refused(self, where: str, why: str, reason: str) -> "ChartPage":
        """Return the page with why a baseline was not kept."""
        return replace(self, wrong={**self.wrong, where: why}, reason=reason)


def asked_page(
    find: Finder, typed: Mapping[str, str], rules: Sequence[str], by: Person
) -> TrendsPage:
    """Return the chart that is asked for, or else the form that asks."""
    mill = mills.the_mill(find.connection)
    seasons = [season.name for season in mills.seasons(find.connection, mill)]
    names = things()
    page = TrendsPage(typed, names, seasons, rules)
    if not typed["of"] or not seasons:
        return page
    thing = _named(typed["of"], names)
    if thing is None:
        said = _("No measure or figure is called {name}", name=typed["of"])
        return replace(page, wrong={"of": said}, near=_near(typed["of"], names))
    return _chart(find, page, thing, by)


def _chart(find: Finder, form: TrendsPage, thing: Thing, by: Person) -> ChartPage:
    typed = form.typed
    asked = find.season(typed["season"] or form.seasons[0])
    per = typed["per"] if typed["per"] in PER else "day"
    places = places_of(asked.books, per, asked.days)
    values = values_of(asked.books, thing.name, [place.period for place in places])
    wrong: dict[str, str] = {}
    shown = _days(typed, "first", "last", wrong) or _all_of(asked.days, per)
    chosen = _days(typed, "from", "to", wrong)
    every = kept_baselines(find.connection, thing.name, per)
    kept = None if chosen else _which(every, typed["version"])
    now = basis_of(places, values, chosen or (kept and (kept.said.first, kept.said.last)) or None)
    basis, moved = now, None
    if kept:
        said = kept.said
        limits = Limits(said.low, said.centre, said.high, said.moving_range)
        basis = Basis(said.first, said.last, said.count, limits)
        moved = _moved(limits, now, thing, places)
    targets = mills.targets(find.connection, asked.mill, min(shown[1], asked.days[-1]))
    parts: dict[str, Any] = vars(form) | {"wrong": wrong}
    return ChartPage(
        **parts, thing=thing, per=per, season=asked.season.name, shown=shown,
        chart=control_of(
            thing, per, places, values, shown, basis, form.rules, targets.get(thing.name)
        ),
        basis=basis, kept=kept, every_kept=every, moved=moved,
        because="" if basis.limits else no_limits_because(basis),
        clock=asked.mill.clock, may_keep=by.role in MAY_KEEP,
        known=known_words(find, asked.mill),
    )  # fmt: skip


def _moved(
    limits: Limits, now: Basis, thing: Thing, places: Sequence[Place]
) -> tuple[str, str, str] | None:
    """Return what the days of a kept baseline would give now, where that is otherwise."""
    whole = now.first and places and places[0].first <= now.first
    if not whole or now.limits is None:  # of another season, or no longer to be told
        return None
    told = [
        tuple(printed(each, thing.decimals + 1) for each in (of.low, of.centre, of.high))
        for of in (limits, now.limits)
    ]
    low, centre, high = told[1]
    return None if told[0] == told[1] else (low, centre, high)


def _which(every: Sequence[Kept], version: str) -> Kept | None:
    asked = next((kept for kept in every if f"{kept.number}" == version), None)
    return asked or (every[-1] if every else None)


def _all_of(days: Sequence[date], per: str) -> tuple[date, date]:
    back = days[-1] - timedelta(days=DAYS_OF_SHIFTS - 1)
    return (max(days[0], back) if per == "shift" else days[0]), days[-1]


def _days(
    typed: Mapping[str, str], first: str, last: str, wrong: dict[str, str]
) -> tuple[date, date] | None:
    """Return the days of two boxes, if both are filled; says in `wrong` what cannot be."""
    found = {}
    for name in (first, last):
        try:
            found[name] = _DAY.validate_python(typed[name]) if typed[name] else None
        except ValidationError:
            wrong[name] = _("Write the day like 2026-07-14")
    begins, ends = found.get(first), found.get(last)
    if bool(typed[first]) != bool(typed[last]):
        wrong[last if typed[first] else first] = _("Say both days, or neither")
    if begins is None or ends is None:
        return None
    if begins > ends:
        wrong[last] = _("The first day comes after the last one")
        return None
    return begins, ends


def _named(text: str, names: Mapping[str, Thing]) -> Thing | None:
    """Return what is called so: by its name, or by its title in this language or in English."""
    if text in names:
        return names[text]
    asked = text.casefold()
    return next(
        (t for t in names.values() if asked in (_(t.title).casefold(), t.title.casefold())), None
    )


def _near(text: str, names: Mapping[str, Thing]) -> list[Thing]:
    titles = {_(thing.title).casefold(): thing for thing in names.values()}
    asked = text.casefold()
    within = [thing for title, thing in titles.items() if asked in title][:_NEAR]
    close = [titles[title] for title in get_close_matches(asked, titles, _NEAR)]
    return list({thing.name: thing for thing in (*within, *close)}.values())[:_NEAR]
