"""People: added, given a role, deactivated, and the codes with which they set their passwords.

Nobody but the person ever knows a password: an administrator gives a code, which works once.
"""

from collections.abc import Iterable
from dataclasses import asdict, dataclass, replace
from datetime import datetime, timedelta
from functools import reduce
from typing import Any

from sqlalchemy import Connection, delete, select, update

from app.language import LANGUAGES, _
from app.ledger import chain, tables
from app.ledger.cells import readable
from app.ledger.chain import About
from app.ledger.passwords import hash_of_code, hash_of_new, hash_of_secret, new_code

ROLES = ("chemist", "chief chemist", "manager", "auditor", "administrator")
INSTRUMENT = "instrument"
CODE_LASTS = timedelta(hours=24)
LONGEST_NAME = 100


@dataclass(frozen=True)
class Person:
    """Someone who writes; `printed_name` is what the ledger and its prints say.

    An instrument is one too, by its role, though it never signs in.
    """

    id: int
    username: str
    printed_name: str
    role: str
    active: bool
    language: str | None = None


_p = tables.person.c
PERSON = (_p.id, _p.username, _p.printed_name, _p.role, _p.active, _p.language)


def add_person(
    connection: Connection,
    *,
    username: str,
    printed_name: str,
    role: str,
    at: datetime,
    password: str | None = None,
    by: Person | None = None,
) -> Person:
    """Add a person; ValueError says what is wrong with the role, names or password.

    Without a password they need a code before they can sign in.
    """
    if role not in ROLES:
        raise ValueError(_("A role is one of: {roles}", roles=", ".join(map(_, ROLES))))
    values = names_of(connection, username, printed_name) | {"role": role, "active": True}
    secret = None
    if password is not None:
        secret = hash_of_new(password, site_names(connection, *values.values()))
    return add_row(connection, values, secret, by=by, at=at)


def names_of(connection: Connection, username: str, printed_name: str) -> dict[str, Any]:
    """Return both names as they are kept; ValueError for ones that tell nobody apart."""
    filed, printed = filed_name(username), " ".join(printed_name.split())
    if not (filed and printed):
        raise ValueError(_("A person has a user name and a printed name"))
    if max(len(filed), len(printed)) > LONGEST_NAME or not readable(filed + printed):
        raise ValueError(
            _("A name has at most {count} letters, all of which can be seen", count=LONGEST_NAME)
        )
    if len(filed.split()) > 1:
        raise ValueError(_("A user name has no blanks"))
    if any(other.username == filed for other in people(connection)):
        raise ValueError(_("There is already somebody with the user name {name}", name=filed))
    _refuse_namesake(connection, printed)
    return {"username": filed, "printed_name": printed}


def add_row(
    connection: Connection,
    values: dict[str, Any],
    password_hash: str | None,
    *,
    by: Person | None,
    at: datetime,
) -> Person:
    """Put down a person whose names were found good, and tell it."""
    secret = {"password_hash": password_hash, "created_at": at}
    added = Person(tables.add_row(connection, tables.person, values | secret), **values)
    tell(connection, "added", added, by=by, at=at)
    return added


def tell(
    connection: Connection, what: str, person: Person, *, by: Person | None, at: datetime
) -> None:
    """Tell in the chain what was done to a person, and how the person then is."""
    about = About(row_id=person.id)
    content = {"what": what, **asdict(person)}
    chain.tell(connection, "person", content, by=by, at=at, about=about)


def either_of(roles: Iterable[str]) -> str:
    """Return "chief chemist or the manager", of people of these roles, in the language chosen."""
    return reduce(lambda one, other: _("{one} or the {other}", one=one, other=other), map(_, roles))


def filed_name(username: str) -> str:
    """Return a user name as it is kept and looked for."""
    return username.strip().casefold().replace("\0", "")  # which PostgreSQL does not take


def site_names(connection: Connection, *others: object) -> list[str]:
    """Return the names that guessers of this mill's passwords try first, and `others`."""
    mill = connection.execute(select(tables.mill.c.name, tables.mill.c.place).limit(1)).first()
    return [f"{name}" for name in (*(mill or ()), *others) if name]


def people(connection: Connection) -> list[Person]:
    """Return everybody, instruments too, by user name."""
    query = select(*PERSON).order_by(_p.username)
    return [Person(*row) for row in connection.execute(query)]


