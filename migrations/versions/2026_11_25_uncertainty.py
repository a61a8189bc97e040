"""Uncertainties of measures, duplicate results and lime doses; nobody changes them either."""

import sqlalchemy as sa
from alembic import op

revision = "uncertainty"
down_revision = "first_ledger"
branch_labels = None
depends_on = None

TABLES = ("uncertainty", "duplicate", "lime_dose")
IN_THE_WAY = {"duplicate": "id = NEW.id OR withdraws_id = NEW.withdraws_id"}


def upgrade():
    op.create_table(
        "uncertainty",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("mill_id", sa.Integer(), nullable=False),
        sa.Column("measure", sa.Text(), nullable=False),
        sa.Column("random", sa.Double(), nullable=False),
        sa.Column("systematic", sa.Double(), nullable=False),
        sa.Column("relative", sa.Boolean(), nullable=False),
        sa.Column("since", sa.Date(), nullable=False),
        sa.Column("source", sa.Text(), nullable=False),
        *who("uncertainty"),
        sa.CheckConstraint(
            "random >= 0 AND systematic >= 0", name=op.f("ck_uncertainty_not_negative")
        ),
        sqlite_autoincrement=True,
    )
    op.create_table(
        "duplicate",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("mill_id", sa.Integer(), nullable=False),
        sa.Column("measure", sa.Text(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("first", sa.Text(), nullable=False),
        sa.Column("second", sa.Text(), nullable=False),
        sa.Column("withdraws_id", sa.Integer(), nullable=True),
        sa.Column("reason", sa.Text(), nullable=True),
        *who("duplicate"),
        sa.CheckConstraint(
            "withdraws_id IS NULL OR length(trim(coalesce(reason, ''))) > 0",
            name=op.f("ck_duplicate_withdrawal_has_reason"),
        ),
        sa.ForeignKeyConstraint(
            ["withdraws_id"], ["duplicate.id"], name=op.f("fk_duplicate_withdraws_id")
        ),
        sa.UniqueConstraint("withdraws_id", name=op.f("uq_duplicate_withdraws_id")),
        sqlite_autoincrement=True,
    )
    op.create_table(
        "lime_dose",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("mill_id", sa.Integer(), nullable=False),
        sa.Column("from_ph", sa.Text(), nullable=False),
        sa.Column("to_ph", sa.Text(), nullable=False),
        sa.Column("dose", sa.Text(), nullable=False),
        *who("lime_dose"),
        sqlite_autoincrement=True,
    )
    sqlite = op.get_bind().dialect.name == "sqlite"
    for table in TABLES:
        (guard_on_sqlite if sqlite else guard_on_postgresql)(table)


def who(table):
    return (
        sa.Column("recorded_by", sa.Integer(), nullable=False),
        sa.Column("recorded_at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f(f"pk_{table}")),
        sa.ForeignKeyConstraint(["mill_id"], ["mill.id"], name=op.f(f"fk_{table}_mill_id")),
        sa.ForeignKeyConstraint(
            ["recorded_by"], ["person.id"], name=op.f(f"fk_{table}_recorded_by")
        ),
    )


def guard_on_sqlite(table):
    refuse = f"BEGIN SELECT RAISE(ABORT, '{table} is append-only'); END"
    op.execute(f"CREATE TRIGGER {table}_no_update BEFORE UPDATE ON {table} {refuse}")
    op.execute(f"CREATE TRIGGER {table}_no_delete BEFORE DELETE ON {table} {refuse}")
    op.execute(
        f"CREATE TRIGGER {table}_no_replace BEFORE INSERT ON {table} "
        f"WHEN EXISTS (SELECT 1 FROM {table} WHERE {IN_THE_WAY.get(table, 'id = NEW.id')}) {refuse}"
    )


def guard_on_postgresql(table):
    op.execute(
        f"CREATE TRIGGER {table}_no_change BEFORE UPDATE OR DELETE ON {table} "
        "FOR EACH ROW EXECUTE FUNCTION refuse_change()"
    )
    op.execute(
        f"CREATE TRIGGER {table}_no_truncate BEFORE TRUNCATE ON {table} "
        "FOR EACH STATEMENT EXECUTE FUNCTION refuse_change()"
    )


def downgrade():
    for table in TABLES:
        op.drop_table(table)
