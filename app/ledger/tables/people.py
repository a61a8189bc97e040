"""People and instruments, and how each is let in; what is done to them is told in the chain."""

from sqlalchemy import (
    Boolean,
    CheckConstraint,
    Column,
    ForeignKey,
    Integer,
    Table,
    Text,
)

from app.ledger.tables.base import Instant, metadata

ROLES = ("chemist", "chief chemist", "manager", "auditor", "administrator", "instrument")

person = Table(
    "person",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("username", Text, nullable=False, unique=True),
    Column("printed_name", Text, nullable=False),
    Column("role", Text, nullable=False),
    Column("password_hash", Text),  # none until the person has set a password
    Column("active", Boolean, nullable=False),
    Column("created_at", Instant, nullable=False),
    Column("language", Text),  # none until the person has chosen one
    CheckConstraint(f"role IN {ROLES}", name="role"),
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

# with it a person sets a password, once and for a while; the code itself is not kept
password_code = Table(
    "password_code",
    metadata,
    Column("person_id", ForeignKey("person.id"), primary_key=True),
    Column("code_hash", Text, nullable=False),
    Column("ends_at", Instant, nullable=False),
)

# what an instrument shows to write, and the measures it may write, parted by blanks
instrument_token = Table(
    "instrument_token",
    metadata,
    Column("person_id", ForeignKey("person.id"), primary_key=True),
    Column("token_hash", Text, nullable=False, unique=True),
    Column("measures", Text, nullable=False),
    Column("made_at", Instant, nullable=False),
    Column("used_at", Instant),
)
