"""The mill, its seasons, its conventions and its targets."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy import Connection, Select, select

from app.ledger import chain, tables
from app.ledger.chain import About
from app.ledger.people import Person
from app.plant.calendar import Clock
from app.plant.streams import Equipment

ConventionRow = tuple[str, str, date, str]  # name, value, since when, who says so
TargetRow = tuple[str, float, date]  # figure, value, since when

AS_SET_UP = "as set up"
OF_EQUIPMENT = (
    "extraction_plant", "tandem_mills", "evaporator_effects", "sulphitation", "refinery",
)  # fmt: skip


@dataclass(frozen=True)
class Mill:
    """A mill: where it stands, how its day is divided, how it extracts."""

    id: int
    name: str
    place: str
    zone: str
    day_starts: str
    shifts_a_day: int
    extraction_plant: str
    mills: int

    @property
    def clock(self) -> Clock:
        """The clock of the mill's factory days and shifts; ValueError where it cannot be one."""
        return Clock(self.zone, time.fromisoformat(self.day_starts), self.shifts_a_day)


@dataclass(frozen=True)
class Season:
    """A crushing season; its last day is open while it runs."""

    id: int
    mill_id: int
    name: str
    first_day: date
    last_day: date | None

    def __contains__(self, day: date) -> bool:
        return self.first_day <= day and (self.last_day is None or day <= self.last_day)


def add_mill(connection: Connection, *, at: datetime, **settings: Any) -> Mill:
    """Add a mill: name, place, zone, day_starts (HH:MM), shifts_a_day, extraction_plant, mills.

    Raises ValueError for a zone or time that is none.
    """
    ZoneInfo(settings["zone"])
    time.fromisoformat(settings["day_starts"])
    return Mill(chain.add(connection, tables.mill, settings, by=None, at=at), **settings)


def the_mill(connection: Connection) -> Mill:
    """Return the mill this ledger is kept for; LookupError before one is added."""
    return _one_mill(connection, select(tables.mill).order_by(tables.mill.c.id).limit(1))


def mill_of(connection: Connection, season: Season) -> Mill:
    """Return the mill that `season` belongs to."""
    return _one_mill(connection, select(tables.mill).where(tables.mill.c.id == season.mill_id))


def _one_mill(connection: Connection, query: Select[Any]) -> Mill:
    row = connection.execute(query).first()
    if row is None:
        raise LookupError("No mill is set up in this ledger yet")
    return Mill(*row)


def add_season(
    connection: Connection,
    mill: Mill,
    *,
    name: str,
    first_day: date,
    at: datetime,
    by: Person | None = None,
    last_day: date | None = None,
) -> Season:
    """Add a season of `mill`; ValueError for a name that cannot be part of an address."""
    _must_fit_in_an_address(name)
    values: dict[str, Any] = {"mill_id": mill.id, "name": name, "first_day": first_day}
    values["last_day"] = last_day
    return Season(chain.add(connection, tables.season, values, by=by, at=at), **values)


def _must_fit_in_an_address(name: str) -> None:
    if not re.fullmatch(r"[A-Za-z0-9][A-Za-z0-9-]{0,39}", name):
        raise ValueError(
            f"A season’s name has letters a to z, digits and hyphens only, at most 40: "
            f"{name!r} will not do. Write 2026/27 like 2026-27."
        )


def seasons(connection: Connection, mill: Mill) -> list[Season]:
    """Return the seasons of `mill`, newest first."""
    query = select(tables.season).where(tables.season.c.mill_id == mill.id)
    newest_first = query.order_by(tables.season.c.first_day.desc(), tables.season.c.id.desc())
    return [Season(*row) for row in connection.execute(newest_first)]


def season_of(connection: Connection, mill: Mill, day: date) -> Season | None:
    """Return the season that `day` falls in, if any."""
    return next((season for season in seasons(connection, mill) if day in season), None)


def season_named(connection: Connection, mill: Mill, name: str) -> Season | None:
    """Return the season of that name, if any."""
    return next((season for season in seasons(connection, mill) if season.name == name), None)


def add_convention(  # noqa: PLR0913  each part of a dated choice is named
    connection: Connection,
    mill: Mill,
    *,
    name: str,
    value: str,
    since: date,
    source: str,
    by: Person,
    at: datetime,
) -> None:
    """Add a convention that holds from `since`; the last one added for a day holds."""
    values = {"name": name, "value": value, "since": since, "source": source, **_who(mill, by, at)}
    chain.add(connection, tables.convention, values, by=by, at=at, about=About(day=since))


def convention_rows(connection: Connection, mill: Mill) -> list[ConventionRow]:
    """Return name, value, since and source of every convention, earliest first within a name."""
    c = tables.convention.c
    query = select(c.name, c.value, c.since, c.source).where(c.mill_id == mill.id)
    return [tuple(row) for row in connection.execute(query.order_by(c.name, c.since, c.id))]


def equipment(mill: Mill, conventions: Iterable[ConventionRow], day: date) -> Equipment:
    """Return what a mill has on `day`, by its `conventions` as `convention_rows` gives them."""
    rows = {name: value for name, value, since, _ in conventions if since <= day}
    chosen = rows.get("extraction_plant", AS_SET_UP)
    return Equipment(
        mill.extraction_plant if chosen == AS_SET_UP else chosen,
        int(rows.get("tandem_mills", mill.mills)),
        effects=int(float(rows.get("evaporator_effects", Equipment.effects))),
        sulphitation=rows.get("sulphitation", "none") != "none",
        refinery=rows.get("refinery", "none") != "none",
    )


def add_target(
    connection: Connection,
    mill: Mill,
    *,
    figure: str,
    value: float,
    since: date,
    by: Person,
    at: datetime,
) -> None:
    """Add a target of a figure that holds from `since`; the last one added for a day holds."""
    values = {"figure": figure, "value": value, "since": since, **_who(mill, by, at)}
    chain.add(connection, tables.target, values, by=by, at=at, about=About(day=since))


def targets(connection: Connection, mill: Mill, day: date) -> dict[str, float]:
    """Return the targets in force on `day`, by figure."""
    return in_force(target_rows(connection, mill), day)


def target_rows(connection: Connection, mill: Mill) -> list[TargetRow]:
    """Return figure, value and since of every target, earliest first."""
    c = tables.target.c
    query = select(c.figure, c.value, c.since).where(c.mill_id == mill.id)
    return [tuple(row) for row in connection.execute(query.order_by(c.since, c.id))]


def in_force(rows: Iterable[TargetRow], day: date) -> dict[str, float]:
    """Return the targets in force on `day`, of rows as `target_rows` gives them."""
    return {figure: value for figure, value, since in rows if since <= day}


def _who(mill: Mill, by: Person, at: datetime) -> dict[str, Any]:
    return {"mill_id": mill.id, "recorded_by": by.id, "recorded_at": at}
