"""Sign-ins: begun with a password, locked after half an hour without use, ended after a shift.

Who guesses waits longer each time, but a colleague's guesses elsewhere keep nobody out.
"""

import secrets
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any, NamedTuple

from sqlalchemy import (
    ColumnElement,
    Connection,
    Select,
    and_,
    delete,
    func,
    insert,
    or_,
    select,
    true,
    update,
)

from app.ledger import tables
from app.ledger.passwords import fits, hash_of_secret, hashed, is_weak
from app.ledger.people import PERSON, Person, filed_name

LASTS = timedelta(hours=12)
LOCKS_AFTER = timedelta(minutes=30)
_KEPT = timedelta(days=2)  # so that who comes back to a page that is over is still known by name

# failures forgiven before waiting begins: of one account from one place, of an account, of a place,
# of all; a colleague's wrong guesses elsewhere must not keep the owner out
_FORGIVEN_BOTH, _FORGIVEN_ACCOUNT, _FORGIVEN_ADDRESS, _FORGIVEN_ALL = 5, 30, 30, 1000
_LONGEST_WAIT = timedelta(minutes=15)
_LONGEST_WAIT_OF_ALL = timedelta(minutes=1)
_REMEMBERED = timedelta(days=1)

_s = tables.sign_in.c
_f = tables.sign_in_failure.c


@dataclass(frozen=True)
class SignIn:
    """A sign-in that is not over; `id` tells them apart and lets nobody in."""

    id: str
    begun_at: datetime
    seen_at: datetime


class Known(NamedTuple):
    """Whose name and password were found to fit, and the hash they were found by."""

    person_id: int
    checked: str


def who_knows(
    connection: Connection, username: str, password: str, address: str, at: datetime
) -> Known | None:
    """Return whose name and password these are, or None; writes nothing, and takes its time.

    That time is the same for an unknown name, a wrong password and somebody deactivated.
    """
    name = filed_name(username)
    if wait_before(connection, name, address, at):
        return None
    c = tables.person.c
    query = select(c.id, c.password_hash, c.active).where(c.username == name)
    row = connection.execute(query).first()
    known = fits(row.password_hash if row else None, password)
    return Known(row.id, row.password_hash) if row and row.active and known else None


def judge(connection: Connection, right: bool, username: str, address: str, at: datetime) -> bool:
    """Tell whether somebody whose secret was `right` may go on; a wrong try is kept.

    Many who guess at once are all told to wait once a few of them are wrong.
    """
    name = filed_name(username)
    if wait_before(connection, name, address, at):
        return False
    if not right:
        values = {"username": name, "address": address, "at": at}
        connection.execute(insert(tables.sign_in_failure).values(values))
        return False
    _forget(connection, name, address, at)
    return True


def let_in(
    connection: Connection,
    known: Known | None,
    username: str,
    password: str,
    address: str,
    at: datetime,
) -> str | None:
    """Return a new token for whom `who_knows` found; None for nobody, whose try is kept."""
    if not judge(connection, known is not None, username, address, at) or known is None:
        return None
    person_id, checked = known
    c = tables.person.c
    kept, active = connection.execute(
        select(c.password_hash, c.active).where(c.id == person_id)
    ).one()
    if not active or kept != checked:
        return None  # deactivated, or the password set anew, since it was checked
    if is_weak(kept):
        whose = update(tables.person).where(c.id == person_id)
        connection.execute(whose.values(password_hash=hashed(password)))
    connection.execute(delete(tables.sign_in).where(_s.begun_at <= at - _KEPT))
    token = secrets.token_urlsafe(32)
    values = {
        "token_hash": hash_of_secret(token),
        "person_id": person_id,
        "csrf": secrets.token_urlsafe(32),
        "begun_at": at,
        "seen_at": at,
    }
    connection.execute(insert(tables.sign_in).values(values))
    return token


