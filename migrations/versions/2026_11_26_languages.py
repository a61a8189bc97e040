"""The language that a person chose."""

import sqlalchemy as sa
from alembic import op

revision = "languages"
down_revision = "records"
branch_labels = None
depends_on = None


def upgrade():
    op.add_column("person", sa.Column("language", sa.Text(), nullable=True))


def downgrade():
    op.drop_column("person", "language")
