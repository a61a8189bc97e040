"""Signatures, reviews, issues and what lets people in; who observed an entry, and how late."""

import sqlalchemy as sa
from alembic import op

revision = "signatures"
down_revision = "uncertainty"
branch_labels = None
depends_on = None

EARLIER_ROLES = ("chemist", "manager", "auditor", "administrator")
ROLES = ("chemist", "chief chemist", "manager", "auditor", "administrator", "instrument")
MOMENT = sa.DateTime(timezone=True)


def upgrade():
    make_tables()
    make_tables_of_issues()
    make_tables_of_access()
    for column in (
        sa.Column("observed_by", sa.Text(), nullable=True),
        sa.Column("late", sa.Boolean(), server_default=sa.false(), nullable=False),
        sa.Column("instrument", sa.Text(), server_default="none", nullable=False),
    ):
        op.add_column("entry", column)
    rebuild_person(ROLES, "password_hash", nullable=True)


def make_tables():
    op.create_table(
        "signature",
        *of_a_day(),
        sa.Column("number", sa.Integer(), nullable=True),
        sa.Column("meaning", sa.Text(), nullable=False),
        sa.Column("covers", sa.Text(), nullable=False),
        sa.Column("entries", sa.Integer(), nullable=False),
        sa.Column("remarks", sa.Text(), nullable=True),
        sa.Column("reason", sa.Text(), nullable=True),
        sa.Column("role", sa.Text(), nullable=False),
        *who(),
        *keys("signature", "id", season_id="season", recorded_by="person"),
        check("signature", "meaning", "meaning IN ('entered', 'approved', 'reopened')"),
        check("signature", "entered_is_of_a_shift", "(meaning <> 'entered' OR number IS NOT NULL)"),
        check("signature", "approved_is_of_a_day", "(meaning <> 'approved' OR number IS NULL)"),
        check(
            "signature",
            "reopening_has_reason",
            "meaning <> 'reopened' OR length(trim(coalesce(reason, ''))) > 0",
        ),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_signature_season_id_day", "signature", ["season_id", "day"])
    op.create_table(
        "review",
        *of_a_day(),
        sa.Column("upto", sa.Integer(), nullable=False),
        sa.Column("remark", sa.Text(), nullable=True),
        *who(),
        *keys("review", "id", season_id="season", recorded_by="person"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_review_season_id_day", "review", ["season_id", "day"])


def make_tables_of_issues():
    op.create_table(
        "issue",
        *of_a_day(),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("supersedes_id", sa.Integer(), nullable=True),
        sa.Column("reason", sa.Text(), nullable=True),
        sa.Column("chain_number", sa.Integer(), nullable=False),
        sa.Column("chain_hash", sa.Text(), nullable=False),
        sa.Column("role", sa.Text(), nullable=False),
        *who(),
        *keys("issue", "id", season_id="season", recorded_by="person", supersedes_id="issue"),
        unique("issue", "supersedes_id"),
        unique("issue", "season_id", "day", "number"),
        check("issue", "first_supersedes_nothing", "(number = 1) = (supersedes_id IS NULL)"),
        check(
            "issue",
            "restatement_has_reason",
            "supersedes_id IS NULL OR length(trim(coalesce(reason, ''))) > 0",
        ),
        sqlite_autoincrement=True,
    )
    op.create_table(
        "issue_file",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("issue_id", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("sha256", sa.Text(), nullable=False),
        sa.Column("packed", sa.LargeBinary(), nullable=False),
        *keys("issue_file", "id", issue_id="issue"),
        unique("issue_file", "issue_id", "name"),
        sqlite_autoincrement=True,
    )


def make_tables_of_access():
    op.create_table(
        "answered",
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("digest", sa.Text(), nullable=False),
        sa.Column("location", sa.Text(), nullable=False),
        sa.Column("at", MOMENT, nullable=False),
        *keys("answered", "key"),
        sqlite_with_rowid=False,
    )
    op.create_table(
        "backup",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("at", MOMENT, nullable=False),
        sa.Column("place", sa.Text(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("chain_number", sa.Integer(), nullable=False),
        sa.Column("chain_hash", sa.Text(), nullable=False),
        *keys("backup", "id"),
        check("backup", "kind", "kind IN ('backup', 'drill')"),
        sqlite_autoincrement=True,
    )
    op.create_table(
        "password_code",
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("code_hash", sa.Text(), nullable=False),
        sa.Column("ends_at", MOMENT, nullable=False),
        *keys("password_code", "person_id", person_id="person"),
    )
    op.create_table(
        "instrument_token",
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("token_hash", sa.Text(), nullable=False),
        sa.Column("measures", sa.Text(), nullable=False),
        sa.Column("made_at", MOMENT, nullable=False),
        sa.Column("used_at", MOMENT, nullable=True),
        *keys("instrument_token", "person_id", person_id="person"),
        unique("instrument_token", "token_hash"),
    )


def of_a_day():
    return (
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("season_id", sa.Integer(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
    )


def who():
    return (
        sa.Column("recorded_by", sa.Integer(), nullable=False),
        sa.Column("recorded_name", sa.Text(), nullable=False),
        sa.Column("recorded_at", MOMENT, nullable=False),
    )


def keys(table, primary, **foreign):
    yield sa.PrimaryKeyConstraint(primary, name=op.f(f"pk_{table}"))
    for column, other in foreign.items():
        name = op.f(f"fk_{table}_{column}")
        yield sa.ForeignKeyConstraint([column], [f"{other}.id"], name=name)


def unique(table, *columns):
    return sa.UniqueConstraint(*columns, name=op.f(f"uq_{table}_{'_'.join(columns)}"))


def check(table, name, rule):
    return sa.CheckConstraint(rule, name=op.f(f"ck_{table}_{name}"))


def rebuild_person(roles, password, *, nullable):
    """Let people have other roles; with a password already or without one."""
    if op.get_bind().dialect.name == "postgresql":
        op.drop_constraint(op.f("ck_person_role"), "person")
        op.create_check_constraint(op.f("ck_person_role"), "person", f"role IN {roles}")
        op.execute(f"UPDATE person SET password_hash = {password}")
        op.alter_column("person", "password_hash", nullable=nullable)
        return
    # the tool's own way to rebuild a table would do, but the order of columns and constraints
    # is then not that of the table declared
    op.create_table(
        "person_rebuilt",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("username", sa.Text(), nullable=False),
        sa.Column("printed_name", sa.Text(), nullable=False),
        sa.Column("role", sa.Text(), nullable=False),
        sa.Column("password_hash", sa.Text(), nullable=nullable),
        sa.Column("active", sa.Boolean(), nullable=False),
        sa.Column("created_at", MOMENT, nullable=False),
        check("person", "role", f"role IN {roles}"),
        *keys("person", "id"),
        unique("person", "username"),
    )
    columns = "id, username, printed_name, role, {}, active, created_at"
    op.execute(
        f"INSERT INTO person_rebuilt ({columns.format('password_hash')}) "
        f"SELECT {columns.format(password)} FROM person"
    )
    op.drop_table("person")
    op.rename_table("person_rebuilt", "person")


def downgrade():
    """Take signatures, reviews and issues away: they are lost."""
    for table in ("instrument_token", "password_code", "backup", "answered", "issue_file", "issue",
                  "review", "signature"):  # fmt: skip
        op.drop_table(table)
    op.execute("UPDATE person SET role = 'chemist' WHERE role IN ('chief chemist', 'instrument')")
    rebuild_person(EARLIER_ROLES, "coalesce(password_hash, 'none was set')", nullable=False)
    for column in ("instrument", "late", "observed_by"):
        op.drop_column("entry", column)
