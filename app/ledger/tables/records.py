"""The other books: their records, append-only, and the two reading sides written with them."""

from sqlalchemy import (
    Boolean,
    CheckConstraint,
    Column,
    Double,
    ForeignKey,
    Index,
    Integer,
    Table,
    Text,
    false,
    text,
)

from app.ledger.tables.base import Instant, metadata

# one line of a book as it was typed: `fields` is the canonical text of an object of texts
record = Table(
    "record",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("shift_id", ForeignKey("shift.id"), nullable=False),
    Column("book", Text, nullable=False),
    Column("fields", Text, nullable=False),
    Column("state", Text, nullable=False),
    Column("supersedes_id", ForeignKey("record.id"), unique=True),
    Column("completes", Boolean, nullable=False, server_default=false()),
    Column("reason", Text),
    Column("recorded_by", ForeignKey("person.id"), nullable=False),
    Column("recorded_name", Text, nullable=False),
    Column("recorded_at", Instant, nullable=False),
    Column("observed_by", Text),
    Column("late", Boolean, nullable=False, server_default=false()),
    Column("instrument", Text, nullable=False, server_default="none"),
    CheckConstraint("state IN ('stands', 'void')", name="state"),
    CheckConstraint("state <> 'void' OR supersedes_id IS NOT NULL", name="void_supersedes"),
    CheckConstraint(
        "supersedes_id IS NULL OR completes OR length(trim(coalesce(reason, ''))) > 0",
        name="correction_has_reason",
    ),
    Index("ix_record_shift_id_book", "shift_id", "book"),
    sqlite_autoincrement=True,
)

# the reading side: the records that are not superseded, those taken out too
standing_record = Table(
    "standing_record",
    metadata,
    Column("record_id", ForeignKey("record.id"), primary_key=True),
    Column("season_id", ForeignKey("season.id"), nullable=False),
    Column("shift_id", ForeignKey("shift.id"), nullable=False),
    Column("book", Text, nullable=False),
    Column("key", Text),
    Index("ix_standing_record_shift_id_book", "shift_id", "book"),
    Index("ix_standing_record_season_id_book", "season_id", "book"),
    Index(
        "uq_standing_record_key",
        "season_id",
        "book",
        "key",
        unique=True,
        sqlite_where=text("key IS NOT NULL"),
        postgresql_where=text("key IS NOT NULL"),
    ),
)

# the reading side: what the records of a shift give of a measure, none where they lack it;
# `weight` is that of the records that were analysed, `whole` that of all
booked = Table(
    "booked",
    metadata,
    Column("shift_id", ForeignKey("shift.id"), primary_key=True),
    Column("measure", Text, primary_key=True),
    Column("book", Text, nullable=False),
    Column("how", Text, nullable=False),
    Column("value", Double),
    Column("weight", Double, nullable=False),
    Column("whole", Double, nullable=False),
    Column("records", Integer, nullable=False),
    sqlite_with_rowid=False,
)
