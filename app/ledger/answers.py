"""Forms that were answered: one sent again gets the answer it got, and does nothing."""

from datetime import datetime, timedelta

from sqlalchemy import Connection, delete, insert, select

from app.ledger import tables

KEPT = timedelta(hours=72)

_a = tables.answered.c


class AnsweredOtherwise(Exception):
    """A form with this key was answered, but it said something else."""


def answer_before(connection: Connection, key: str, digest: str) -> str | None:
    """Return where the form of this key and digest was sent on to; None the first time.

    Copies sent at the same moment wait for the first to be done, as all who write do. Raises
    AnsweredOtherwise.
    """
    row = connection.execute(select(_a.digest, _a.location).where(_a.key == key)).first()
    if row is None:
        return None
    if row.digest != digest:
        raise AnsweredOtherwise
    return str(row.location)


def keep_answer(connection: Connection, key: str, digest: str, location: str, at: datetime) -> None:
    """Keep where a form was sent on to, together with what it did."""
    connection.execute(delete(tables.answered).where(_a.at <= at - KEPT))
    values = {"key": key, "digest": digest, "location": location, "at": at}
    connection.execute(insert(tables.answered).values(values))
