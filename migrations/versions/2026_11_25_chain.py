"""One chain of every event, which tells what was there already; more tables are guarded."""

from datetime import UTC

import sqlalchemy as sa
from alembic import op

from app.ledger.canonical import BEGINNING, canonical, digest_of_event, link

revision = "chain"
down_revision = "signatures"
branch_labels = None
depends_on = None

GUARDED = ("mill", "season", "shift", "event", "signature", "review", "issue", "issue_file")
IN_THE_WAY = {
    "mill": "id = NEW.id OR name = NEW.name",
    "season": "id = NEW.id OR mill_id = NEW.mill_id AND name = NEW.name",
    "shift": "id = NEW.id OR season_id = NEW.season_id AND day = NEW.day AND number = NEW.number",
    "event": "number >= NEW.number",
    "issue": """id = NEW.id OR supersedes_id = NEW.supersedes_id
        OR season_id = NEW.season_id AND day = NEW.day AND number = NEW.number""",
    "issue_file": "id = NEW.id OR issue_id = NEW.issue_id AND name = NEW.name",
}


def upgrade():
    op.create_table(
        "event",
        sa.Column(
            "number",
            sa.BigInteger().with_variant(sa.Integer(), "sqlite"),
            autoincrement=False,
            nullable=False,
        ),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=True),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("season_id", sa.Integer(), nullable=True),
        sa.Column("day", sa.Date(), nullable=True),
        sa.Column("row_id", sa.Integer(), nullable=True),
        sa.Column("content", sa.Text(), nullable=False),
        sa.Column("hash", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_event")),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name=op.f("fk_event_person_id")),
        sa.ForeignKeyConstraint(["season_id"], ["season.id"], name=op.f("fk_event_season_id")),
    )
    op.create_index("ix_event_kind_row_id", "event", ["kind", "row_id"])
    op.create_index("ix_event_day", "event", ["day"])
    op.create_index("ix_event_person_id", "event", ["person_id"])
    tell_what_is_there()
    sqlite = op.get_bind().dialect.name == "sqlite"
    (guard_on_sqlite if sqlite else guard_on_postgresql)()


SIGNED = ("signature", "review", "issue", "issue_file")
TOLD = ("mill", "season", "shift", "entry", "convention", "target", "uncertainty", "duplicate",
        "lime_dose", *SIGNED)  # fmt: skip


def tell_what_is_there():
    """Tell in the chain what an earlier ledger holds, as nearly in the order it was written.

    Rows of a table follow each other by number, whatever the clock said; a shift comes before its
    entries; tables are merged by the latest time reached.
    """
    connection = op.get_bind()
    tables = sa.MetaData()
    tables.reflect(connection, only=(*TOLD, "person", "event"))
    names = dict(connection.execute(sa.text("SELECT id, printed_name FROM person")).all())
    previous, written = BEGINNING, []
    for number, event in enumerate(sorted(events(connection, tables), key=order_of), 1):
        event.pop("order")
        event["name"] = names.get(event["person_id"], "")
        previous = link(number, previous, digest_of_event(event))
        written.append(event | {"number": number, "hash": previous})
    if written:
        connection.execute(tables.tables["event"].insert(), written)


def order_of(event):
    return event["order"]


def events(connection, tables):
    begun = aware(connection.scalar(sa.select(sa.func.min(tables.tables["person"].c.created_at))))
    season_of = dict(connection.execute(sa.text("SELECT id, season_id FROM shift")).all())
    day_of = dict(connection.execute(sa.select(tables.tables["shift"].c["id", "day"])).all())
    first = dict(
        connection.execute(sa.text("SELECT shift_id, min(id) FROM entry GROUP BY 1")).all()
    )
    written_at = {}
    for kind in ("entry", "mill", "person", "season", "convention", "target", "uncertainty",
                 "duplicate", "lime_dose", "shift", *SIGNED):  # fmt: skip
        table, reached = tables.tables[kind], begun
        for row in connection.execute(sa.select(table).order_by(table.c.id)).mappings():
            content = {name: aware(value) for name, value in row.items()}
            for untold in ("password_hash", "packed"):
                content.pop(untold, None)
            at = content.get("recorded_at") or content.get("created_at") or begun
            if kind == "shift":
                at, reached = written_at.get(first.get(content["id"]), (begun, begun))
            else:
                reached = max(reached, at)
            if kind == "entry":
                written_at[content["id"]] = at, reached
            shift = content["id"] if kind == "shift" else content.get("shift_id")
            yield {
                "order": (reached, kind != "shift"),
                "at": at,
                "kind": kind,
                "person_id": content.get("recorded_by"),
                "season_id": content["season_id"] if kind in SIGNED[:3] else season_of.get(shift),
                "day": content["day"] if kind in SIGNED[:3] else day_of.get(shift),
                "row_id": content["id"],
                "content": canonical(content),
            }


