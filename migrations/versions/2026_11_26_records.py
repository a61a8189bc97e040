"""The other books: records, which of them stand, and what those of a shift give."""

import sqlalchemy as sa
from alembic import op

revision = "records"
down_revision = "samples"
branch_labels = None
depends_on = None

KEYED = "key IS NOT NULL"


def upgrade():
    op.create_table(
        "record",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("shift_id", sa.Integer(), nullable=False),
        sa.Column("book", sa.Text(), nullable=False),
        sa.Column("fields", sa.Text(), nullable=False),
        sa.Column("state", sa.Text(), nullable=False),
        sa.Column("supersedes_id", sa.Integer(), nullable=True),
        sa.Column("completes", sa.Boolean(), server_default=sa.false(), nullable=False),
        sa.Column("reason", sa.Text(), nullable=True),
        sa.Column("recorded_by", sa.Integer(), nullable=False),
        sa.Column("recorded_name", sa.Text(), nullable=False),
        sa.Column("recorded_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("observed_by", sa.Text(), nullable=True),
        sa.Column("late", sa.Boolean(), server_default=sa.false(), nullable=False),
        sa.Column("instrument", sa.Text(), server_default="none", nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_record")),
        sa.UniqueConstraint("supersedes_id", name=op.f("uq_record_supersedes_id")),
        *references("record", shift_id="shift", supersedes_id="record", recorded_by="person"),
        check("record", "state", "state IN ('stands', 'void')"),
        check("record", "void_supersedes", "state <> 'void' OR supersedes_id IS NOT NULL"),
        check(
            "record",
            "correction_has_reason",
            "supersedes_id IS NULL OR completes OR length(trim(coalesce(reason, ''))) > 0",
        ),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_record_shift_id_book", "record", ["shift_id", "book"])
    op.create_table(
        "standing_record",
        sa.Column("record_id", sa.Integer(), nullable=False),
        sa.Column("season_id", sa.Integer(), nullable=False),
        sa.Column("shift_id", sa.Integer(), nullable=False),
        sa.Column("book", sa.Text(), nullable=False),
        sa.Column("key", sa.Text(), nullable=True),
        sa.PrimaryKeyConstraint("record_id", name=op.f("pk_standing_record")),
        *references("standing_record", record_id="record", season_id="season", shift_id="shift"),
    )
    for column in ("shift_id", "season_id"):
        op.create_index(f"ix_standing_record_{column}_book", "standing_record", [column, "book"])
    op.create_index(
        "uq_standing_record_key",
        "standing_record",
        ["season_id", "book", "key"],
        unique=True,
        sqlite_where=sa.text(KEYED),
        postgresql_where=sa.text(KEYED),
    )
    op.create_table(
        "booked",
        sa.Column("shift_id", sa.Integer(), nullable=False),
        sa.Column("measure", sa.Text(), nullable=False),
        sa.Column("book", sa.Text(), nullable=False),
        sa.Column("how", sa.Text(), nullable=False),
        sa.Column("value", sa.Double(), nullable=False),
        sa.Column("weight", sa.Double(), nullable=False),
        sa.Column("records", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("shift_id", "measure", name=op.f("pk_booked")),
        *references("booked", shift_id="shift"),
        sqlite_with_rowid=False,
    )
    sqlite = op.get_bind().dialect.name == "sqlite"
    (guard_on_sqlite if sqlite else guard_on_postgresql)()


def references(table, **keys):
    return [
        sa.ForeignKeyConstraint([column], [f"{other}.id"], name=op.f(f"fk_{table}_{column}"))
        for column, other in keys.items()
    ]


def check(table, name, condition):
    return sa.CheckConstraint(condition, name=op.f(f"ck_{table}_{name}"))


def guard_on_sqlite():
    refuse = "BEGIN SELECT RAISE(ABORT, 'record is append-only'); END"
    op.execute(f"CREATE TRIGGER record_no_update BEFORE UPDATE ON record {refuse}")
    op.execute(f"CREATE TRIGGER record_no_delete BEFORE DELETE ON record {refuse}")
    op.execute(
        "CREATE TRIGGER record_no_replace BEFORE INSERT ON record WHEN EXISTS "
        "(SELECT 1 FROM record WHERE id = NEW.id OR supersedes_id = NEW.supersedes_id) "
        f"{refuse}"
    )


def guard_on_postgresql():
    op.execute(
        "CREATE TRIGGER record_no_change BEFORE UPDATE OR DELETE ON record "
        "FOR EACH ROW EXECUTE FUNCTION refuse_change()"
    )
    op.execute(
        "CREATE TRIGGER record_no_truncate BEFORE TRUNCATE ON record "
        "FOR EACH STATEMENT EXECUTE FUNCTION refuse_change()"
    )


def downgrade():
    for table in ("booked", "standing_record", "record"):
        op.drop_table(table)
