"""What a mill has chosen by date: its plan, conventions and targets; nothing of it is deleted."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from functools import cached_property
from typing import Any, NamedTuple

from sqlalchemy import Connection, Table, func, select

from app.ledger import chain, mills, tables
from app.ledger.chain import About
from app.ledger.mills import (
    OF_EQUIPMENT,
    ConventionRow,
    Mill,
    TargetRow,
    convention_rows,
    equipment,
)
from app.ledger.people import Person
from app.plant.plan import Part, Plan, Sampling

_s, _p = tables.sampling.c, tables.part.c

# by the name of their pages: where each kind of choice is kept, and the column that names it
KINDS: Mapping[str, tuple[Table, str]] = {
    "measures": (tables.sampling, "measure"),
    "parts": (tables.part, "name"),
    "conventions": (tables.convention, "name"),
    "targets": (tables.target, "figure"),
}


@dataclass(frozen=True)
class Change:
    """What somebody would choose from a day on, and why."""

    since: date
    reason: str
    sampling: Sampling | None = None
    part: Part | None = None
    conventions: Mapping[str, str] = field(default_factory=dict)
    targets: Mapping[str, float] = field(default_factory=dict)

    def from_day(self, day: date) -> "Change":
        """Return the same change from another day on."""
        return replace(
            self,
            since=day,
            sampling=self.sampling and self.sampling._replace(since=day),
            part=self.part and self.part._replace(since=day),
        )


@dataclass(frozen=True)
class Choices:
    """All that a mill has chosen, earliest first; of one day, what was chosen last comes last."""

    mill: Mill
    conventions: Sequence[ConventionRow] = ()
    parts: Sequence[Part] = ()
    samplings: Sequence[Sampling] = ()
    targets: Sequence[TargetRow] = ()

    @cached_property
    def plan(self) -> Plan:
        """The plan that follows from it, for any day."""
        days = {date.min} | {
            since for name, _, since, _ in self.conventions if name in OF_EQUIPMENT
        }
        has = [(day, equipment(self.mill, self.conventions, day)) for day in sorted(days)]
        return Plan(has, self.parts, self.samplings)

    def targets_on(self, day: date) -> dict[str, float]:
        """Return the targets in force on `day`."""
        return mills.in_force(self.targets, day)

    def convention(self, name: str, day: date) -> str | None:
        """Return what was chosen of a convention and holds on `day`; None where nothing was."""
        return {n: value for n, value, since, _ in self.conventions if since <= day}.get(name)

    def later(self, change: Change) -> date | None:
        """Return from which day on something else is chosen already, later than `change`."""
        days = [
            since
            for name, since in (
                *((name, since) for name, _, since, _ in self.conventions),
                *((figure, since) for figure, _, since in self.targets),
            )
            if name in {*change.conventions, *change.targets}
        ]
        days += [p.since for p in self.parts if change.part and p.name == change.part.name]
        if chosen := change.sampling:
            days += [s.since for s in self.samplings if s.measure == chosen.measure]
        return min((day for day in days if day > change.since), default=None)

    def with_change(self, change: Change) -> "Choices":
        """Return the choices as they would be after `change`."""
        since = change.since
        conventions = [(n, value, since, change.reason) for n, value in change.conventions.items()]
        targets = [(figure, value, since) for figure, value in change.targets.items()]
        return replace(
            self,
            conventions=sorted([*self.conventions, *conventions], key=lambda row: row[2]),
            parts=[*self.parts, *([change.part] if change.part else [])],
            samplings=[*self.samplings, *([change.sampling] if change.sampling else [])],
            targets=sorted([*self.targets, *targets], key=lambda row: row[2]),
        )

    def as_if_since(self, day: date, change: Change) -> "Choices":
        """Return the choices as if `change` had held from `day` on, whatever was chosen later."""
        moved = change.from_day(day)
        found = self.with_change(moved)
        while (later := found.later(moved)) is not None:
            moved = change.from_day(later)
            found = found.with_change(moved)
        return found


def choices_of(connection: Connection, mill: Mill) -> Choices:
    """Return all that a mill has chosen."""
    rows = sorted(convention_rows(connection, mill), key=lambda row: row[2])
    return Choices(
        mill,
        rows,
        parts(connection, mill),
        samplings(connection, mill),
        mills.target_rows(connection, mill),
    )


def plan_of(connection: Connection, mill: Mill) -> Plan:
    """Return the plan of a mill, for any day."""
    rows = sorted(convention_rows(connection, mill), key=lambda row: row[2])
    return Choices(mill, rows, parts(connection, mill), samplings(connection, mill)).plan


def samplings(connection: Connection, mill: Mill) -> list[Sampling]:
    """Return how the mill takes its measures, in the order in which it was chosen."""
    query = select(
        _s.measure, _s.since, _s.taken, _s.grain, _s.every, _s.rule, _s.usual_low, _s.usual_high,
        _s.hard_low, _s.hard_high,
    ).where(_s.mill_id == mill.id).order_by(_s.id)  # fmt: skip
    return [_sampling(row) for row in connection.execute(query).mappings()]


def _sampling(row: Mapping[Any, Any]) -> Sampling:
    usual, hard = ((row[f"{of}_low"], row[f"{of}_high"]) for of in ("usual", "hard"))
    return Sampling(
        row["measure"], row["since"], row["taken"], row["grain"], row["every"], row["rule"],
        usual, hard,
    )  # fmt: skip


def parts(connection: Connection, mill: Mill) -> list[Part]:
    """Return what was switched on and off, in the order in which it was chosen."""
    query = select(_p.name, _p.in_use, _p.since).where(_p.mill_id == mill.id).order_by(_p.id)
    return [Part(*row) for row in connection.execute(query)]


def choose(connection: Connection, mill: Mill, change: Change, *, by: Person, at: datetime) -> None:
    """Write a change; `app.ledger.choosing` tells what may be chosen."""
    since, reason = change.since, change.reason
    who: dict[str, Any] = {"mill_id": mill.id, "since": since, "reason": reason}
    who |= {"recorded_by": by.id, "recorded_at": at}
    about = About(day=since)
    if change.sampling:
        chain.add(
            connection, tables.sampling, _values(change.sampling) | who, by=by, at=at, about=about
        )
    if change.part:
        part = {"name": change.part.name, "in_use": change.part.in_use}
        chain.add(connection, tables.part, part | who, by=by, at=at, about=about)
    for name, value in change.conventions.items():
        said = {"name": name, "value": value, "source": reason}
        mills.add_convention(connection, mill, **said, since=since, by=by, at=at)
    for figure, target in change.targets.items():
        mills.add_target(connection, mill, figure=figure, value=target, since=since, by=by, at=at)


def _values(sampling: Sampling) -> dict[str, Any]:
    values = sampling._asdict()
    for limits in ("usual", "hard"):
        values[f"{limits}_low"], values[f"{limits}_high"] = values.pop(limits)
    return values


class Chosen(NamedTuple):
    """One choice as it was made: of which kind, what, since when, why, by whom and when."""

    kind: str
    name: str
    value: Part | Sampling | str | float
    since: date
    reason: str
    recorded_name: str
    recorded_at: datetime


def history(connection: Connection, mill: Mill) -> list[Chosen]:
    """Return every choice that was ever made, the newest first."""
    found = [
        _chosen(kind, row)
        for kind, (table, name) in KINDS.items()
        for row in connection.execute(
            select(table, tables.person.c.printed_name.label("by"))
            .join(tables.person, tables.person.c.id == table.c.recorded_by)
            .where(table.c.mill_id == mill.id)
            .order_by(table.c.id)
        ).mappings()
    ]
    return sorted(found, key=lambda chosen: chosen.recorded_at)[::-1]


def _chosen(kind: str, row: Mapping[Any, Any]) -> Chosen:
    value: Part | Sampling | str | float
    if kind == "measures":
        value = _sampling(row)
    elif kind == "parts":
        value = Part(row["name"], row["in_use"], row["since"])
    else:
        value = row["value"]
    reason = row.get("reason") or row.get("source") or ""
    name = row[KINDS[kind][1]]
    return Chosen(kind, name, value, row["since"], reason, row["by"], row["recorded_at"])


def stamp_of(connection: Connection, mill: Mill) -> str:
    """Return what differs once anything is chosen: how many choices of each kind there are."""
    counts = (
        connection.scalar(select(func.count()).select_from(table).where(table.c.mill_id == mill.id))
        for table, _ in KINDS.values()
    )
    return "-".join(f"{count}" for count in counts)


class Standing(NamedTuple):
    """A number that stands on a sheet: where, as typed, and its value."""

    day: date
    number: int
    measure: str
    sample: int
    determination: int
    typed: str
    value: float


def standing_of(
    connection: Connection, mill: Mill, measures: Iterable[str], first: date
) -> list[Standing]:
    """Return the numbers that stand of some measures, on sheets of `first` and later."""
    standing, shift, entry = tables.standing.c, tables.shift.c, tables.entry.c
    query = (
        select(
            shift.day, shift.number, standing.measure, standing.sample, standing.determination,
            entry.typed, standing.value,
        )
        .join(tables.shift, shift.id == standing.shift_id)
        .join(tables.season, tables.season.c.id == shift.season_id)
        .join(tables.entry, entry.id == standing.entry_id)
        .where(tables.season.c.mill_id == mill.id, shift.day >= first)
        .where(standing.measure.in_(tuple(measures)), standing.value.is_not(None))
        .order_by(shift.day, shift.number, standing.measure, standing.sample)
    )  # fmt: skip
    return [Standing(*row) for row in connection.execute(query)]
