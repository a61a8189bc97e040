"""What the pages of the plant hold: the overview, one subject, and what a change would do."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from sqlalchemy import Connection

from app.exports.books import books_of
from app.figures.declare import Figure
from app.language import _
from app.ledger.desk import Desk
from app.ledger.mills import OF_EQUIPMENT, season_of, seasons
from app.ledger.plan import Change, Choices, Chosen, Standing, history, standing_of
from app.plant.calendar import Clock
from app.plant.measures import MEASURES
from app.plant.samples import Place
from app.reports.dates import short_day
from app.reports.effects import (
    Effects,
    SheetChange,
    Verdicts,
    beyond,
    effects,
    lacking_without,
    last_over,
    sheet_changes,
    verdicts,
)
from app.reports.lines import title_of
from app.reports.plant import part_titles, value_words
from app.web.forms import WithProblems
from app.web.plant_subjects import EQUIPMENT, Subject, holds, words

MAY_CHOOSE = ("administrator",)
AT_MOST = 12  # results that are named one by one


@dataclass(frozen=True)
class HistoryLine:
    """A choice that was made, in words, and where its page is."""

    chosen: Chosen
    title: str
    words: str
    address: str


def history_lines(rows: Iterable[Chosen]) -> list[HistoryLine]:
    """Return choices in words."""
    titles = part_titles()
    return [
        HistoryLine(
            row,
            titles[row.name] if row.kind == "parts" else title_of(row.name),
            value_words(row.name, row.value),
            address_of(row.kind, row.name),
        )
        for row in rows
    ]


def address_of(kind: str, name: str) -> str:
    """Return where the page of what was chosen is."""
    page = EQUIPMENT if kind == "conventions" and name in OF_EQUIPMENT else name
    return f"/plant/{kind}/{page}"


@dataclass(frozen=True)
class SubjectPage(WithProblems):
    """One subject: what holds today, what comes later, what was chosen; and a form to choose.

    The form begins with what is chosen up to the day `as_of`, so that it undoes nothing unseen.
    """

    subject: Subject
    desk: Desk
    holds: Mapping[str, str]
    later: Sequence[HistoryLine]
    history: Sequence[HistoryLine]
    clock: Clock
    typed: Mapping[str, str]
    may_choose: bool
    wrong: Mapping[str, str] = field(default_factory=dict)
    chosen: str = ""
    as_of: date = date.min

    @property
    def problems(self) -> list[tuple[str, str]]:
        """What is wrong, by the names of the fields, and their addresses."""
        labels = self.subject.labels
        return [(f"{_(labels[name])}: {why}.", f"#{name}") for name, why in self.wrong.items()]


def subject_page(
    connection: Connection,
    subject: Subject,
    desk: Desk,
    role: str,
    *,
    typed: Mapping[str, str],
    wrong: Mapping[str, str] | None = None,
) -> SubjectPage:
    """Return the page of a subject, its form as `typed`, else as what was chosen latest.

    `typed` may also hold the day from which something was `chosen` just now.
    """
    rows = [
        row
        for row in history(connection, desk.mill)
        if row.kind == subject.kind and row.name in subject.names
    ]
    lines = history_lines(rows)
    tomorrow = max(desk.today + timedelta(days=1), desk.first)
    latest = max((tomorrow, *(row.since for row in rows)))
    now = holds(subject, desk.choices, latest) | {"since": f"{latest}", "reason": ""}
    return SubjectPage(
        subject,
        desk,
        words(subject, desk.choices, desk.today),
        [line for line in lines if line.chosen.since > desk.today],
        lines,
        desk.mill.clock,
        now | {name: text for name, text in typed.items() if name in now},
        role in MAY_CHOOSE,
        wrong or {},
        next((f"{row.since}" for row in rows if f"{row.since}" == typed.get("chosen")), ""),
        latest,
    )


@dataclass(frozen=True)
class Outside:
    """How many of the results looked at lie outside new limits, and the first of them."""

    looked_at: int
    usual: int
    hard: int
    first: Sequence[Standing]


@dataclass(frozen=True)
class Review:
    """What a change would do, worked out from the same books; nothing is written yet.

    `held_from` is the first day whose figures and results are looked at: that from which it holds,
    or, for one that holds only later, the season's first.
    `lacking` are figures that a day has not without what is asked for no more.
    """

    subject: Subject
    change: Change
    rows: Sequence[tuple[str, str, str]]
    until: date | None
    later_only: bool
    held_from: date | None
    sheets: Sequence[SheetChange]
    outside: Outside | None
    lacking: Sequence[Figure]
    effects: Effects | None
    verdicts: Sequence[Verdicts]
    last: date | None

    @property
    def rule(self) -> str:
        """Say which choice decides a day, a week and a season, for one that holds only later."""
        since = short_day(self.change.since)
        if self.change.targets:
            return _(
                "Every day before {since} stays as it is. A week or season to date is held against "
                "the target of its last day.",
                since=since,
            )
        if self.change.conventions:
            return _(
                "Every day before {since} stays as it is. A week or season to date follows, from "
                "the report of {since} on, what holds on its last day, in what is worked out from "
                "sums; the tonnes of each sheet keep the choice of their day.",
                since=since,
            )
        return _(
            "Every day before {since} stays as it is. In a week or season to date each sheet "
            "counts as its own day was chosen.",
            since=since,
        )


def review_of(
    connection: Connection, desk: Desk, change: Change, subject: Subject, now: datetime
) -> Review:
    """Return what `change` would do."""
    before, after = desk.choices, desk.choices.with_change(change)
    was, would = (words(subject, choices, change.since) for choices in (before, after))
    season = season_of(connection, desk.mill, desk.today) or next(
        iter(seasons(connection, desk.mill)), None
    )
    books = books_of(connection, desk.mill, season, plan=before.plan,
                     conventions=before.conventions) if season else None  # fmt: skip
    last = last_over(books, desk.today) if books else None
    later_only = last is None or change.since > last
    held_from = (season.first_day if season else None) if later_only else change.since
    seen = after
    if season and later_only:
        seen = before.as_if_since(season.first_day, change)
    found, against = None, list[Verdicts]()
    if season and books and last and (change.sampling or change.conventions):
        changed = books_of(
            connection, desk.mill, season, plan=seen.plan, conventions=seen.conventions
        )
        found = effects(books, changed, last)
    if books and last and change.targets:
        targets = (before.targets_on(last), seen.targets_on(last))
        against = verdicts(books, subject.name, *targets, last)
    gone = _gone(before, after, change.since)
    return Review(
        subject=subject,
        change=change,
        rows=[(name, was[name], would[name]) for name in was if was[name] != would[name]],
        until=before.later(change),
        later_only=later_only,
        held_from=held_from,
        sheets=_sheets(before, after, change, desk.mill.clock, now),
        outside=_outside(connection, before, seen, change, held_from),
        lacking=lacking_without(books, gone, last) if books and last and gone else (),
        effects=found,
        verdicts=against,
        last=last,
    )


def _sheets(
    before: Choices, after: Choices, change: Change, clock: Clock, now: datetime
) -> tuple[SheetChange, ...]:
    """Return the sheets that have not begun and on which a box first appears or goes."""
    ends = clock.shift_bounds(*clock.shift_at(now))[1]
    day, number = clock.shift_at(ends)
    first = (day, number) if change.since <= day else (change.since, 1)
    return sheet_changes(before.plan, after.plan, clock, first)


def _outside(
    connection: Connection, before: Choices, choices: Choices, change: Change, first: date | None
) -> Outside | None:
    """Return which results of a measure would lie outside its limits; None where none is new."""
    chosen = change.sampling
    if chosen is None or first is None:
        return None
    name = chosen.measure
    was = before.plan.sampling(name, change.since)
    if (was.usual, was.hard) == (chosen.usual, chosen.hard):
        return None
    found = standing_of(connection, choices.mill, [name], first)
    measure = choices.plan.every(change.since)[name]
    usual, hard = beyond(measure, [row.value for row in found])
    outside = [row for row in found if measure.side(row.value)]
    return Outside(len(found), usual, hard, outside[:AT_MOST])


def _gone(before: Choices, after: Choices, day: date) -> set[str]:
    """Return the measures that a change takes off the sheet."""
    return before.plan.on(day).keys() - after.plan.on(day).keys()


def cell_address(row: Standing) -> str:
    """Return where the trail of a result is."""
    key = Place(row.measure, row.sample, row.determination).key
    return f"/shifts/{row.day}/{row.number}/cells/{key}"


def unit_of(row: Standing) -> str:
    """Return the unit of a result."""
    return MEASURES[row.measure].unit
