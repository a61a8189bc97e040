"""Several samples of a shift and several tests of a sample; notes; the mill's own plan."""

import sqlalchemy as sa
from alembic import op

revision = "samples"
down_revision = "chain"
branch_labels = None
depends_on = None

TABLES = ("note", "sampling", "part")
FURTHER = "sample > 1 OR determination > 1"
FIRST = "supersedes_id IS NULL"


def upgrade():
    op.add_column("entry", number("determination"))
    op.add_column(
        "entry", sa.Column("carried", sa.Boolean(), server_default=sa.false(), nullable=False)
    )
    key_first_entries("shift_id", "measure", "sample", "determination")
    rebuild_standing("sample", "determination")
    op.create_index(
        "ix_standing_further",
        "standing",
        ["shift_id"],
        sqlite_where=sa.text(FURTHER),
        postgresql_where=sa.text(FURTHER),
    )
    make_tables()
    sqlite = op.get_bind().dialect.name == "sqlite"
    for table in TABLES:
        (guard_on_sqlite if sqlite else guard_on_postgresql)(table)


def number(name):
    return sa.Column(name, sa.Integer(), server_default="1", nullable=False)


def key_first_entries(*columns):
    """Let the first entry of a place be the only one, also against REPLACE on SQLite."""
    op.drop_index("uq_entry_first_of_cell", "entry")
    where = {"sqlite_where": sa.text(FIRST), "postgresql_where": sa.text(FIRST)}
    op.create_index("uq_entry_first_of_cell", "entry", columns, unique=True, **where)
    if op.get_bind().dialect.name == "sqlite":
        op.execute("DROP TRIGGER entry_no_replace")
        same = " AND ".join(f"{column} = NEW.{column}" for column in columns)
        op.execute(
            "CREATE TRIGGER entry_no_replace BEFORE INSERT ON entry WHEN EXISTS "
            "(SELECT 1 FROM entry WHERE id = NEW.id OR supersedes_id = NEW.supersedes_id "
            f"OR (NEW.supersedes_id IS NULL AND supersedes_id IS NULL AND {same})) "
            "BEGIN SELECT RAISE(ABORT, 'entry is append-only'); END"
        )


def rebuild_standing(*further):
    op.rename_table("standing", "standing_before")
    if op.get_bind().dialect.name != "sqlite":
        op.execute("ALTER TABLE standing_before DROP CONSTRAINT pk_standing")
    op.create_table(
        "standing",
        sa.Column("shift_id", sa.Integer(), nullable=False),
        sa.Column("measure", sa.Text(), nullable=False),
        *(number(name) for name in further),
        sa.Column("entry_id", sa.Integer(), nullable=False),
        sa.Column("value", sa.Double(), nullable=True),
        sa.PrimaryKeyConstraint("shift_id", "measure", *further, name=op.f("pk_standing")),
        *references("standing", shift_id="shift", entry_id="entry"),
        sqlite_with_rowid=False,
    )
    op.execute(
        "INSERT INTO standing (shift_id, measure, entry_id, value) "
        "SELECT shift_id, measure, entry_id, value FROM standing_before"
    )
    op.drop_table("standing_before")


def references(table, **keys):
    return [
        sa.ForeignKeyConstraint([column], [f"{other}.id"], name=op.f(f"fk_{table}_{column}"))
        for column, other in keys.items()
    ]


def make_tables():
    op.create_table(
        "note",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("shift_id", sa.Integer(), nullable=False),
        sa.Column("measure", sa.Text(), nullable=False),
        sa.Column("sample", sa.Integer(), nullable=False),
        sa.Column("determination", sa.Integer(), nullable=False),
        sa.Column("rule", sa.Text(), nullable=False),
        sa.Column("entries", sa.Text(), nullable=False),
        sa.Column("words", sa.Text(), nullable=False),
        sa.Column("recorded_by", sa.Integer(), nullable=False),
        sa.Column("recorded_name", sa.Text(), nullable=False),
        sa.Column("recorded_at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_note")),
        *references("note", shift_id="shift", recorded_by="person"),
        check("note", "has_words", "length(trim(words)) > 0"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_note_shift_id", "note", ["shift_id"])
    op.create_table(
        "sampling",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("mill_id", sa.Integer(), nullable=False),
        sa.Column("measure", sa.Text(), nullable=False),
        sa.Column("since", sa.Date(), nullable=False),
        sa.Column("taken", sa.Text(), nullable=False),
        sa.Column("grain", sa.Text(), nullable=False),
        sa.Column("every", sa.Integer(), nullable=False),
        sa.Column("rule", sa.Text(), nullable=False),
        *(sa.Column(limit, sa.Double(), nullable=False)
          for limit in ("usual_low", "usual_high", "hard_low", "hard_high")),
        *of_the_mill("sampling"),
        check("sampling", "taken", "taken IN ('due', 'not always', 'not taken')"),
        check("sampling", "grain", "grain IN ('shift', 'day', 'week')"),
        check("sampling", "rule", "rule IN ('mean', 'sum', 'last')"),
        check(
            "sampling",
            "limits_in_order",
            "hard_low <= usual_low AND usual_low <= usual_high AND usual_high <= hard_high",
        ),
        sqlite_autoincrement=True,
    )  # fmt: skip
    op.create_table(
        "part",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("mill_id", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("in_use", sa.Boolean(), nullable=False),
        sa.Column("since", sa.Date(), nullable=False),
        *of_the_mill("part"),
        sqlite_autoincrement=True,
    )


def of_the_mill(table):
    return (
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("recorded_by", sa.Integer(), nullable=False),
        sa.Column("recorded_at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f(f"pk_{table}")),
        *references(table, mill_id="mill", recorded_by="person"),
    )


def check(table, name, condition):
    return sa.CheckConstraint(condition, name=op.f(f"ck_{table}_{name}"))


def guard_on_sqlite(table):
    refuse = f"BEGIN SELECT RAISE(ABORT, '{table} is append-only'); END"
    op.execute(f"CREATE TRIGGER {table}_no_update BEFORE UPDATE ON {table} {refuse}")
    op.execute(f"CREATE TRIGGER {table}_no_delete BEFORE DELETE ON {table} {refuse}")
    op.execute(
        f"CREATE TRIGGER {table}_no_replace BEFORE INSERT ON {table} "
        f"WHEN EXISTS (SELECT 1 FROM {table} WHERE id = NEW.id) {refuse}"
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
    """Go back where every shift has one sample of each measure, tested once; else refuse."""
    further = op.get_bind().scalar(sa.text(f"SELECT count(*) FROM entry WHERE {FURTHER}"))
    if further:
        raise RuntimeError(f"{further} entries are of further samples: an older ledger holds none")
    for table in TABLES:
        op.drop_table(table)
    op.drop_index("ix_standing_further", "standing")
    rebuild_standing()
    key_first_entries("shift_id", "measure", "sample")
    for column in ("carried", "determination"):
        op.drop_column("entry", column)
