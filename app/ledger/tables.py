"""The tables. Entries, conventions and targets are append-only, by triggers of the migration."""

from datetime import UTC, datetime
from typing import Any

from sqlalchemy import (
    Boolean,
    CheckConstraint,
    Column,
    Connection,
    Date,
    DateTime,
    Dialect,
    Double,
    ForeignKey,
    Index,
    Integer,
    MetaData,
    Table,
    Text,
    TypeDecorator,
    UniqueConstraint,
    text,
)

metadata = MetaData(
    naming_convention={
        "pk": "pk_%(table_name)s",
        "fk": "fk_%(table_name)s_%(column_0_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
    }
)


class Instant(TypeDecorator[datetime]):
    """A moment, kept as UTC and given back aware, also by SQLite, which keeps no zone."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """Turn an aware time into UTC; ValueError for one without a zone."""
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError(f"{value} has no zone")
        moment = value.astimezone(UTC)
        return moment.replace(tzinfo=None) if dialect.name == "sqlite" else moment

    def process_result_value(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """Give the time back with its zone, UTC."""
        if value is None:
            return None
        return value.replace(tzinfo=UTC) if dialect.name == "sqlite" else value.astimezone(UTC)


mill = Table(
    "mill",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("name", Text, nullable=False, unique=True),
    Column("place", Text, nullable=False),
    Column("zone", Text, nullable=False),
    Column("day_starts", Text, nullable=False),
    Column("shifts_a_day", Integer, nullable=False),
    Column("extraction_plant", Text, nullable=False),
    Column("mills", Integer, nullable=False),
    CheckConstraint("shifts_a_day IN (2, 3)", name="shifts_a_day"),
    CheckConstraint("extraction_plant IN ('tandem', 'diffuser')", name="extraction_plant"),
)

season = Table(
    "season",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("mill_id", ForeignKey("mill.id"), nullable=False),
    Column("name", Text, nullable=False),
    Column("first_day", Date, nullable=False),
    Column("last_day", Date),
    UniqueConstraint("mill_id", "name"),
)

shift = Table(
    "shift",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("season_id", ForeignKey("season.id"), nullable=False),
    Column("day", Date, nullable=False),
    Column("number", Integer, nullable=False),
    Column("begins_at", Instant, nullable=False),
    Column("ends_at", Instant, nullable=False),
    Column("zone", Text, nullable=False),
    UniqueConstraint("season_id", "day", "number"),
)

person = Table(
    "person",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("username", Text, nullable=False, unique=True),
    Column("printed_name", Text, nullable=False),
    Column("role", Text, nullable=False),
    Column("password_hash", Text, nullable=False),
    Column("active", Boolean, nullable=False),
    Column("created_at", Instant, nullable=False),
    CheckConstraint("role IN ('chemist', 'manager', 'auditor', 'administrator')", name="role"),
)

sign_in = Table(
    "sign_in",
    metadata,
    Column("token_hash", Text, primary_key=True),
    Column("person_id", ForeignKey("person.id"), nullable=False),
    Column("csrf", Text, nullable=False),
    Column("begun_at", Instant, nullable=False),
    Column("seen_at", Instant, nullable=False),
)

sign_in_failure = Table(
    "sign_in_failure",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("username", Text, nullable=False),
    Column("address", Text, nullable=False),
    Column("at", Instant, nullable=False),
)

entry = Table(
    "entry",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("shift_id", ForeignKey("shift.id"), nullable=False),
    Column("measure", Text, nullable=False),
    Column("sample", Integer, nullable=False, server_default="1"),
    Column("state", Text, nullable=False),
    Column("typed", Text, nullable=False),
    Column("value", Text),
    Column("unit", Text, nullable=False),
    Column("reason", Text),
    Column("supersedes_id", ForeignKey("entry.id"), unique=True),
    Column("recorded_by", ForeignKey("person.id"), nullable=False),
    Column("recorded_name", Text, nullable=False),
    Column("recorded_at", Instant, nullable=False),
    Column("observed_at", Instant),
    CheckConstraint("(state = 'number') = (value IS NOT NULL)", name="number_has_value"),
    CheckConstraint(
        "supersedes_id IS NULL OR length(trim(coalesce(reason, ''))) > 0",
        name="correction_has_reason",
    ),
    CheckConstraint("state <> 'void' OR supersedes_id IS NOT NULL", name="void_supersedes"),
    Index("ix_entry_shift_id_measure", "shift_id", "measure"),
    Index(
        "uq_entry_first_of_cell",
        "shift_id",
        "measure",
        "sample",
        unique=True,
        sqlite_where=text("supersedes_id IS NULL"),
        postgresql_where=text("supersedes_id IS NULL"),
    ),
    sqlite_autoincrement=True,
)

# the reading side: what stands in each cell, written together with its entry
standing = Table(
    "standing",
    metadata,
    Column("shift_id", ForeignKey("shift.id"), primary_key=True),
    Column("measure", Text, primary_key=True),
    Column("entry_id", ForeignKey("entry.id"), nullable=False),
    Column("value", Double),
    sqlite_with_rowid=False,
)

convention = Table(
    "convention",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("mill_id", ForeignKey("mill.id"), nullable=False),
    Column("name", Text, nullable=False),
    Column("value", Text, nullable=False),
    Column("since", Date, nullable=False),
    Column("source", Text, nullable=False),
    Column("recorded_by", ForeignKey("person.id"), nullable=False),
    Column("recorded_at", Instant, nullable=False),
    sqlite_autoincrement=True,
)

target = Table(
    "target",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("mill_id", ForeignKey("mill.id"), nullable=False),
    Column("figure", Text, nullable=False),
    Column("value", Double, nullable=False),
    Column("since", Date, nullable=False),
    Column("recorded_by", ForeignKey("person.id"), nullable=False),
    Column("recorded_at", Instant, nullable=False),
    sqlite_autoincrement=True,
)

uncertainty = Table(
    "uncertainty",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("mill_id", ForeignKey("mill.id"), nullable=False),
    Column("measure", Text, nullable=False),
    Column("random", Double, nullable=False),
    Column("systematic", Double, nullable=False),
    Column("relative", Boolean, nullable=False),
    Column("since", Date, nullable=False),
    Column("source", Text, nullable=False),
    Column("recorded_by", ForeignKey("person.id"), nullable=False),
    Column("recorded_at", Instant, nullable=False),
    CheckConstraint("random >= 0 AND systematic >= 0", name="not_negative"),
    sqlite_autoincrement=True,
)

# two results of one sample, as typed
duplicate = Table(
    "duplicate",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("mill_id", ForeignKey("mill.id"), nullable=False),
    Column("measure", Text, nullable=False),
    Column("day", Date, nullable=False),
    Column("first", Text, nullable=False),
    Column("second", Text, nullable=False),
    Column("withdraws_id", ForeignKey("duplicate.id"), unique=True),
    Column("reason", Text),
    Column("recorded_by", ForeignKey("person.id"), nullable=False),
    Column("recorded_at", Instant, nullable=False),
    CheckConstraint(
        "withdraws_id IS NULL OR length(trim(coalesce(reason, ''))) > 0",
        name="withdrawal_has_reason",
    ),
    sqlite_autoincrement=True,
)

# how much lime the mill adds for a step of pH; the last row of a step stands
lime_dose = Table(
    "lime_dose",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("mill_id", ForeignKey("mill.id"), nullable=False),
    Column("from_ph", Text, nullable=False),
    Column("to_ph", Text, nullable=False),
    Column("dose", Text, nullable=False),
    Column("recorded_by", ForeignKey("person.id"), nullable=False),
    Column("recorded_at", Instant, nullable=False),
    sqlite_autoincrement=True,
)


def add_row(connection: Connection, table: Table, values: dict[str, Any]) -> int:
    """Insert a row and return its id."""
    row = connection.execute(table.insert().values(values).returning(table.c.id))
    return int(row.scalar_one())
