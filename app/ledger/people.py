"""People, their passwords and their sign-ins."""

import hashlib
import secrets
from dataclasses import asdict, dataclass, replace
from datetime import datetime, timedelta
from functools import cache
from typing import Any

from argon2 import PasswordHasher
from argon2.exceptions import VerificationError
from sqlalchemy import ColumnElement, Connection, and_, delete, func, insert, select, update

from app.ledger import chain, tables
from app.ledger.chain import About

ROLES = ("chemist", "chief chemist", "manager", "auditor", "administrator")
SHORTEST_PASSWORD = 15
LONGEST_PASSWORD = 1024

LASTS = timedelta(hours=12)
IDLE = timedelta(hours=4)

# failures forgiven before waiting begins: of one account from one place, of an account, of a place;
# a colleague's wrong guesses elsewhere must not keep the owner out
_FORGIVEN_BOTH, _FORGIVEN_ACCOUNT, _FORGIVEN_ADDRESS = 5, 30, 30
_LONGEST_WAIT = timedelta(minutes=15)
_REMEMBERED = timedelta(days=1)

_hasher = PasswordHasher(time_cost=2, memory_cost=19 * 1024, parallelism=1)


@dataclass(frozen=True)
class Person:
    """Someone who may sign in; `printed_name` is what the ledger and its prints say."""

    id: int
    username: str
    printed_name: str
    role: str
    active: bool


_PERSON = (
    tables.person.c.id,
    tables.person.c.username,
    tables.person.c.printed_name,
    tables.person.c.role,
    tables.person.c.active,
)


def add_person(
    connection: Connection,
    *,
    username: str,
    printed_name: str,
    role: str,
    password: str,
    at: datetime,
    by: Person | None = None,
) -> Person:
    """Add a person; ValueError says what is wrong with the role, names or password."""
    if role not in ROLES:
        raise ValueError(f"A role is one of: {', '.join(ROLES)}")
    values: dict[str, Any] = {
        "username": _filed(username),
        "printed_name": " ".join(printed_name.split()),
        "role": role,
        "active": True,
    }
    if not (values["username"] and values["printed_name"]):
        raise ValueError("A person has a user name and a printed name")
    if len(values["username"].split()) > 1:
        raise ValueError("A user name has no blanks")
    _refuse_namesake(connection, values["printed_name"])
    secret = {"password_hash": _hash(password), "created_at": at}
    added = Person(tables.add_row(connection, tables.person, values | secret), **values)
    _tell(connection, "added", added, by=by, at=at)
    return added


def _tell(
    connection: Connection, what: str, person: Person, *, by: Person | None, at: datetime
) -> None:
    """Tell in the chain what was done to a person, and how the person then is."""
    about = About(row_id=person.id)
    content = {"what": what, **asdict(person)}
    chain.tell(connection, "person", content, by=by, at=at, about=about)


def _filed(username: str) -> str:
    return username.strip().casefold().replace("\0", "")  # which PostgreSQL does not take


def _hash(password: str) -> str:
    if not SHORTEST_PASSWORD <= len(password) <= LONGEST_PASSWORD:
        raise ValueError(f"A password has at least {SHORTEST_PASSWORD} characters")
    return _hasher.hash(password)


def people(connection: Connection) -> list[Person]:
    """Return everybody, by user name."""
    query = select(*_PERSON).order_by(tables.person.c.username)
    return [Person(*row) for row in connection.execute(query)]


def _refuse_namesake(connection: Connection, printed_name: str) -> None:
    """Refuse a name that is printed for somebody active: nobody could tell who wrote."""
    for other in people(connection):
        if other.active and other.printed_name.casefold() == printed_name.casefold():
            raise ValueError(f"{other.username} is already printed as {other.printed_name}")


def deactivate(connection: Connection, person: Person, *, by: Person, at: datetime) -> None:
    """Keep `person` from signing in and end what is open; what they wrote stays theirs."""
    c = tables.person.c
    connection.execute(update(tables.person).where(c.id == person.id).values(active=False))
    connection.execute(delete(tables.sign_in).where(tables.sign_in.c.person_id == person.id))
    _tell(connection, "deactivated", replace(person, active=False), by=by, at=at)


def activate(connection: Connection, person: Person, *, by: Person, at: datetime) -> None:
    """Let `person` sign in again with the password they had; ValueError for a name in use."""
    if person.active:
        return
    _refuse_namesake(connection, person.printed_name)
    c = tables.person.c
    connection.execute(update(tables.person).where(c.id == person.id).values(active=True))
    _tell(connection, "activated", replace(person, active=True), by=by, at=at)