def aware(value):
    """Return a moment with its zone, as SQLite does not; anything else as it is."""
    if hasattr(value, "tzinfo"):
        return value.replace(tzinfo=value.tzinfo or UTC)
    return value


def guard_on_sqlite():
    for table in GUARDED:
        refuse = f"BEGIN SELECT RAISE(ABORT, '{table} is append-only'); END"
        op.execute(f"CREATE TRIGGER {table}_no_update BEFORE UPDATE ON {table} {refuse}")
        op.execute(f"CREATE TRIGGER {table}_no_delete BEFORE DELETE ON {table} {refuse}")
        op.execute(
            f"CREATE TRIGGER {table}_no_replace BEFORE INSERT ON {table} WHEN EXISTS "
            f"(SELECT 1 FROM {table} WHERE {IN_THE_WAY.get(table, 'id = NEW.id')}) {refuse}"
        )
    refuse = "BEGIN SELECT RAISE(ABORT, 'event has no gap'); END"
    op.execute(
        "CREATE TRIGGER event_no_gap BEFORE INSERT ON event "
        f"WHEN NEW.number <> 1 + coalesce((SELECT max(number) FROM event), 0) {refuse}"
    )
    refuse = "BEGIN SELECT RAISE(ABORT, 'person is kept: nobody is taken out or renamed'); END"
    op.execute(
        "CREATE TRIGGER person_no_rename BEFORE UPDATE OF id, username, printed_name, created_at "
        "ON person WHEN OLD.id <> NEW.id OR OLD.username <> NEW.username "
        "OR OLD.printed_name <> NEW.printed_name "
        f"OR OLD.created_at <> NEW.created_at {refuse}"
    )
    op.execute(f"CREATE TRIGGER person_no_delete BEFORE DELETE ON person {refuse}")
    op.execute(
        "CREATE TRIGGER person_no_replace BEFORE INSERT ON person WHEN EXISTS "
        f"(SELECT 1 FROM person WHERE id = NEW.id OR username = NEW.username) {refuse}"
    )


def guard_on_postgresql():
    for table in GUARDED:
        op.execute(
            f"CREATE TRIGGER {table}_no_change BEFORE UPDATE OR DELETE ON {table} "
            "FOR EACH ROW EXECUTE FUNCTION refuse_change()"
        )
    op.execute(
        """
        CREATE FUNCTION refuse_gap() RETURNS trigger LANGUAGE plpgsql AS $$
        BEGIN
            IF NEW.number <> 1 + coalesce((SELECT max(number) FROM event), 0) THEN
                RAISE EXCEPTION 'event has no gap';
            END IF;
            RETURN NEW;
        END $$
        """
    )
    op.execute(
        "CREATE TRIGGER event_no_gap BEFORE INSERT ON event "
        "FOR EACH ROW EXECUTE FUNCTION refuse_gap()"
    )
    op.execute(
        """
        CREATE FUNCTION refuse_renaming() RETURNS trigger LANGUAGE plpgsql AS $$
        BEGIN
            IF TG_OP = 'UPDATE' AND OLD.id = NEW.id AND OLD.username = NEW.username
                AND OLD.printed_name = NEW.printed_name
                AND OLD.created_at = NEW.created_at THEN RETURN NEW;
            END IF;
            RAISE EXCEPTION 'person is kept: nobody is taken out or renamed';
        END $$
        """
    )
    op.execute(
        "CREATE TRIGGER person_no_rename BEFORE UPDATE OR DELETE ON person "
        "FOR EACH ROW EXECUTE FUNCTION refuse_renaming()"
    )
    for table in (*GUARDED, "person"):
        op.execute(
            f"CREATE TRIGGER {table}_no_truncate BEFORE TRUNCATE ON {table} "
            "FOR EACH STATEMENT EXECUTE FUNCTION refuse_change()"
        )


def downgrade():
    """Take the chain away: it is lost."""
    sqlite = op.get_bind().dialect.name == "sqlite"
    endings = ("no_update", "no_delete", "no_replace") if sqlite else ("no_change", "no_truncate")
    of_person = ("no_rename", "no_delete", "no_replace") if sqlite else ("no_rename", "no_truncate")
    unguard({table: endings for table in GUARDED if table != "event"} | {"person": of_person})
    op.drop_table("event")
    if not sqlite:
        op.execute("DROP FUNCTION refuse_gap()")
        op.execute("DROP FUNCTION refuse_renaming()")


def unguard(triggers):
    where = "" if op.get_bind().dialect.name == "sqlite" else " ON {table}"
    for table, endings in triggers.items():
        for ending in endings:
            op.execute(f"DROP TRIGGER {table}_{ending}" + where.format(table=table))
