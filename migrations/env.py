"""Runs migrations through the connection handed over, or one of the settings' database."""

from alembic import context

from app.database import open_database, rebuilding
from app.ledger.tables import Instant, metadata
from app.settings import Settings


def plain_types(kind, item, _autogenerate):
    """Keep a migration free of the programme's own types, which may change after it."""
    if kind == "type" and isinstance(item, Instant):
        return "sa.DateTime(timezone=True)"
    return False


def run(connection):
    context.configure(
        connection=connection,
        target_metadata=metadata,
        transactional_ddl=True,
        render_item=plain_types,
    )
    with context.begin_transaction():
        context.run_migrations()


handed_over = context.config.attributes.get("connection")
if handed_over is not None:
    run(handed_over)
else:
    engine = open_database(Settings().database_url, create=True)
    with rebuilding(engine) as own:
        run(own)
    engine.dispose()
