"""The first ledger: its tables, and triggers that let nobody change what was written."""

import sqlalchemy as sa
from alembic import op

revision = "first_ledger"
down_revision = None
branch_labels = None
depends_on = None

APPEND_ONLY = ("entry", "convention", "target")

# REPLACE deletes what is in its way without a DELETE trigger, on connections that do not ask for
# recursive triggers: an insert that would meet an older row on any key is refused first
IN_THE_WAY = {
    "entry": """
        id = NEW.id OR supersedes_id = NEW.supersedes_id
        OR (NEW.supersedes_id IS NULL AND supersedes_id IS NULL AND shift_id = NEW.shift_id
            AND measure = NEW.measure AND sample = NEW.sample)""",
    "convention": "id = NEW.id",
    "target": "id = NEW.id",
}


def upgrade():
    op.create_table(
        "mill",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("place", sa.Text(), nullable=False),
        sa.Column("zone", sa.Text(), nullable=False),
        sa.Column("day_starts", sa.Text(), nullable=False),
        sa.Column("shifts_a_day", sa.Integer(), nullable=False),
        sa.Column("extraction_plant", sa.Text(), nullable=False),
        sa.Column("mills", sa.Integer(), nullable=False),
        sa.CheckConstraint(
            "extraction_plant IN ('tandem', 'diffuser')", name=op.f("ck_mill_extraction_plant")
        ),
        sa.CheckConstraint("shifts_a_day IN (2, 3)", name=op.f("ck_mill_shifts_a_day")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_mill")),
        sa.UniqueConstraint("name", name=op.f("uq_mill_name")),
    )
    op.create_table(
        "person",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("username", sa.Text(), nullable=False),
        sa.Column("printed_name", sa.Text(), nullable=False),
        sa.Column("role", sa.Text(), nullable=False),
        sa.Column("password_hash", sa.Text(), nullable=False),
        sa.Column("active", sa.Boolean(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint(
            "role IN ('chemist', 'manager', 'auditor', 'administrator')",
            name=op.f("ck_person_role"),
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_person")),
        sa.UniqueConstraint("username", name=op.f("uq_person_username")),
    )
    op.create_table(
        "sign_in_failure",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("username", sa.Text(), nullable=False),
        sa.Column("address", sa.Text(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_sign_in_failure")),
    )
    op.create_table(
        "convention",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("mill_id", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("value", sa.Text(), nullable=False),
        sa.Column("since", sa.Date(), nullable=False),
        sa.Column("source", sa.Text(), nullable=False),
        sa.Column("recorded_by", sa.Integer(), nullable=False),
        sa.Column("recorded_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["mill_id"], ["mill.id"], name=op.f("fk_convention_mill_id")),
        sa.ForeignKeyConstraint(
            ["recorded_by"], ["person.id"], name=op.f("fk_convention_recorded_by")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_convention")),
        sqlite_autoincrement=True,
    )
    op.create_table(
        "season",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("mill_id", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("first_day", sa.Date(), nullable=False),
        sa.Column("last_day", sa.Date(), nullable=True),
        sa.ForeignKeyConstraint(["mill_id"], ["mill.id"], name=op.f("fk_season_mill_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_season")),
        sa.UniqueConstraint("mill_id", "name", name=op.f("uq_season_mill_id_name")),
    )
    op.create_table(
        "sign_in",
        sa.Column("token_hash", sa.Text(), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("csrf", sa.Text(), nullable=False),
        sa.Column("begun_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("seen_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name=op.f("fk_sign_in_person_id")),
        sa.PrimaryKeyConstraint("token_hash", name=op.f("pk_sign_in")),
    )
    op.create_table(
        "target",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("mill_id", sa.Integer(), nullable=False),
        sa.Column("figure", sa.Text(), nullable=False),
        sa.Column("value", sa.Double(), nullable=False),
        sa.Column("since", sa.Date(), nullable=False),
        sa.Column("recorded_by", sa.Integer(), nullable=False),
        sa.Column("recorded_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["mill_id"], ["mill.id"], name=op.f("fk_target_mill_id")),
        sa.ForeignKeyConstraint(["recorded_by"], ["person.id"], name=op.f("fk_target_recorded_by")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_target")),
        sqlite_autoincrement=True,
    )
    op.create_table(
        "shift",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("season_id", sa.Integer(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("begins_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("ends_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("zone", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["season_id"], ["season.id"], name=op.f("fk_shift_season_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_shift")),
        sa.UniqueConstraint(
            "season_id", "day", "number", name=op.f("uq_shift_season_id_day_number")
        ),
    )
    op.create_table(
        "entry",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("shift_id", sa.Integer(), nullable=False),
        sa.Column("measure", sa.Text(), nullable=False),
        sa.Column("sample", sa.Integer(), server_default="1", nullable=False),
        sa.Column("state", sa.Text(), nullable=False),
        sa.Column("typed", sa.Text(), nullable=False),
        sa.Column("value", sa.Text(), nullable=True),
        sa.Column("unit", sa.Text(), nullable=False),
        sa.Column("reason", sa.Text(), nullable=True),
        sa.Column("supersedes_id", sa.Integer(), nullable=True),
        sa.Column("recorded_by", sa.Integer(), nullable=False),
        sa.Column("recorded_name", sa.Text(), nullable=False),
        sa.Column("recorded_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("observed_at", sa.DateTime(timezone=True), nullable=True),
        sa.CheckConstraint(
            "(state = 'number') = (value IS NOT NULL)", name=op.f("ck_entry_number_has_value")
        ),
        sa.CheckConstraint(
            "state <> 'void' OR supersedes_id IS NOT NULL", name=op.f("ck_entry_void_supersedes")
        ),
        sa.CheckConstraint(
            "supersedes_id IS NULL OR length(trim(coalesce(reason, ''))) > 0",
            name=op.f("ck_entry_correction_has_reason"),
        ),
        sa.ForeignKeyConstraint(["recorded_by"], ["person.id"], name=op.f("fk_entry_recorded_by")),
        sa.ForeignKeyConstraint(["shift_id"], ["shift.id"], name=op.f("fk_entry_shift_id")),
        sa.ForeignKeyConstraint(
            ["supersedes_id"], ["entry.id"], name=op.f("fk_entry_supersedes_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_entry")),
        sa.UniqueConstraint("supersedes_id", name=op.f("uq_entry_supersedes_id")),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_entry_shift_id_measure", "entry", ["shift_id", "measure"], unique=False)
    op.create_index(
        "uq_entry_first_of_cell",
        "entry",
        ["shift_id", "measure", "sample"],
        unique=True,
        sqlite_where=sa.text("supersedes_id IS NULL"),
        postgresql_where=sa.text("supersedes_id IS NULL"),
    )
    op.create_table(
        "standing",
        sa.Column("shift_id", sa.Integer(), nullable=False),
        sa.Column("measure", sa.Text(), nullable=False),
        sa.Column("entry_id", sa.Integer(), nullable=False),
        sa.Column("value", sa.Double(), nullable=True),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name=op.f("fk_standing_entry_id")),
        sa.ForeignKeyConstraint(["shift_id"], ["shift.id"], name=op.f("fk_standing_shift_id")),
        sa.PrimaryKeyConstraint("shift_id", "measure", name=op.f("pk_standing")),
        sqlite_with_rowid=False,
    )
    guard = guard_on_sqlite if op.get_bind().dialect.name == "sqlite" else guard_on_postgresql
    guard()


def guard_on_sqlite():
    for table in APPEND_ONLY:
        refuse = f"BEGIN SELECT RAISE(ABORT, '{table} is append-only'); END"
        op.execute(f"CREATE TRIGGER {table}_no_update BEFORE UPDATE ON {table} {refuse}")
        op.execute(f"CREATE TRIGGER {table}_no_delete BEFORE DELETE ON {table} {refuse}")
        op.execute(
            f"CREATE TRIGGER {table}_no_replace BEFORE INSERT ON {table} "
            f"WHEN EXISTS (SELECT 1 FROM {table} WHERE {IN_THE_WAY[table]}) {refuse}"
        )


def guard_on_postgresql():
    op.execute(
        """
        CREATE FUNCTION refuse_change() RETURNS trigger LANGUAGE plpgsql AS $$
        BEGIN RAISE EXCEPTION '% is append-only', TG_TABLE_NAME; END $$
        """
    )
    for table in APPEND_ONLY:
        op.execute(
            f"CREATE TRIGGER {table}_no_change BEFORE UPDATE OR DELETE ON {table} "
            "FOR EACH ROW EXECUTE FUNCTION refuse_change()"
        )
        op.execute(
            f"CREATE TRIGGER {table}_no_truncate BEFORE TRUNCATE ON {table} "
            "FOR EACH STATEMENT EXECUTE FUNCTION refuse_change()"
        )


def downgrade():
    for table in (
        "standing",
        "entry",
        "shift",
        "target",
        "sign_in",
        "season",
        "convention",
        "sign_in_failure",
        "person",
        "mill",
    ):
        op.drop_table(table)
    if op.get_bind().dialect.name == "postgresql":
        op.execute("DROP FUNCTION refuse_change()")