def sign_in(
    connection: Connection, username: str, password: str, address: str, at: datetime
) -> str | None:
    """Return a new token, or None: `who_knows` and `let_in` in one transaction."""
    person_id = who_knows(connection, username, password, address, at)
    return let_in(connection, person_id, username, address, at)


def who_knows(
    connection: Connection, username: str, password: str, address: str, at: datetime
) -> int | None:
    """Return whose name and password these are, or None; writes nothing, and takes its time.

    That time is the same for an unknown name, a wrong password and somebody deactivated.
    """
    name = _filed(username)
    if wait_before(connection, name, address, at):
        return None
    c = tables.person.c
    query = select(c.id, c.password_hash, c.active).where(c.username == name)
    row = connection.execute(query).first()
    try:
        _hasher.verify(row.password_hash if row else _hash_of_nobody(), password)
    except VerificationError:
        return None
    return row.id if row and row.active else None


def let_in(
    connection: Connection, person_id: int | None, username: str, address: str, at: datetime
) -> str | None:
    """Return a new token for whom `who_knows` found; None for nobody, whose try is kept.

    Many who guess at once are all told to wait once a few of them are wrong.
    """
    name, c = _filed(username), tables.person.c
    connection.execute(select(c.id).where(c.username == name).with_for_update())
    if wait_before(connection, name, address, at):
        return None
    if person_id is None:
        values = {"username": name, "address": address, "at": at}
        connection.execute(insert(tables.sign_in_failure).values(values))
        return None
    _forget(connection, name, address, at)
    return _begin(connection, person_id, at)


@cache
def _hash_of_nobody() -> str:
    return _hasher.hash(secrets.token_urlsafe())


def _begin(connection: Connection, person_id: int, at: datetime) -> str:
    token = secrets.token_urlsafe(32)
    values = {
        "token_hash": _digest(token),
        "person_id": person_id,
        "csrf": secrets.token_urlsafe(32),
        "begun_at": at,
        "seen_at": at,
    }
    connection.execute(insert(tables.sign_in).values(values))
    return token


def _digest(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()


def wait_before(
    connection: Connection, username: str, address: str, at: datetime
) -> timedelta | None:
    """Return how long this account, from this address, must still wait; None for not at all."""
    c = tables.sign_in_failure.c
    account, place = c.username == _filed(username), c.address == address
    waits = (
        _wait(connection, and_(account, place), _FORGIVEN_BOTH, at),
        _wait(connection, account, _FORGIVEN_ACCOUNT, at),
        _wait(connection, place, _FORGIVEN_ADDRESS, at),
    )
    return max(waits) or None


def _wait(
    connection: Connection, whose: ColumnElement[bool], forgiven: int, at: datetime
) -> timedelta:
    c = tables.sign_in_failure.c
    query = select(func.count(), func.max(c.at)).where(whose, c.at > at - _REMEMBERED)
    failures, last = connection.execute(query).one()
    if failures < forgiven:
        return timedelta(0)
    seconds = 2 ** min(failures - forgiven + 1, 20)
    wait: timedelta = last + min(timedelta(seconds=seconds), _LONGEST_WAIT) - at
    return max(wait, timedelta(0))


def _forget(connection: Connection, username: str, address: str, at: datetime) -> None:
    c = tables.sign_in_failure.c
    over = (c.username == username) & (c.address == address) | (c.at <= at - _REMEMBERED)
    connection.execute(delete(tables.sign_in_failure).where(over))


def person_of(connection: Connection, token: str, at: datetime) -> tuple[Person, str] | None:
    """Return who holds `token` and the secret their forms carry; None once it is over or idle."""
    c = tables.sign_in.c
    query = (
        select(*_PERSON, c.csrf)
        .join(tables.person, tables.person.c.id == c.person_id)
        .where(c.token_hash == _digest(token), tables.person.c.active)
        .where(c.begun_at > at - LASTS, c.seen_at > at - IDLE)
    )
    row = connection.execute(query).first()
    return (Person(*row[:-1]), row.csrf) if row else None


def seen(connection: Connection, token: str, at: datetime) -> None:
    """Note that the holder of `token` is at work, so that it does not go idle."""
    mine = tables.sign_in.c.token_hash == _digest(token)
    connection.execute(update(tables.sign_in).where(mine).values(seen_at=at))


def sign_out(connection: Connection, token: str) -> None:
    """End the sign-in of `token`."""
    connection.execute(delete(tables.sign_in).where(tables.sign_in.c.token_hash == _digest(token)))
