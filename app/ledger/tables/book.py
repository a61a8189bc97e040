"""What people saw and chose: append-only, by triggers; `standing` is the reading side."""

from sqlalchemy import (
    Boolean,
    CheckConstraint,
    Column,
    Date,
    Double,
    ForeignKey,
    Index,
    Integer,
    Table,
    Text,
    UniqueConstraint,
    false,
    text,
)

from app.ledger.tables.base import Instant, metadata

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

entry = Table(
    "entry",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("shift_id", ForeignKey("shift.id"), nullable=False),
    Column("measure", Text, nullable=False),
    Column("sample", Integer, nullable=False, server_default="1"),
    Column("determination", Integer, nullable=False, server_default="1"),
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
    Column("observed_by", Text),
    Column("late", Boolean, nullable=False, server_default=false()),
    Column("instrument", Text, nullable=False, server_default="none"),
    Column("carried", Boolean, nullable=False, server_default=false()),
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
        "determination",
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
    Column("sample", Integer, primary_key=True, server_default="1"),
    Column("determination", Integer, primary_key=True, server_default="1"),
    Column("entry_id", ForeignKey("entry.id"), nullable=False),
    Column("value", Double),
    # few measures have more than one result a shift: these are found without reading the rest
    Index(
        "ix_standing_further",
        "shift_id",
        sqlite_where=text("sample > 1 OR determination > 1"),
        postgresql_where=text("sample > 1 OR determination > 1"),
    ),
    sqlite_with_rowid=False,
)

# what somebody says of a result, or in answer to a check of some results: rule and entries name it
note = Table(
    "note",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("shift_id", ForeignKey("shift.id"), nullable=False),
    Column("measure", Text, nullable=False),
    Column("sample", Integer, nullable=False),
    Column("determination", Integer, nullable=False),
    Column("rule", Text, nullable=False),
    Column("entries", Text, nullable=False),
    Column("words", Text, nullable=False),
    Column("recorded_by", ForeignKey("person.id"), nullable=False),
    Column("recorded_name", Text, nullable=False),
    Column("recorded_at", Instant, nullable=False),
    CheckConstraint("length(trim(words)) > 0", name="has_words"),
    Index("ix_note_shift_id", "shift_id"),
    sqlite_autoincrement=True,
)

# how the mill takes a measure from a day on; the last said for a day holds
sampling = Table(
    "sampling",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("mill_id", ForeignKey("mill.id"), nullable=False),
    Column("measure", Text, nullable=False),
    Column("since", Date, nullable=False),
    Column("taken", Text, nullable=False),
    Column("grain", Text, nullable=False),
    Column("every", Integer, nullable=False),
    Column("rule", Text, nullable=False),
    Column("usual_low", Double, nullable=False),
    Column("usual_high", Double, nullable=False),
    Column("hard_low", Double, nullable=False),
    Column("hard_high", Double, nullable=False),
    Column("reason", Text, nullable=False),
    Column("recorded_by", ForeignKey("person.id"), nullable=False),
    Column("recorded_at", Instant, nullable=False),
    CheckConstraint("taken IN ('due', 'not always', 'not taken')", name="taken"),
    CheckConstraint("grain IN ('shift', 'day', 'week')", name="grain"),
    CheckConstraint("rule IN ('mean', 'sum', 'last')", name="rule"),
    CheckConstraint(
        "hard_low <= usual_low AND usual_low <= usual_high AND usual_high <= hard_high",
        name="limits_in_order",
    ),
    sqlite_autoincrement=True,
)

# whether a station, stream, vessel or check is in use from a day on
part = Table(
    "part",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("mill_id", ForeignKey("mill.id"), nullable=False),
    Column("name", Text, nullable=False),
    Column("in_use", Boolean, nullable=False),
    Column("since", Date, nullable=False),
    Column("reason", Text, nullable=False),
    Column("recorded_by", ForeignKey("person.id"), nullable=False),
    Column("recorded_at", Instant, nullable=False),
    sqlite_autoincrement=True,
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