def person_named(connection: Connection, username: str) -> Person | None:
    """Return whose user name this is, if it is anybody's."""
    row = connection.execute(select(*PERSON).where(_p.username == filed_name(username))).first()
    return Person(*row) if row else None


def _refuse_namesake(connection: Connection, printed_name: str) -> None:
    """Refuse a name that is printed for somebody active: nobody could tell who wrote."""
    for other in people(connection):
        if other.active and other.printed_name.casefold() == printed_name.casefold():
            raise ValueError(
                _(
                    "{username} is already printed as {name}",
                    username=other.username,
                    name=other.printed_name,
                )
            )


def change_role(
    connection: Connection, person: Person, role: str, *, by: Person, at: datetime
) -> None:
    """Give `person` another role from now on; ValueError for a role that people do not have."""
    if role not in ROLES or person.role == INSTRUMENT:
        raise ValueError(_("A role is one of: {roles}", roles=", ".join(map(_, ROLES))))
    if role != person.role:
        _set(connection, "role changed", replace(person, role=role), by=by, at=at)


def deactivate(connection: Connection, person: Person, *, by: Person, at: datetime) -> None:
    """Keep `person` from signing in and end what is open; what they wrote stays theirs."""
    for table in (tables.sign_in, tables.password_code):
        connection.execute(delete(table).where(table.c.person_id == person.id))
    _set(connection, "deactivated", replace(person, active=False), by=by, at=at)


def activate(connection: Connection, person: Person, *, by: Person, at: datetime) -> None:
    """Let `person` sign in again with the password they had; ValueError for a name in use."""
    if person.active:
        return
    _refuse_namesake(connection, person.printed_name)
    _set(connection, "activated", replace(person, active=True), by=by, at=at)


def choose_language(connection: Connection, person: Person, language: str, *, at: datetime) -> None:
    """Speak to `person` in a language from now on; ValueError for one that is not offered."""
    if language not in LANGUAGES:
        raise ValueError(_("Choose one of the languages"))
    if language != person.language:
        _set(connection, "language chosen", replace(person, language=language), by=person, at=at)


def _set(connection: Connection, what: str, person: Person, *, by: Person, at: datetime) -> None:
    values = {name: getattr(person, name) for name in ("role", "active", "language")}
    connection.execute(update(tables.person).where(_p.id == person.id).values(values))
    tell(connection, what, person, by=by, at=at)


def give_code(
    connection: Connection,
    person: Person,
    *,
    by: Person | None,
    at: datetime,
    lasts: timedelta = CODE_LASTS,
) -> str:
    """Return a code with which `person` sets a password, once; earlier codes end.

    The password from before holds until then. ValueError for who cannot sign in anyway.
    """
    if not person.active or person.role == INSTRUMENT:
        raise ValueError(
            _("{name} cannot sign in, so a code would be of no use", name=person.printed_name)
        )
    code, c = new_code(), tables.password_code.c
    connection.execute(delete(tables.password_code).where(c.person_id == person.id))
    values = {"person_id": person.id, "code_hash": hash_of_code(code), "ends_at": at + lasts}
    connection.execute(tables.password_code.insert().values(values))
    tell(connection, "code given", person, by=by, at=at)
    return code


def who_has_code(connection: Connection, username: str, code: str, at: datetime) -> Person | None:
    """Return whose name and code these are, while the code holds."""
    c = tables.password_code.c
    query = (
        select(*PERSON)
        .join(tables.password_code, c.person_id == _p.id)
        .where(_p.username == filed_name(username), _p.active)
        .where(c.code_hash == hash_of_code(code), c.ends_at > at)
    )
    row = connection.execute(query).first()
    return Person(*row) if row else None


def set_password(
    connection: Connection, person: Person, new_hash: str, *, at: datetime, keeping: str = ""
) -> None:
    """Let `person` have a new password from now on.

    Every code ends, and every sign-in but the one whose token is `keeping`.
    """
    c = tables.sign_in.c
    others = (c.person_id == person.id) & (c.token_hash != hash_of_secret(keeping))
    connection.execute(delete(tables.sign_in).where(others))
    mine = tables.password_code.c.person_id == person.id
    connection.execute(delete(tables.password_code).where(mine))
    whose = update(tables.person).where(_p.id == person.id)
    connection.execute(whose.values(password_hash=new_hash))
    tell(connection, "password set", person, by=person, at=at)
