"""What the tables share: their names of constraints, how a moment is kept, how a row is added."""

from collections.abc import Mapping, Sequence
from datetime import UTC, datetime
from typing import Any

from sqlalchemy import Connection, DateTime, Dialect, MetaData, Table, TypeDecorator
from sqlalchemy.exc import DBAPIError

_MANY = 100  # rows, which are worth another way

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


def add_rows(connection: Connection, table: Table, rows: Sequence[Mapping[str, Any]]) -> None:
    """Insert rows that all name the same columns; many are copied where the database does that.

    Others wait meanwhile, and PostgreSQL takes several times as long to insert them one by one.
    """
    if connection.dialect.name != "postgresql" or len(rows) < _MANY:
        connection.execute(table.insert(), rows)
        return
    quote = connection.dialect.identifier_preparer.quote
    names = ", ".join(map(quote, rows[0]))
    driver: Any = connection.connection.driver_connection
    copying = f"COPY {quote(table.name)} ({names}) FROM STDIN"
    try:
        with driver.cursor() as cursor, cursor.copy(copying) as copy:
            for row in rows:
                copy.write_row([row[name] for name in rows[0]])
    except connection.dialect.loaded_dbapi.Error as error:
        raise DBAPIError(copying, None, error) from error
