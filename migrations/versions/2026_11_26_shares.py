"""What books give: none is kept as none, with the share analysed; keys are the same in any case."""

from collections import Counter

import sqlalchemy as sa
from alembic import op

revision = "shares"
down_revision = "languages"
branch_labels = None
depends_on = None

KEPT = ("shift_id", "measure", "book", "how", "value", "weight", "records")


def upgrade():
    rows = _taken_down("")
    _table(sa.Column("whole", sa.Double(), nullable=False), value_may_lack=True)
    _put_back([row | {"whole": row["weight"]} for row in rows])
    _fold_keys()


def downgrade():
    rows = _taken_down(" WHERE value IS NOT NULL")
    _table(value_may_lack=False)
    _put_back(rows)


def _taken_down(where):
    found = op.get_bind().execute(sa.text(f"SELECT {', '.join(KEPT)} FROM booked{where}"))
    rows = [dict(row) for row in found.mappings()]
    op.drop_table("booked")
    return rows


def _table(*more, value_may_lack):
    op.create_table(
        "booked",
        sa.Column("shift_id", sa.Integer(), nullable=False),
        sa.Column("measure", sa.Text(), nullable=False),
        sa.Column("book", sa.Text(), nullable=False),
        sa.Column("how", sa.Text(), nullable=False),
        sa.Column("value", sa.Double(), nullable=value_may_lack),
        sa.Column("weight", sa.Double(), nullable=False),
        *more,
        sa.Column("records", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("shift_id", "measure", name=op.f("pk_booked")),
        sa.ForeignKeyConstraint(["shift_id"], ["shift.id"], name=op.f("fk_booked_shift_id")),
        sqlite_with_rowid=False,
    )


def _put_back(rows):
    if rows:
        table = sa.table("booked", *(sa.column(name) for name in rows[0]))
        op.bulk_insert(table, rows)


def _fold_keys():
    """Fold the case of keys; where two of a book are then one, both stay as they were."""
    bind = op.get_bind()
    query = "SELECT record_id, season_id, book, key FROM standing_record WHERE key IS NOT NULL"
    keyed = bind.execute(sa.text(query)).all()
    alike = Counter((season, book, key.casefold()) for _id, season, book, key in keyed)
    for record_id, season, book, key in keyed:
        if key != key.casefold() and alike[season, book, key.casefold()] == 1:
            bind.execute(
                sa.text("UPDATE standing_record SET key = :key WHERE record_id = :id"),
                {"key": key.casefold(), "id": record_id},
            )
