"""What makes the ledger worth trusting: the chain of events, signatures, reviews and issues."""

from sqlalchemy import (
    BigInteger,
    CheckConstraint,
    Column,
    Date,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    Table,
    Text,
    UniqueConstraint,
)

from app.ledger.tables.base import Instant, metadata

# everything that ever happened, each bound to what happened before it by a hash
event = Table(
    "event",
    metadata,
    Column("number", BigInteger().with_variant(Integer, "sqlite"), primary_key=True),
    Column("at", Instant, nullable=False),
    Column("kind", Text, nullable=False),
    Column("person_id", ForeignKey("person.id")),
    Column("name", Text, nullable=False),
    Column("season_id", ForeignKey("season.id")),
    Column("day", Date),
    Column("row_id", Integer),
    Column("content", Text, nullable=False),
    Column("hash", Text, nullable=False),
    Index("ix_event_kind_row_id", "kind", "row_id"),
    Index("ix_event_day", "day"),
    Index("ix_event_person_id", "person_id"),
)

# of a shift: that it was entered; of a day, without a number: that it was approved; or reopened
signature = Table(
    "signature",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("season_id", ForeignKey("season.id"), nullable=False),
    Column("day", Date, nullable=False),
    Column("number", Integer),
    Column("meaning", Text, nullable=False),
    Column("covers", Text, nullable=False),
    Column("entries", Integer, nullable=False),
    Column("remarks", Text),
    Column("reason", Text),
    Column("role", Text, nullable=False),
    Column("recorded_by", ForeignKey("person.id"), nullable=False),
    Column("recorded_name", Text, nullable=False),
    Column("recorded_at", Instant, nullable=False),
    CheckConstraint("meaning IN ('entered', 'approved', 'reopened')", name="meaning"),
    CheckConstraint("(meaning <> 'entered' OR number IS NOT NULL)", name="entered_is_of_a_shift"),
    CheckConstraint("(meaning <> 'approved' OR number IS NULL)", name="approved_is_of_a_day"),
    CheckConstraint(
        "meaning <> 'reopened' OR length(trim(coalesce(reason, ''))) > 0",
        name="reopening_has_reason",
    ),
    Index("ix_signature_season_id_day", "season_id", "day"),
    sqlite_autoincrement=True,
)

# somebody has looked through what happened to a day, as far as an event
review = Table(
    "review",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("season_id", ForeignKey("season.id"), nullable=False),
    Column("day", Date, nullable=False),
    Column("upto", Integer, nullable=False),
    Column("remark", Text),
    Column("recorded_by", ForeignKey("person.id"), nullable=False),
    Column("recorded_name", Text, nullable=False),
    Column("recorded_at", Instant, nullable=False),
    Index("ix_review_season_id_day", "season_id", "day"),
    sqlite_autoincrement=True,
)

# a morning report as it was handed out, and again where it was restated
issue = Table(
    "issue",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("season_id", ForeignKey("season.id"), nullable=False),
    Column("day", Date, nullable=False),
    Column("number", Integer, nullable=False),
    Column("supersedes_id", ForeignKey("issue.id"), unique=True),
    Column("reason", Text),
    Column("chain_number", Integer, nullable=False),
    Column("chain_hash", Text, nullable=False),
    Column("role", Text, nullable=False),
    Column("recorded_by", ForeignKey("person.id"), nullable=False),
    Column("recorded_name", Text, nullable=False),
    Column("recorded_at", Instant, nullable=False),
    UniqueConstraint("season_id", "day", "number"),
    CheckConstraint("(number = 1) = (supersedes_id IS NULL)", name="first_supersedes_nothing"),
    CheckConstraint(
        "supersedes_id IS NULL OR length(trim(coalesce(reason, ''))) > 0",
        name="restatement_has_reason",
    ),
    sqlite_autoincrement=True,
)

# the frozen bytes of an issue
issue_file = Table(
    "issue_file",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("issue_id", ForeignKey("issue.id"), nullable=False),
    Column("name", Text, nullable=False),
    Column("sha256", Text, nullable=False),
    Column("packed", LargeBinary, nullable=False),
    UniqueConstraint("issue_id", "name"),
    sqlite_autoincrement=True,
)

# forms that were answered: one sent again gets the answer it got, and does nothing
answered = Table(
    "answered",
    metadata,
    Column("key", Text, primary_key=True),
    Column("digest", Text, nullable=False),
    Column("location", Text, nullable=False),
    Column("at", Instant, nullable=False),
    sqlite_with_rowid=False,
)

# copies that were made of the whole ledger and found whole
backup = Table(
    "backup",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("at", Instant, nullable=False),
    Column("place", Text, nullable=False),
    Column("kind", Text, nullable=False),
    Column("chain_number", Integer, nullable=False),
    Column("chain_hash", Text, nullable=False),
    CheckConstraint("kind IN ('backup', 'drill')", name="kind"),
    sqlite_autoincrement=True,
)
