"""Brings an older ledger up to this program: its tables, and what it reads of its books."""

from sqlalchemy import Engine, select

from app.database import bring_up, rebuilding
from app.ledger import tables
from app.ledger.booked import work_out_anew
from app.ledger.mills import Season


def upgrade(engine: Engine) -> None:
    """Bring the tables up, and what shifts get from books by the rules of now, wholly or not."""
    with rebuilding(engine) as connection:
        bring_up(connection, "head")
        rows = connection.execute(select(tables.season)).all()
        work_out_anew(connection, [Season(*row) for row in rows])
