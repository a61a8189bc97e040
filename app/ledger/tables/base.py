"""What the tables share: their names of constraints, how a moment is kept, how a row is added."""

from datetime import UTC, datetime
from typing import Any

from sqlalchemy import Connection, DateTime, Dialect, MetaData, Table, TypeDecorator

metadata = MetaData(
    naming_convention={
        "pk": "pk_%(table_name)s",
        "fk": "fk_%(table_name)s_%(column_0_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
    }
)


class Instant(TypeDecorator[datetime]):
    """A moment, kept as UTC and given back aware, also by SQLite, which keeps no zone."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """Turn an aware time into UTC; ValueError for one without a zone."""
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError(f"{value} has no zone")
        moment = value.astimezone(UTC)
        return moment.replace(tzinfo=None) if dialect.name == "sqlite" else moment

    def process_result_value(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """Give the time back with its zone, UTC."""
        if value is None:
            return None
        return value.replace(tzinfo=UTC) if dialect.name == "sqlite" else value.astimezone(UTC)


def add_row(connection: Connection, table: Table, values: dict[str, Any]) -> int:
    """Insert a row and return its id."""
    row = connection.execute(table.insert().values(values).returning(table.c.id))
    return int(row.scalar_one())