def wait_before(
    connection: Connection, username: str, address: str, at: datetime
) -> timedelta | None:
    """Return how long this account, from this address, must still wait; None for not at all."""
    account, place = _f.username == filed_name(username), _f.address == address
    waits = (
        _wait(_failures(connection, and_(account, place), at), _FORGIVEN_BOTH, at),
        _wait(_failures_by_place(connection, account, at), _FORGIVEN_ACCOUNT, at),
        _wait(_failures(connection, place, at), _FORGIVEN_ADDRESS, at),
        _wait(_failures(connection, true(), at), _FORGIVEN_ALL, at, _LONGEST_WAIT_OF_ALL),
    )
    return max(waits) or None


def _failures(
    connection: Connection, whose: ColumnElement[bool], at: datetime
) -> tuple[int, datetime | None]:
    """Return how many tries failed within a day, and when the last one did."""
    query = select(func.count(), func.max(_f.at)).where(whose, _f.at > at - _REMEMBERED)
    count, last = connection.execute(query).one()
    return count, last


def _failures_by_place(
    connection: Connection, whose: ColumnElement[bool], at: datetime
) -> tuple[int, datetime | None]:
    """Return the same, but of one address no more than it is forgiven: then it waits by itself."""
    query = select(func.count(), func.max(_f.at)).group_by(_f.address)
    found = connection.execute(query.where(whose, _f.at > at - _REMEMBERED)).all()
    last = max((last for _, last in found), default=None)
    return sum(min(count, _FORGIVEN_BOTH) for count, _ in found), last


def _wait(
    failures: tuple[int, datetime | None],
    forgiven: int,
    at: datetime,
    longest: timedelta = _LONGEST_WAIT,
) -> timedelta:
    count, last = failures
    if count < forgiven or last is None:
        return timedelta(0)
    seconds = 2 ** min(count - forgiven + 1, 20)
    return max(last + min(timedelta(seconds=seconds), longest) - at, timedelta(0))


def _forget(connection: Connection, username: str, address: str, at: datetime) -> None:
    mine = and_(_f.username == username, _f.address == address)
    over = or_(mine, _f.at <= at - _REMEMBERED)
    connection.execute(delete(tables.sign_in_failure).where(over))


def person_of(connection: Connection, token: str, at: datetime) -> tuple[Person, str] | None:
    """Return who holds `token` and the secret their forms carry; None once it is over or locked."""
    query = _holder(token, _s.csrf).where(_s.begun_at > at - LASTS, _s.seen_at > at - LOCKS_AFTER)
    row = connection.execute(query).first()
    return (Person(*row[:-1]), row.csrf) if row else None


def holder_of(connection: Connection, token: str) -> Person | None:
    """Return whose sign-in this is or lately was, though it be locked or over."""
    row = connection.execute(_holder(token)).first()
    return Person(*row) if row else None


def _holder(token: str, *more: ColumnElement[str]) -> Select[Any]:
    return (
        select(*PERSON, *more)
        .join(tables.person, tables.person.c.id == _s.person_id)
        .where(_s.token_hash == hash_of_secret(token), tables.person.c.active)
    )


def seen(connection: Connection, token: str, at: datetime) -> None:
    """Note that the holder of `token` is at work, so that it is not locked."""
    mine = _s.token_hash == hash_of_secret(token)
    connection.execute(update(tables.sign_in).where(mine).values(seen_at=at))


def sign_out(connection: Connection, token: str) -> None:
    """End the sign-in of `token`."""
    connection.execute(delete(tables.sign_in).where(_s.token_hash == hash_of_secret(token)))


def sign_ins_of(connection: Connection, person: Person, at: datetime) -> list[SignIn]:
    """Return the sign-ins of a person that are not over, the last used first."""
    query = (
        select(_s.token_hash, _s.begun_at, _s.seen_at)
        .where(_s.person_id == person.id, _s.begun_at > at - LASTS)
        .order_by(_s.seen_at.desc())
    )
    return [SignIn(*row) for row in connection.execute(query)]


def end_others(connection: Connection, person: Person, token: str) -> None:
    """End every sign-in of a person but that of `token`."""
    others = (_s.person_id == person.id) & (_s.token_hash != hash_of_secret(token))
    connection.execute(delete(tables.sign_in).where(others))
